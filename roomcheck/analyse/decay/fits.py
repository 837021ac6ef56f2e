"""A band to its decay curve and the standard fits, each with the reason where there is none."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.kinds import DecayWarning, Number, Reason
from roomcheck.analyse.band.noise import Tail, tail
from roomcheck.analyse.band.results import TwoSlopes
from roomcheck.analyse.decay.curve import Curve, LineFit, decay_curve, fit_line
from roomcheck.facts import Fact, fact
from roomcheck.standards import iso_3382_2_2008 as iso

Array = NDArray[np.float64]

CLEAR_DB = {"EDT": 10.0, "T20": 3.0, "T30": 3.0}
"""The decay curve itself must reach so far below a fit before it sinks into the noise; EDT has no
other margin. [dB]"""

DOUBTFUL = {"T20": 2500.0, "T30": 1300.0}
"""Non-linearity times bandwidth times T: by chance one of ten straight decays has more. [1e-3]"""

CROOKED_PERMILLE = {
    "EDT": (math.inf, 0.0, math.inf),
    "T20": (40.0, 5000.0, 150.0),
    "T30": (25.0, 2600.0, 100.0),
}
"""A stretch whose non-linearity is above the first of these plus the second over bandwidth times T,
or above the third, is not called a decay. Chance alone gives straight decays 1400 (T20) and 800
(T30) over bandwidth times T in the median, 5000 and 2600 in three of a thousand. [permille]"""

SD_OF_CURVATURE = 0.9
"""Standard deviation of T30/T20 that chance alone gives, times the root of bandwidth times T: that
of both fits, 0.88 and 0.55, which share most of their stretch. [1]"""

NON_LINEARITY_BY_CHANCE = 500.0
"""What few independent samples add to the non-linearity, times bandwidth times T. [permille]"""


BROKEN_PERMILLE = 60.0
"""Where T30 strays further from its line, T20 is given only if chance alone bends it. [permille]"""

FLATTENS_PCT, FLATTENS_SD = 25.0, 4.0
"""A T30 longer than T20 by more than the first, and by more than so many standard deviations of
chance, needs a second decay to explain it. [%], [1]"""

NO_DECAY_PERMILLE = 250.0
"""What strays so far from a line over 20 dB falls in one step: no number of it is a decay's.
[permille]"""

NEAR_DB = -48.0
"""What ends a record further down than this, 10 dB below all fits, matters to none. [dB]"""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A standard fit: its number, its two ends on the decay curve and its margin. [dB]"""

    number: Number
    from_db: float
    to_db: float
    needed_db: float


