"""What to build and where to hang it."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.job import Placement
from roomcheck.predict import Prediction


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedBand:
    """What may be signed for one octave. [s]"""

    band_hz: float
    low_s: float
    high_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """What may be signed.

    Attributes
    ----------
    bands : tuple of PromisedBand
        Octaves above the transition frequency.
    mid_low_s, mid_high_s : float or None
        For the mean of 500 and 1000 Hz. [s]
    positions : int
        Source-microphone pairs at which it is measured again.
    conditions : tuple of str
        Under which it holds.
    """

    bands: tuple[PromisedBand, ...]
    mid_low_s: float | None
    mid_high_s: float | None
    positions: int
    conditions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Pieces of the shop's stock at their places.

    Attributes
    ----------
    title : str
        "what the target needs", …
    pieces : tuple of Placement
    prediction : Prediction
    promise : Promise
    reaches_target : bool
    shortfalls : tuple of str
        Which band misses, by how much, and what would cure it.
    gain_per_piece : tuple of float
        Mid-band seconds that each further piece took off, in the order they were added. [s]
    notes : tuple of str
    """

    title: str
    pieces: tuple[Placement, ...]
    prediction: Prediction
    promise: Promise
    reaches_target: bool
    shortfalls: tuple[str, ...]
    gain_per_piece: tuple[float, ...]
    notes: tuple[str, ...] = ()
