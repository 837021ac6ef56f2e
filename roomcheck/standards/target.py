"""What a room's sound is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Mark = Literal["verified", "memory", "common practice", "own"]

CLEAR_SPEECH_DB = 3.0
"""C50 from which the trade calls speech good; below 0 dB it is poor, between them fair. [dB]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandLimit:
    """Limits of the decay in one octave; None where that side is open.

    Attributes
    ----------
    band_hz : float
        Nominal mid-band frequency. [Hz]
    low_s, high_s : float or None
        [s]
    """

    band_hz: float
    low_s: float | None
    high_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """The decay a room of this use and size should have.

    Attributes
    ----------
    key, title : str
    source : str
        Document, edition and clause, or whose practice it is.
    mark : Mark
        How the numbers were come by.
    limits : tuple of BandLimit
        One an octave.
    mid_bands_hz : tuple of float
        Octaves whose mean is the single number. [Hz]
    mid_low_s, mid_nominal_s, mid_high_s : float or None
        Limits of that mean, and the value aimed at (the upper limit where the document has nothing
        else). [s]
    occupied : bool or None
        Whether the document means the room with people; None where it does not say.
    notes : tuple of str
        What the document asks beyond decay, and where it holds.
    evenness_s, evenness_pct : float or None
        How far an octave may stand from the mean that was measured, where the source says so. [s],
        [%]
    c50_db : float or None
        Least speech clarity wanted where one listens, by common practice; None where speech is not
        the use. [dB]
    """

    key: str
    title: str
    source: str
    mark: Mark
    limits: tuple[BandLimit, ...]
    mid_bands_hz: tuple[float, ...]
    mid_low_s: float | None
    mid_nominal_s: float
    mid_high_s: float | None
    occupied: bool | None
    notes: tuple[str, ...] = ()
    evenness_s: float | None = None
    evenness_pct: float | None = None
    c50_db: float | None = None

    def limit(self, band_hz: float) -> BandLimit | None:
        return next((limit for limit in self.limits if limit.band_hz == band_hz), None)
