"""What a treated room will measure, with a range."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BandPrediction:
    """One octave of one state of the room.

    Attributes
    ----------
    band_hz : float
        [Hz]
    sabine_s, eyring_s, simulated_s : float or None
        Decay by each method; None with its reason. [s]
    likely_s, low_s, high_s : float or None
        Middle and ends of the range that holds the re-measured decay nine times in ten. [s]
    measured_s : float or None
        What was measured in this state, where it was. [s]
    reasons : tuple of str
    """

    band_hz: float
    sabine_s: float | None
    eyring_s: float | None
    simulated_s: float | None
    likely_s: float | None
    low_s: float | None
    high_s: float | None
    measured_s: float | None = None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """The room as it is and as it will be.

    Attributes
    ----------
    before, after : tuple of BandPrediction
    mid_likely_s, mid_low_s, mid_high_s : float or None
        Mean of the 500 and 1000 Hz octaves after treatment. [s]
    transition_hz : float or None
        Below it nothing is predicted. [Hz]
    calibrated : bool
        True where a measured "before" moved the table values.
    notes : tuple of str
    """

    before: tuple[BandPrediction, ...]
    after: tuple[BandPrediction, ...]
    mid_likely_s: float | None
    mid_low_s: float | None
    mid_high_s: float | None
    transition_hz: float | None
    calibrated: bool
    notes: tuple[str, ...] = ()
