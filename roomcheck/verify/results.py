"""Whether the promise is kept."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.analyse import BoxMode
from roomcheck.facts import Fact
from roomcheck.verify.kinds import Cause, ChangeNote, Difference, Kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A decay before and after, and what was promised for it."""

    before_s: float | None
    """Mean T20 before [s]."""
    after_s: float | None
    """Mean T20 after, with as many people in the room as before [s]."""
    after_u_s: float | None
    """Half of what to both sides of `after_s` holds 95 % by Student's t [s]."""
    change_s: float | None
    """After minus before over the same positions, the effect of other air taken off [s]."""
    change_u_s: float | None
    """Half of what to both sides holds 95 % by Student's t [s]."""
    low_s: float | None
    """Least decay, as signed [s]."""
    high_s: float | None
    """Longest decay, as signed [s]."""
    kept: Kept
    audible: bool | None
    """Whether the change exceeds both its uncertainty and the just noticeable 5 %."""
    notes: tuple[Fact[ChangeNote], ...] = ()
    more_pairs: int | None = None
    """Pairs more that would decide; None where it is decided, or no reasonable number would."""
    air_s: float | None = None
    """What the other air of the second visit did to the decay by itself, taken off `change_s`; None
    where air was the same or its effect stays below 1 % [s]."""
    people_s: float | None = None
    """What other people in the room did to the second decay, taken off `after_s` and `change_s`;
    None where as many were there [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandChange(Change):
    """One octave before and after."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanChange(Change):
    """The mean decay over some octaves before and after."""

    bands_hz: tuple[float, ...]
    """[Hz]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClarityChange:
    """Clarity C50 in one octave, before and after."""

    band_hz: float
    """[Hz]"""
    before_db: float | None
    """Mean over the positions that have a number both times [dB]."""
    after_db: float | None
    """The same [dB]."""
    change_db: float | None
    """After minus before [dB]."""
    change_u_db: float | None
    """Half of what to both sides holds 95 % by Student's t, over those positions [dB]."""
    audible: bool | None
    """Whether the change exceeds both its uncertainty (95 %) and the just noticeable 1 dB."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceChange:
    """A surface's first reflection at one pair of positions."""

    source: str
    microphone: str
    face: str
    delay_s: float
    """After the direct sound [s]."""
    before_db: float | None
    """Relative to the direct sound, 1 to 8 kHz; None where it did not stand out [dB]."""
    after_db: float | None
    """The same [dB]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModeChange:
    """A standing wave that both visits found."""

    frequency_hz: float
    """At the first visit [Hz]."""
    box: BoxMode | None
    """Which one of the room's size it is; None where none fits."""
    before_s: float
    """Time for 60 dB [s]."""
    after_s: float
    """The same [s]."""
    change_s: float
    """After minus before [s]."""
    change_u_s: float
    """Its standard uncertainty [s]."""
    sure: bool
    """Whether the change exceeds two standard uncertainties."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechChange:
    """Speech transmission index at one pair of positions."""

    source: str
    microphone: str
    before: float
    """Index of the first visit, 0 to 1."""
    after: float
    """Index of the second visit, 0 to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvennessChange:
    """How uneven the response is at one pair of positions."""

    source: str
    microphone: str
    from_hz: float
    """Clear of noise both times from here [Hz]."""
    to_hz: float
    """Up to here [Hz]."""
    before_db: float
    """Standard deviation about the trend of an octave; less is more even [dB]."""
    after_db: float
    """The same [dB]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """The job's last page."""

    bands: tuple[BandChange, ...]
    mid: MeanChange
    kept: Kept
    """Of the promise as a whole."""
    differences: tuple[Fact[Difference], ...]
    """Between the conditions of the two visits."""
    pairs: int
    """Source-microphone pairs measured both times."""
    pairs_after: int
    """Those measured after the work."""
    barring: tuple[Fact[Difference], ...] = ()
    """Those of the differences that forbid a comparison."""
    compared_anyway: bool = False
    """Whether it was made all the same, because somebody asked for it."""
    causes: tuple[Fact[Cause], ...] = ()
    """Not kept: what is most likely wrong, likeliest first."""
    clarity: tuple[ClarityChange, ...] = ()
    """What else changed, here and below, between the pairs of positions that both visits have; no
    promise hangs on it."""
    surfaces: tuple[SurfaceChange, ...] = ()
    modes: tuple[ModeChange, ...] = ()
    speech: tuple[SpeechChange, ...] = ()
    evenness: tuple[EvennessChange, ...] = ()

    @property
    def changes(self) -> tuple[BandChange | MeanChange, ...]:
        """The octaves, then the mean."""
        return (*self.bands, self.mid)
