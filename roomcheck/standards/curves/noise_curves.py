"""What a rating of background noise says, whichever family of curves it comes from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseRating:
    """A noise spectrum against a family of curves.

    Attributes
    ----------
    family : str
        "NC" or "NR".
    value : float or None
        The curve that the spectrum just touches; None where the published curves end below or above
        it.
    band_hz : float
        The octave that decides. [Hz]
    reason : str
        Why there is no value.
    """

    family: str
    value: float | None
    band_hz: float
    reason: str = ""

    def __str__(self) -> str:
        return self.reason if self.value is None else f"{self.family} {self.value:.0f}"


def check_levels(levels_db: dict[float, float], known_hz: tuple[float, ...]) -> None:
    """Refuse a spectrum with no octave, or with one that the curves do not have.

    Raises
    ------
    ValueError
    """
    foreign = sorted(set(levels_db) - set(known_hz))
    if foreign or not levels_db:
        raise ValueError(f"levels_db must hold octaves of {known_hz} Hz, not {foreign or 'none'}")
