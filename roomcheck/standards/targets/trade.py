"""What the trade aims at where no standard speaks: common practice, not a rule.

How the band limits come about: a room's mean is held to the trade's range. Where the trade also
says how even the decay must be (so many seconds or percent about the mean), the limits of each
octave are that range widened by it, and `Target.evenness_s` or `evenness_pct` lets the judge hold
the bands against the mean that was measured. Where the trade gives a lower end for the mean alone,
octaves have none.
"""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.standards.errors import OutsideScope
from roomcheck.standards.target import CLEAR_SPEECH_DB, BandLimit, Mark, Target
from roomcheck.units import MID_BANDS_HZ

_VOICE = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
_FROM_250 = _VOICE[1:]


@dataclass(frozen=True, slots=True, kw_only=True)
class TradeTarget:
    """One kind of room."""

    low_s: float | None
    """Least mean of 500 and 1000 Hz [s]."""
    nominal_s: float
    """The mean that is aimed at [s]."""
    high_s: float
    """Longest mean [s]."""
    even_s: float | None = None
    """How far an octave of `even_hz` may stand from the mean, in seconds [s]."""
    even_pct: float | None = None
    """The same in percent [%]."""
    even_hz: tuple[float, ...] = ()
    bass_pct: float | None = None
    """How far 125 Hz may stand above the mean's upper end [%]."""
    usual_m3: tuple[float, float] | None = None
    """Sizes the range is meant for; outside, a note says so [m3]."""
    most_m3: float | None = None
    """Above it there is no range [m3]."""
    mark: Mark = "common practice"
    c50_db: float | None = None
    """Least clarity wanted [dB]."""
    notes: tuple[str, ...] = ()


PRACTICE = {
    "voice booth": TradeTarget(
        low_s=0.10,
        nominal_s=0.15,
        high_s=0.20,
        even_s=0.05,
        even_hz=_VOICE,
        usual_m3=(3, 10),
        notes=("A single strong reflection colours a voice more than the decay does.",),
    ),
    "podcast room": TradeTarget(
        low_s=0.20,
        nominal_s=0.275,
        high_s=0.35,
        even_s=0.05,
        even_hz=_VOICE,
        usual_m3=(15, 40),
        c50_db=8,
        notes=("C50 above 8 dB is wanted at the microphone.",),
    ),
    "home cinema": TradeTarget(
        low_s=0.25,
        nominal_s=0.325,
        high_s=0.40,
        even_pct=25,
        even_hz=_FROM_250,
        c50_db=5,
        notes=("C50 above 5 dB is wanted at the seats.",),
    ),
    "meeting room": TradeTarget(
        low_s=0.40,
        nominal_s=0.50,
        high_s=0.60,
        bass_pct=20,
        even_hz=_FROM_250,
        c50_db=CLEAR_SPEECH_DB,
        notes=(
            "For a small meeting room; large ones are left at 0.6 to 0.7 s.",
            "C50 of 3 dB or more is wanted.",
        ),
    ),
    "large meeting room": TradeTarget(
        low_s=0.60,
        nominal_s=0.65,
        high_s=0.70,
        bass_pct=20,
        even_hz=_FROM_250,
        c50_db=CLEAR_SPEECH_DB,
        notes=("C50 of 3 dB or more is wanted.",),
    ),
    "video call room": TradeTarget(
        low_s=None,
        nominal_s=0.50,
        high_s=0.50,
        bass_pct=20,
        even_hz=_FROM_250,
        c50_db=CLEAR_SPEECH_DB,
        notes=("The far end hears the room twice: through the microphone and in its own room.",),
    ),
    "cafe": TradeTarget(
        low_s=0.50,
        nominal_s=0.65,
        high_s=0.80,
        notes=(
            (
                "In a full café the number of talkers and the area for each count as much as the "
                "decay."
            ),
        ),
    ),
    "amplified rehearsal room": TradeTarget(
        low_s=0.40,
        nominal_s=0.50,
        high_s=0.60,
        bass_pct=50,
        most_m3=100,
        mark="memory",
        notes=("Planning values from memory, for rooms up to 100 m³.",),
    ),
    "acoustic rehearsal room": TradeTarget(
        low_s=0.60,
        nominal_s=0.75,
        high_s=0.90,
        notes=(
            (
                "Size comes first: 10 m³ a player for light instruments, 20 m³ for winds, 80 m³ "
                "for a grand piano."
            ),
        ),
    ),
}


def room(key: str, title: str, volume_m3: float) -> Target:
    """What the trade aims at in one kind of room.

    Raises
    ------
    OutsideScope
        The room is larger than the practice speaks of.
    """
    p = PRACTICE[key]
    if p.most_m3 is not None and volume_m3 > p.most_m3:
        raise OutsideScope(
            document=f"the trade's range for a {key}",
            volume_m3=volume_m3,
            low_m3=0,
            high_m3=p.most_m3,
        )
    notes = p.notes
    if p.usual_m3 and not p.usual_m3[0] <= volume_m3 <= p.usual_m3[1]:
        low, high = p.usual_m3
        notes += (
            f"The range is meant for {low:g} to {high:g} m³; this room has {volume_m3:.3g} m³.",
        )
    return Target(
        key=key,
        title=title,
        source="common practice of the trade" + (", from memory" if p.mark == "memory" else ""),
        mark=p.mark,
        limits=_limits(p),
        mid_bands_hz=MID_BANDS_HZ,
        mid_low_s=p.low_s,
        mid_nominal_s=p.nominal_s,
        mid_high_s=p.high_s,
        occupied=None,
        notes=notes,
        evenness_s=p.even_s,
        evenness_pct=p.even_pct,
        c50_db=p.c50_db,
    )


def _limits(p: TradeTarget) -> tuple[BandLimit, ...]:
    low, high = p.low_s, p.high_s
    if p.even_s is not None and low is not None:
        low, high = low - p.even_s, high + p.even_s
    elif p.even_pct is not None and low is not None:
        low, high = low * (1 - p.even_pct / 100), high * (1 + p.even_pct / 100)
    else:
        low = None
    bass = () if p.bass_pct is None else (_bass(p.high_s * (1 + p.bass_pct / 100)),)
    return bass + tuple(BandLimit(band_hz=hz, low_s=low, high_s=high) for hz in p.even_hz)


def _bass(high_s: float) -> BandLimit:
    return BandLimit(band_hz=125.0, low_s=None, high_s=high_s)
