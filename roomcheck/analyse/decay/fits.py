"""A band to its decay curve and the standard fits, each with the reason where there is none."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.bands import Band
from roomcheck.analyse.decay.curve import Curve, LineFit, decay_curve, fit_line
from roomcheck.analyse.decay.noise import Tail, tail
from roomcheck.analyse.decay.results import DecayWarning, Number, Reason
from roomcheck.facts import Fact, fact
from roomcheck.standards import iso_3382_2_2008 as iso

Array = NDArray[np.float64]

CLEAR_DB = {"EDT": 10.0, "T20": 3.0, "T30": 3.0}
"""The decay curve itself must reach so far below a fit before it sinks into the noise; EDT has no
other margin. [dB]"""

CROOKED_PERMILLE = {"EDT": math.inf, "T20": 150.0, "T30": 100.0}
"""A stretch whose non-linearity is above this is not called a decay: two decays as far apart as
those of coupled rooms stay below 60; what few independent samples do by chance is often more, and
such a stretch says little. [permille]"""

SD_OF_CURVATURE = 0.9
"""Standard deviation of T30/T20 that chance alone gives, times the root of bandwidth times T: that
of both fits, 0.88 and 0.55, which share most of their stretch. [1]"""

NON_LINEARITY_BY_CHANCE = 500.0
"""What few independent samples add to the non-linearity, times bandwidth times T. [permille]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """The standard fits of one band, and why one is lacking."""

    bandwidth_hz: float
    """[Hz]"""
    range_db: float
    """Peak to noise [dB]."""
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


def curve_of(band: Band) -> tuple[Array, Tail | None, Curve | None]:
    """Running sum of a band's power, how its record ends, and its decay curve."""
    energy = np.concatenate(([0.0], np.cumsum(band.power)))
    end = tail(band, energy)
    return energy, end, decay_curve(band, energy, end) if end else None


def fits_of(curve: Curve, bandwidth_hz: float, range_db: float) -> Fits:
    """EDT, T20 and T30 of a decay curve.

    Parameters
    ----------
    bandwidth_hz : float
        [Hz]
    range_db : float
        Peak to noise. [dB]
    """
    t20 = _fit(curve, -5.0, -25.0, "T20", iso.T20_RANGE_DB, range_db)
    t30 = _fit(curve, -5.0, -35.0, "T30", iso.T30_RANGE_DB, range_db)
    edt = _fit(curve, 0.0, -10.0, "EDT", iso.EDT_RANGE_DB, range_db)
    return Fits(
        bandwidth_hz=bandwidth_hz,
        range_db=range_db,
        edt=edt if isinstance(edt, LineFit) else None,
        t20=t20 if isinstance(t20, LineFit) else None,
        t30=t30 if isinstance(t30, LineFit) else None,
        withheld=tuple(fit for fit in (t20, t30, edt) if isinstance(fit, Fact)),
    )


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
    curve: Curve, from_db: float, to_db: float, number: Number, needed_db: float, range_db: float
) -> LineFit | Fact[Reason]:
    """A fit, or the reason why there is none."""
    if range_db < needed_db:
        return fact(
            Reason.RANGE_TOO_SMALL,
            number=number,
            needed_db=needed_db,
            range_db=range_db,
            lacking_db=needed_db - range_db,
        )
    clear_db = CLEAR_DB[number]
    if curve.floor_db > to_db - clear_db:
        return fact(
            Reason.SINKS_INTO_NOISE,
            number=number,
            to_db=to_db,
            floor_db=curve.floor_db,
            lacking_db=curve.floor_db - to_db + clear_db,
        )
    line = fit_line(curve, from_db, to_db)
    if line is None:
        return fact(Reason.NOT_FALLING, number=number)
    if iso.non_linearity_permille(line.correlation) > CROOKED_PERMILLE[number]:
        return not_a_line(number, line)
    return line


def warnings_on(
    fits: Fits, curvature_pct: float | None, end: Tail
) -> tuple[Fact[DecayWarning], ...]:
    """What to know of the fits that are there. [%]"""
    late = fits.late
    if late is None:
        return end.warnings
    bt = fits.bt(late)
    few = fact(
        DecayWarning.FEW_SAMPLES, bt=bt, zero_phase_bt=iso.ZERO_PHASE_BT, forward_bt=iso.FORWARD_BT
    )
    return (
        *((few,) if bt < iso.FORWARD_BT else ()),
        *_bends(bt, curvature_pct),
        *_not_straight("T20", fits.t20, bt),
        *_not_straight("T30", fits.t30, bt),
        *end.warnings,
    )


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
    # Twice its standard deviation: less is not told from chance.
    chance_pct = 2 * 100 * SD_OF_CURVATURE / math.sqrt(bt)
    limit_pct = max(iso.CURVATURE_LIMIT_PCT, chance_pct)
    if curvature_pct is None or abs(curvature_pct) <= limit_pct:
        return ()
    return (fact(DecayWarning.BENDS, curvature_pct=curvature_pct, limit_pct=limit_pct),)
