"""The sentences that stand beside a band: why a number is missing, and what to know of those that
are there."""

from __future__ import annotations

import math

from roomcheck.analyse.decay.curve import Line
from roomcheck.analyse.decay.noise import Tail
from roomcheck.standards import iso_3382_2_2008 as iso

SD_OF_CURVATURE = 0.9
"""Standard deviation of T30/T20 that chance alone gives, times the root of bandwidth times T: that
of both fits, 0.88 and 0.55, which share most of their stretch. [1]"""

NON_LINEARITY_BY_CHANCE = 500.0
"""What few independent samples add to the non-linearity, times bandwidth times T. [permille]"""


TOO_SHORT = "T20 would be"
"""How the sentence on a T20 begins that the filter decides."""


def louder(lacking_db: float) -> str:
    """What gives so many decibels more."""
    factor = 2 ** math.ceil(lacking_db / 3)
    longer = f"a sweep {factor} times as long" if factor <= 16 else "a quieter hour"
    return f"play {math.ceil(lacking_db)} dB louder, or use {longer}"


class Words:
    """Collects a band's sentences, reasons first.

    Parameters
    ----------
    bandwidth_hz : float
        [Hz]
    range_db : float
        Peak to noise. [dB]
    """

    def __init__(self, bandwidth_hz: float, range_db: float) -> None:
        self.bandwidth_hz, self.range_db = bandwidth_hz, range_db
        self._reasons: list[str] = []
        self._warnings: list[str] = []

    @property
    def said(self) -> tuple[str, ...]:
        return (*self._reasons, *self._warnings)

    @staticmethod
    def no_decay(range_db: float) -> str:
        lacking = iso.EDT_RANGE_DB - range_db
        if lacking <= 0:
            return (
                "No decay is to be seen in this band: nothing falls from its peak into the noise."
            )
        return (
            f"Peak to noise is {range_db:.0f} dB; EDT, clarity and centre time need "
            f"{iso.EDT_RANGE_DB:.0f} dB, T20 {iso.T20_RANGE_DB:.0f} dB, T30 "
            f"{iso.T30_RANGE_DB:.0f} dB: for T20, {louder(iso.T20_RANGE_DB - range_db)}."
        )

    def lacks(self, name: str, needed_db: float) -> None:
        lacking = needed_db - self.range_db
        self._reasons.append(
            f"{name} needs {needed_db:.0f} dB from peak to noise; there are {self.range_db:.1f} "
            f"dB, {lacking:.1f} dB too few: {louder(lacking)}."
        )

    def sinks(self, name: str, to_db: float, floor_db: float, clear_db: float) -> None:
        self._reasons.append(
            f"{name} is fitted down to {to_db:.0f} dB, but the decay meets the noise or the end "
            f"of the record at {floor_db:.0f} dB: {louder(floor_db - to_db + clear_db)}, and "
            "record until the room is silent."
        )

    def no_line(self, name: str, line: Line | None) -> None:
        if line is None:
            self._reasons.append(
                f"{name}: what is recorded does not fall from one end of the fit to the other."
            )
            return
        self._reasons.append(
            f"{name}: what is recorded does not fall along a line (non-linearity "
            f"{iso.non_linearity_permille(line.correlation):.0f} permille): it is no single "
            "decay, or the band has too few independent samples; average more positions."
        )

    def too_short(self, name: str, t60_s: float) -> None:
        self._reasons.append(
            f"{name} would be {t60_s:.3f} s, bandwidth times decay "
            f"{t60_s * self.bandwidth_hz:.1f}; below {iso.ZERO_PHASE_BT:.0f} the filter decides "
            "it more than the room does. Use the octave instead of the third, or judge the band "
            "by its modes."
        )

    def filters_differ(self, name: str, one_s: float, other_s: float) -> None:
        self._reasons.append(
            f"{name}: two filters that both keep class 1 give {one_s:.3f} and {other_s:.3f} s; "
            "the band has too few independent samples for one number. Average more positions, "
            "or use the octave instead of the third."
        )

    def filter_only(self, t60_s: float) -> str:
        return (
            f"The sound is gone as fast as the filter of this band rings ({t60_s:.3f} s, "
            f"bandwidth times decay {t60_s * self.bandwidth_hz:.1f}): the room's own decay is "
            "shorter than can be measured here."
        )

    def edt_is_filter(self, edt_s: float) -> None:
        self._reasons.append(
            f"EDT: the first 10 dB fall as fast as the filter of this band rings ({edt_s:.3f} "
            "s); the direct sound outweighs the room."
        )

    def no_clarity(self) -> None:
        self._reasons.append(
            "Clarity and centre time: too little stands above the noise after 50 or 80 ms."
        )

    def warn(self, t20: Line | None, t30: Line | None, bend_pct: float | None, end: Tail) -> None:
        """Warnings on the numbers that are there."""
        best = t30 or t20
        if best is None:
            self._warnings += end.flags
            return
        bt = self.bandwidth_hz * best.t60_s
        if bt < iso.FORWARD_BT:
            self._warnings.append(
                f"Bandwidth times decay is {bt:.1f}: zero-phase filters serve down to "
                f"{iso.ZERO_PHASE_BT:.0f}, forward ones would need {iso.FORWARD_BT:.0f}; the "
                "band has few independent samples."
            )
        self._bent(bt, bend_pct)
        for name, line in (("T20", t20), ("T30", t30)):
            limit = iso.NON_LINEARITY_LIMIT_PERMILLE + NON_LINEARITY_BY_CHANCE / bt
            if line and (xi := iso.non_linearity_permille(line.correlation)) > limit:
                self._warnings.append(
                    f"{name}: non-linearity is {xi:.0f} permille, limit {limit:.0f}: the decay "
                    "is not straight."
                )
        self._warnings += end.flags

    def _bent(self, bt: float, bend_pct: float | None) -> None:
        if bend_pct is None:
            return
        chance = 2 * 100 * SD_OF_CURVATURE / math.sqrt(bt)
        limit = max(iso.CURVATURE_LIMIT_PCT, chance)
        if abs(bend_pct) > limit:
            why = (
                "late sound dies more slowly than early sound, as with coupled rooms, bare "
                "parallel walls or a neighbouring band that rings"
                if bend_pct > 0
                else "the decay falls faster at its end"
            )
            self._warnings.append(
                f"The decay bends: curvature {bend_pct:.0f} %, limit {limit:.0f} %; {why}."
            )
