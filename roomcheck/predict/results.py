"""What a treated room will measure, with a range."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.facts import Fact
from roomcheck.predict.reasons import NoDecay, PredictionNote
from roomcheck.units import MID_BANDS_HZ


@dataclass(frozen=True, slots=True, kw_only=True)
class BandPrediction:
    """One octave of one state of the room."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    sabine_s: float | None
    """Decay by Sabine's formula; None where `reasons` say why, as in all decays below [s]."""
    eyring_s: float | None
    """Decay by Eyring's formula [s]."""
    simulated_s: float | None
    """Decay by image sources and energy transport; None where they were not followed [s]."""
    likely_s: float | None
    """Median of the range [s]."""
    low_s: float | None
    """Lower end of the range that holds the re-measured decay nine times in ten [s]."""
    high_s: float | None
    """Upper end of that range [s]."""
    measured_s: float | None = None
    """Decay measured in this state, where it was [s]."""
    reasons: tuple[Fact[NoDecay], ...] = ()
    """Why there is no decay; empty where there is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """The room as it is and as it will be."""

    before: tuple[BandPrediction, ...]
    """Every octave, untreated."""
    after: tuple[BandPrediction, ...]
    """Every octave, with the pieces hung."""
    mid_likely_s: float | None
    """Median of the mean over `mid_bands_hz` after treatment [s]."""
    mid_low_s: float | None
    """Lower end of its nine-in-ten range [s]."""
    mid_high_s: float | None
    """Upper end of its nine-in-ten range [s]."""
    transition_hz: float | None
    """Below it nothing is predicted [Hz]."""
    calibrated: bool
    """Whether a measured "before" moved the table values."""
    notes: tuple[Fact[PredictionNote], ...] = ()
    """What to know about the prediction as a whole."""
    mid_bands_hz: tuple[float, ...] = MID_BANDS_HZ
    """Octaves that the mean is over: those that the room's target averages, as far as they lie
    above the transition frequency [Hz]."""
