"""What a rating of background noise says, whichever family of curves it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseRating:
    """A noise spectrum against a family of curves."""

    family: Literal["NC", "NR"]
    value: float | None
    """The curve that the spectrum just touches; None where the published curves end below or above
    it [1]."""
    band_hz: float
    """The octave that decides [Hz]."""
    beyond: Literal["below", "above"] | None = None
    """On which side of the published curves the spectrum lies, where there is no value."""
    end: float | None = None
    """The published curve at which they end there [1]."""

    def __str__(self) -> str:
        if self.value is None:
            return f"{self.beyond} {self.family} {self.end:g}"
        return f"{self.family} {self.value:.0f}"


def check_levels(levels_db: dict[float, float], known_hz: tuple[float, ...]) -> None:
    """Refuse a spectrum with no octave, or with one that the curves do not have.

    Raises
    ------
    ValueError
    """
    foreign = sorted(set(levels_db) - set(known_hz))
    if foreign or not levels_db:
        raise ValueError(f"levels_db must hold octaves of {known_hz} Hz, not {foreign or 'none'}")