STRETCHES = {
    "EDT": Stretch("EDT", 0.0, -10.0, iso.EDT_RANGE_DB),
    "T20": Stretch("T20", -5.0, -25.0, iso.T20_RANGE_DB),
    "T30": Stretch("T30", -5.0, -35.0, iso.T30_RANGE_DB),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """The standard fits of one band, and why one is lacking."""

    bandwidth_hz: float
    """[Hz]"""
    range_db: float
    """Peak to noise [dB]."""
    slopes: TwoSlopes | None = None
    """Both decays where there are two."""
    ended: Fact[DecayWarning] | None = None
    """What other than noise ends the record within 10 dB of the fits or sooner."""
    edt: LineFit | None
    t20: LineFit | None
    t30: LineFit | None
    withheld: tuple[Fact[Reason], ...] = ()
    """One for every None above."""

    @property
    def late(self) -> LineFit | None:
        """T30, or T20 where there is none."""
        return self.t30 or self.t20

    @property
    def longest_s(self) -> float | None:
        """The longer of T20 and T30, else EDT. [s]"""
        late = [line.t60_s for line in (self.t20, self.t30) if line]
        if late:
            return max(late)
        return self.edt.t60_s if self.edt else None

    def bt(self, line: LineFit) -> float:
        """Bandwidth times decay. [1]"""
        return self.bandwidth_hz * line.t60_s

    def lacks_what(self, other: Fits) -> bool:
        """Whether the other fits have a number that these have not."""
        mine, theirs = (self.edt, self.t20, self.t30), (other.edt, other.t20, other.t30)
        return any(their and not my for my, their in zip(mine, theirs, strict=True))

    def without(self, number: Number, reason: Fact[Reason]) -> Fits:
        """The same fits, one withheld."""
        withheld = (*self.withheld, reason)
        if number == "EDT":
            return replace(self, edt=None, withheld=withheld)
        if number == "T20":
            return replace(self, t20=None, withheld=withheld)
        return replace(self, t30=None, withheld=withheld)


def curve_of(
    band: Band, *, suspected_s: tuple[float, ...] = ()
) -> tuple[Array, Tail | None, Curve | None]:
    """Running sum of a band's power, how its record ends, and its decay curve.

    Where the curve is no line, or other bands show that something happened, the record ends where
    it stops being any decay at all.
    """
    energy = np.concatenate(([0.0], np.cumsum(band.power)))
    end = tail(band, energy)
    curve = decay_curve(band, energy, end) if end else None
    if curve is None or not (suspected_s or doubtful(curve, band.bandwidth_hz)):
        return energy, end, curve
    sooner = tail(band, energy, doubted=True, suspected_s=suspected_s)
    if sooner is None:
        return energy, end, curve
    return energy, sooner, decay_curve(band, energy, sooner)


def doubtful(curve: Curve, bandwidth_hz: float) -> bool:
    """Whether a standard fit strays from its line by more than chance makes likely."""
    for number, by_chance in DOUBTFUL.items():
        stretch = STRETCHES[number]
        line = fit_line(curve, stretch.from_db, stretch.to_db)
        if line is not None:
            xi = iso.non_linearity_permille(line.correlation)
            if xi > by_chance / (bandwidth_hz * line.t60_s):
                return True
    return False


def fits_of(
    curve: Curve,
    bandwidth_hz: float,
    range_db: float,
    ended: Fact[DecayWarning] | None = None,
    slopes: TwoSlopes | None = None,
) -> Fits:
    """EDT, T20 and T30 of a decay curve.

    Parameters
    ----------
    bandwidth_hz : float
        [Hz]
    range_db : float
        Peak to noise. [dB]
    ended : Fact[DecayWarning], optional
        What other than noise ends the record.
    slopes : TwoSlopes, optional
        Both decays where there are two; a fit across them is no straight line and need not be.
    """
    if curve.floor_db < NEAR_DB:
        ended = None
    fit = partial(_fit, curve, range_db, bandwidth_hz, ended, slopes)
    t20, t30, edt = (fit(STRETCHES[number]) for number in ("T20", "T30", "EDT"))
    if isinstance(t20, LineFit) and isinstance(t30, Fact) and _crooked(t30) > BROKEN_PERMILLE:
        xi = iso.non_linearity_permille(t20.correlation)
        if xi > iso.NON_LINEARITY_LIMIT_PERMILLE + DOUBTFUL["T20"] / (bandwidth_hz * t20.t60_s):
            t20 = not_a_line("T20", t20)
    if isinstance(t20, LineFit) and isinstance(t30, LineFit) and _swells(t20, t30, bandwidth_hz):
        t20, t30 = not_a_line("T20", t20), not_a_line("T30", t30)
    both = (t20, t30) if isinstance(t20, LineFit) and isinstance(t30, LineFit) else None
    if both and slopes is None and _flattens(*both, bandwidth_hz):
        t30 = not_a_line("T30", both[1])
    if isinstance(edt, LineFit) and isinstance(t20, Fact) and _crooked(t20) > NO_DECAY_PERMILLE:
        xi = t20["non_linearity_permille"]
        edt = fact(Reason.NOT_A_LINE, number="EDT", non_linearity_permille=xi)
    return Fits(
        bandwidth_hz=bandwidth_hz,
        range_db=range_db,
        ended=ended,
        slopes=slopes,
        edt=edt if isinstance(edt, LineFit) else None,
        t20=t20 if isinstance(t20, LineFit) else None,
        t30=t30 if isinstance(t30, LineFit) else None,
        withheld=tuple(fit for fit in (t20, t30, edt) if isinstance(fit, Fact)),
    )


def _swells(t20: LineFit, t30: LineFit, bandwidth_hz: float) -> bool:
    """Whether a crooked stretch is followed by a steeper one: no sum of decays is."""
    bt = bandwidth_hz * t30.t60_s
    bend_pct = iso.curvature_pct(t20.t60_s, t30.t60_s)
    xi = iso.non_linearity_permille(t20.correlation)
    return -bend_pct > _bend_limit_pct(bt) and xi > (
        iso.NON_LINEARITY_LIMIT_PERMILLE + DOUBTFUL["T20"] / bt
    )


def _flattens(t20: LineFit, t30: LineFit, bandwidth_hz: float) -> bool:
    """Whether the curve turns flat within T30 although no second decay follows, as under a slow
    hump."""
    bt = bandwidth_hz * t30.t60_s
    crooked = iso.non_linearity_permille(t30.correlation) > DOUBTFUL["T30"] / bt
    by_chance_pct = FLATTENS_SD * 100 * SD_OF_CURVATURE / math.sqrt(bt)
    bend_pct = iso.curvature_pct(t20.t60_s, t30.t60_s)
    return crooked and bend_pct > max(FLATTENS_PCT, by_chance_pct)


def _crooked(withheld: Fact[Reason]) -> float:
    """The non-linearity for which a fit is withheld. [permille]"""
    return float(withheld.get("non_linearity_permille", 0.0))


def peak_to_noise_db(band: Band, energy: Array, end: Tail | None) -> float:
    """Peak of the squared band signal over the mean square at the end of its record. [dB]"""
    peak = 2 * float(band.power[band.start : band.stop].max())
    count = max((band.stop - band.start) // 10, 1)
    floor = end.floor if end else float(energy[band.stop] - energy[band.stop - count]) / count
    return 10 * math.log10(max(peak, 1e-300) / max(floor, peak * 1e-30, 1e-300))


def not_a_line(number: Number, line: LineFit) -> Fact[Reason]:
    """The reason where a fit is too crooked."""
    xi = iso.non_linearity_permille(line.correlation)
    return fact(Reason.NOT_A_LINE, number=number, non_linearity_permille=xi)


def _fit(
    curve: Curve,
    range_db: float,
    bandwidth_hz: float,
    ended: Fact[DecayWarning] | None,
    slopes: TwoSlopes | None,
    stretch: Stretch,
) -> LineFit | Fact[Reason]:
    """A fit, or the reason why there is none."""
    number, from_db, to_db = stretch.number, stretch.from_db, stretch.to_db
    lacking_db = curve.floor_db - to_db + CLEAR_DB[number]
    short_db = stretch.needed_db - range_db
    if ended is not None and max(lacking_db, short_db) > 0:
        return fact(Reason.DISTURBED, number=number, to_db=to_db, **dict(ended.values))
    if short_db > 0:
        return fact(
            Reason.RANGE_TOO_SMALL,
            number=number,
            needed_db=stretch.needed_db,
            range_db=range_db,
            lacking_db=short_db,
        )
    if lacking_db > 0:
        return fact(
            Reason.SINKS_INTO_NOISE,
            number=number,
            to_db=to_db,
            floor_db=curve.floor_db,
            lacking_db=lacking_db,
        )
    line = fit_line(curve, from_db, to_db)
    if line is None:
        return fact(Reason.NOT_FALLING, number=number)
    straight, chance, most = CROOKED_PERMILLE[number]
    across = slopes is not None and not slopes.far_apart
    limit = most if across else min(straight + chance / (bandwidth_hz * line.t60_s), most)
    if iso.non_linearity_permille(line.correlation) > limit:
        return not_a_line(number, line)
    return line


def warnings_on(
    fits: Fits, curvature_pct: float | None, end: Tail
) -> tuple[Fact[DecayWarning], ...]:
    """What to know of the fits that are there. [%]"""
    late, ended = fits.late, (fits.ended,) if fits.ended else ()
    if late is None:
        return (*_far_apart(fits), *ended, *end.warnings)
    bt = fits.bt(late)
    few = fact(
        DecayWarning.FEW_SAMPLES, bt=bt, zero_phase_bt=iso.ZERO_PHASE_BT, forward_bt=iso.FORWARD_BT
    )
    return (
        *((few,) if bt < iso.FORWARD_BT else ()),
        *_bends(bt, curvature_pct),
        *_shape(fits, bt),
        *ended,
        *end.warnings,
    )


def _shape(fits: Fits, bt: float) -> tuple[Fact[DecayWarning], ...]:
    """Both slopes where there are two, else how far each fit is from straight."""
    if fits.slopes is None or fits.slopes.far_apart:
        crooked = (*_not_straight("T20", fits.t20, bt), *_not_straight("T30", fits.t30, bt))
        return (*_far_apart(fits), *crooked)
    return (_both(DecayWarning.TWO_SLOPES, fits.slopes),)


def _far_apart(fits: Fits) -> tuple[Fact[DecayWarning], ...]:
    """Both decays where the late one may as well be no room's."""
    if fits.slopes is None or not fits.slopes.far_apart:
        return ()
    return (_both(DecayWarning.FAR_APART, fits.slopes),)


def _both(kind: DecayWarning, slopes: TwoSlopes) -> Fact[DecayWarning]:
    return fact(kind, early_s=slopes.early_s, late_s=slopes.late_s, meet_db=slopes.meet_db)


def _not_straight(
    number: Number, line: LineFit | None, bt: float
) -> tuple[Fact[DecayWarning], ...]:
    limit = iso.NON_LINEARITY_LIMIT_PERMILLE + NON_LINEARITY_BY_CHANCE / bt
    xi = iso.non_linearity_permille(line.correlation) if line else 0.0
    if xi <= limit:
        return ()
    return (
        fact(
            DecayWarning.NOT_STRAIGHT,
            number=number,
            non_linearity_permille=xi,
            limit_permille=limit,
        ),
    )


def _bends(bt: float, curvature_pct: float | None) -> tuple[Fact[DecayWarning], ...]:
    limit_pct = _bend_limit_pct(bt)
    if curvature_pct is None or abs(curvature_pct) <= limit_pct:
        return ()
    return (fact(DecayWarning.BENDS, curvature_pct=curvature_pct, limit_pct=limit_pct),)


def _bend_limit_pct(bt: float) -> float:
    """Twice the standard deviation of the curvature: less is not told from chance. [%]"""
    return max(iso.CURVATURE_LIMIT_PCT, 2 * 100 * SD_OF_CURVATURE / math.sqrt(bt))
