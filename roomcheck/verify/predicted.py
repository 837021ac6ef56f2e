"""What was predicted when a plan was signed, beside what the second visit measured."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from roomcheck.predict import Prediction
from roomcheck.verify.results import Verification


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """One octave, predicted and measured."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    likely_s: float
    """[s]"""
    low_s: float
    """[s]"""
    high_s: float
    """[s]"""
    measured_s: float
    """Mean T20 after, with as many people in the room as before [s]."""

    @property
    def inside(self) -> bool:
        """Whether the measured value lies in the predicted range."""
        return self.low_s <= self.measured_s <= self.high_s

    @property
    def off_pct(self) -> float:
        """How far the measured decay is above the likely one; below 0 where shorter. [%]"""
        return 100 * (self.measured_s / self.likely_s - 1)


def foretold(prediction: Prediction, verification: Verification) -> tuple[Foretold, ...]:
    """Every octave that was predicted with a range and measured again."""
    measured = {change.band_hz: change.after_s for change in verification.bands}
    found = []
    for band in prediction.after:
        after_s = measured.get(band.band_hz)
        if after_s is None or band.likely_s is None or band.low_s is None or band.high_s is None:
            continue
        found.append(
            Foretold(
                band_hz=band.band_hz,
                likely_s=band.likely_s,
                low_s=band.low_s,
                high_s=band.high_s,
                measured_s=after_s,
            )
        )
    return tuple(found)


def inside(values: Iterable[Foretold]) -> tuple[int, int]:
    """How many values lie in their range, and of how many."""
    all_values = tuple(values)
    return sum(value.inside for value in all_values), len(all_values)
