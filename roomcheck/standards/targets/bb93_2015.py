"""Schools in England: BB93 (2015), Table 6, new build, as quoted in a stored re-reading and by a
ceiling maker."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.standards.target import CLEAR_SPEECH_DB, BandLimit, Target

DOCUMENT = "BB93:2015, Table 6"
MID_BANDS_HZ = (500.0, 1000.0, 2000.0)
"""T_mf is the mean of these octaves. [Hz]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """T_mf from `low_s` (None: no lower limit) to `high_s`. [s]"""

    name: str
    low_s: float | None
    high_s: float


SPACES = {
    "primary": Space(name="primary classroom", low_s=None, high_s=0.6),
    "secondary": Space(name="secondary classroom", low_s=None, high_s=0.8),
    "hearing": Space(name="classroom for pupils with hearing impairment", low_s=None, high_s=0.4),
    "music": Space(name="music classroom", low_s=None, high_s=1.0),
    "practice": Space(name="small practice or group room", low_s=None, high_s=0.8),
    "ensemble": Space(name="ensemble room", low_s=0.6, high_s=1.2),
}


def room(key: str, title: str, volume_m3: float, *, space: str) -> Target:
    """T_mf of one kind of space; its size does not matter (`volume_m3` is not used)."""
    s = SPACES[space]
    # Where pupils cannot hear well, every octave from 125 Hz to 4 kHz is held to the limit (the
    # range from memory).
    every_hz: tuple[float, ...] = ()
    notes = ["The limit is for the mean of the 500, 1000 and 2000 Hz octaves in a new building."]
    if space == "hearing":
        every_hz = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
        notes.append("roomcheck also holds each octave from 125 Hz to 4 kHz to it.")
    nominal_s = s.high_s if s.low_s is None else (s.low_s + s.high_s) / 2
    for_speech = "classroom" in s.name and space != "music"
    return Target(
        key=key,
        title=title,
        source=f"{DOCUMENT}, {s.name}, as quoted in public pages",
        mark="verified",
        limits=tuple(BandLimit(band_hz=hz, low_s=None, high_s=s.high_s) for hz in every_hz),
        mid_bands_hz=MID_BANDS_HZ,
        mid_low_s=s.low_s,
        mid_nominal_s=nominal_s,
        mid_high_s=s.high_s,
        occupied=None,
        c50_db=CLEAR_SPEECH_DB if for_speech else None,
        notes=tuple(notes),
    )
