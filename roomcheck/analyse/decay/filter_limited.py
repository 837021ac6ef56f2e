"""Decays so short that the filter of their band has a say in them.

Below a bandwidth times decay of 16 a band holds so few independent samples that its first 5 dB fall
within the ringing of any filter that keeps class 1. What such a filter does to T30 was measured on
draws of known truth: the median error stays below 1 %, its 95th percentile is 15 % without the
rules below and 12 % with them, and 11 % is what the best use of all the samples would leave.
"""

from __future__ import annotations

from roomcheck.analyse.decay.curve import Line
from roomcheck.analyse.decay.decay_reasons import Words
from roomcheck.analyse.decay.fits import Lines
from roomcheck.standards import iso_3382_2_2008 as iso

OWN_BT, OWN_EDT_BT = 6.0, 5.0
"""A click alone comes out of these filters with a T20 of 4.7, a T30 of 5.3 and an EDT of 3.6 over
the bandwidth. What is not longer than that says nothing of the room. [1]"""

SHORT_CROOKED_PERMILLE = 50.0
"""Below a bandwidth times decay of 16 a T30 of more non-linearity is withheld: its steps are
chance, and where the filter puts them decides the fit. [permille]"""

APART = 0.05
"""So far apart may T30 be from two filters that both keep class 1. [1]"""


def room_not_filter(lines: Lines, upright: Lines, words: Words) -> Lines:
    """The lines that the room decides; for the others a reason.

    Parameters
    ----------
    lines : Lines
        By the filter that is used.
    upright : Lines
        By the zero-phase filter.
    words : Words
    """
    edt, t20, t30 = lines
    if edt and edt.t60_s * words.bandwidth_hz < OWN_EDT_BT:
        words.edt_is_filter(edt.t60_s)
        edt = None
    if t20 and t20.t60_s * words.bandwidth_hz < iso.ZERO_PHASE_BT:
        words.too_short("T20", t20.t60_s)
        t20 = None
    if t30 and not _t30_stands(t30, upright[2], words):
        t30 = None
    return edt, t20, t30


def _t30_stands(t30: Line, upright: Line | None, words: Words) -> bool:
    bt = t30.t60_s * words.bandwidth_hz
    if bt < iso.ZERO_PHASE_BT:
        words.too_short("T30", t30.t60_s)
    elif (
        bt < iso.FORWARD_BT and iso.non_linearity_permille(t30.correlation) > SHORT_CROOKED_PERMILLE
    ):
        words.no_line("T30", t30)
    elif bt < iso.FORWARD_BT and upright and abs(upright.t60_s / t30.t60_s - 1) > APART:
        words.filters_differ("T30", t30.t60_s, upright.t60_s)
    else:
        return True
    return False
