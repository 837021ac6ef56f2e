"""What a room's sound is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Mark = Literal["verified", "memory", "common practice", "own"]

CLEAR_SPEECH_DB = 3.0
"""C50 from which the trade calls speech good; below 0 dB it is poor, between them fair. [dB]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandLimit:
    """Limits of the decay in one octave; None where that side is open."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    low_s: float | None
    """Least decay; None where the document gives none [s]."""
    high_s: float | None
    """Longest decay; None where the document gives none [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """The decay a room of this use and size should have."""

    key: str
    title: str
    source: str
    """Document, edition and clause, or whose practice it is."""
    mark: Mark
    """How the numbers were come by."""
    limits: tuple[BandLimit, ...]
    """One an octave."""
    mid_bands_hz: tuple[float, ...]
    """Octaves whose mean is the single number [Hz]."""
    mid_low_s: float | None
    """Lower limit of that mean [s]."""
    mid_nominal_s: float
    """What is aimed at: the upper limit where the document has nothing else [s]."""
    mid_high_s: float | None
    """Upper limit of that mean [s]."""
    occupied: bool | None
    """Whether the document means the room with people; None where it does not say."""
    notes: tuple[str, ...] = ()
    """What the document asks beyond decay, and where it holds."""
    evenness_s: float | None = None
    """How far an octave may stand from the mean that was measured, where the source says so in
    seconds [s]."""
    evenness_pct: float | None = None
    """The same, where the source says so in percent [%]."""
    c50_db: float | None = None
    """Least speech clarity wanted where one listens, by common practice; None where speech is not
    the use [dB]."""

    def limit(self, band_hz: float) -> BandLimit | None:
        return next((limit for limit in self.limits if limit.band_hz == band_hz), None)
