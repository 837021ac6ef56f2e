"""Decays so short that the filter of their band has a say in them.

Below a bandwidth times decay of 16 a band holds so few independent samples that its first 5 dB fall
within the ringing of any filter that keeps class 1. What such a filter does to T30 was measured on
draws of known truth: the median error stays below 1 %, its 95th percentile is 15 % without the
rules below and 12 % with them, and 11 % is what the best use of all the samples would leave.
"""

from __future__ import annotations

from roomcheck.analyse.band.kinds import Number, Reason
from roomcheck.analyse.decay.curve import Curve, LineFit, fit_line
from roomcheck.analyse.decay.fits import Fits, not_a_line
from roomcheck.facts import Fact, fact
from roomcheck.standards import iso_3382_2_2008 as iso

OWN_BT, OWN_EDT_BT = 6.0, 5.0
"""A click alone comes out of these filters with a T20 of 4.7, a T30 of 5.3 and an EDT of 3.6 over
the bandwidth. What is not longer than that says nothing of the room. [1]"""

FLOOR_CLEAR_DB, LEAST_SEEN_DB = 3.0, 5.0
"""A look at the decay below 5 dB ends so far above its floor, and is over so much at least. [dB]"""

SHORT_CROOKED_PERMILLE = 50.0
"""Below a bandwidth times decay of 16 a T30 of more non-linearity is withheld: its steps are
chance, and where the filter puts them decides the fit. [permille]"""

APART = 0.05
"""So far apart may T30 be from two filters that both keep class 1. [1]"""


def filter_alone(curve: Curve, upright: Fits) -> bool:
    """Whether the sound is gone as fast as the filter rings.

    EDT alone does not say so: a strong direct sound rings in the filter and the room goes on below
    it. Then what is seen of the decay below its first 5 dB decides.
    """
    if upright.late is None:
        to_db = max(curve.floor_db + FLOOR_CLEAR_DB, -25.0)
        seen = fit_line(curve, -5.0, to_db) if to_db <= -5.0 - LEAST_SEEN_DB else None
        if seen is not None:
            return upright.bt(seen) < OWN_BT
    own_bt = OWN_BT if upright.late else OWN_EDT_BT
    return upright.longest_s is not None and upright.longest_s * upright.bandwidth_hz < own_bt


def room_not_filter(fits: Fits, upright: Fits) -> Fits:
    """The fits that the room decides; the others withheld.

    Parameters
    ----------
    fits : Fits
        By the filter that is used.
    upright : Fits
        By the zero-phase filter.
    """
    edt, t20, t30 = fits.edt, fits.t20, fits.t30
    if edt and fits.bt(edt) < OWN_EDT_BT:
        fits = fits.without("EDT", fact(Reason.DIRECT_SOUND, number="EDT", decay_s=edt.t60_s))
    if t20 and fits.bt(t20) < iso.ZERO_PHASE_BT:
        fits = fits.without("T20", _filter_limited("T20", t20, fits.bt(t20)))
    against = _against_t30(t30, fits.bt(t30), upright.t30) if t30 else None
    return fits.without("T30", against) if against else fits


def _filter_limited(number: Number, line: LineFit, bt: float) -> Fact[Reason]:
    return fact(
        Reason.FILTER_LIMITED,
        number=number,
        decay_s=line.t60_s,
        bt=bt,
        needed_bt=iso.ZERO_PHASE_BT,
    )


def _against_t30(t30: LineFit, bt: float, upright: LineFit | None) -> Fact[Reason] | None:
    """Why a T30 does not stand; None where it does."""
    if bt < iso.ZERO_PHASE_BT:
        return _filter_limited("T30", t30, bt)
    if bt >= iso.FORWARD_BT:
        return None
    if iso.non_linearity_permille(t30.correlation) > SHORT_CROOKED_PERMILLE:
        return not_a_line("T30", t30)
    if upright and abs(upright.t60_s / t30.t60_s - 1) > APART:
        return fact(
            Reason.FILTERS_DIFFER, number="T30", decay_s=t30.t60_s, other_decay_s=upright.t60_s
        )
    return None
