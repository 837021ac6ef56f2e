"""How quiet a room of each use should be with nobody in it and nothing playing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from roomcheck.standards.target import Mark
from roomcheck.standards.targets.ansi_s12_60 import NOISE_DBA

Family = Literal["NC", "NR", "dB(A)"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseLimit:
    """The most background noise that is wanted."""

    family: Family
    """What it is given in."""
    value: float
    """Number of the curve, or level: [1] for NC and NR, [dB] for dB(A)."""
    source: str
    mark: Mark
    """How the number was come by."""


def _practice(family: Family, value: float) -> NoiseLimit:
    return NoiseLimit(
        family=family, value=value, source="common practice of the trade", mark="common practice"
    )


NOISE_LIMITS: dict[str, NoiseLimit] = {
    "control room": _practice("NR", 25),
    "critical listening room": NoiseLimit(
        family="NR", value=15, source="ITU-R BS.1116-3, from memory", mark="memory"
    ),
    "voice booth": _practice("NC", 20),
    "podcast room": _practice("NC", 20),
    "home cinema": _practice("NC", 25),
    "meeting room": _practice("NC", 30),
    "large meeting room": _practice("NC", 30),
    "video call room": _practice("NC", 25),
    "cafe": _practice("dB(A)", 45),
    "amplified rehearsal room": _practice("NC", 25),
    "acoustic rehearsal room": _practice("NC", 25),
    "classroom": NoiseLimit(
        family="dB(A)",
        value=NOISE_DBA,
        source="ANSI/ASA S12.60-2010, Part 1, over the loudest hour",
        mark="verified",
    ),
}
"""The upper end of what is asked for, by the key of a room's use; uses that are not here have
none."""
