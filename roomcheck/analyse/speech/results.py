"""Speech transmission, background noise and rattles of a visit."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.facts import Fact, Kind
from roomcheck.measure import Record, Scale
from roomcheck.standards.curves.noise_curves import NoiseRating
from roomcheck.standards.iec_60268_16_2020 import Rating


class SpeechReason(Kind):
    """Why there is no index; of the octave `band_hz` where that is given."""

    SILENCE = "silence"
    NEEDS_SWEEP = "needs a sweep"
    TOO_SHORT = "too short"
    RATE_TOO_LOW = "rate too low"
    NO_DECAY = "no decay"
    RANGE_TOO_SMALL = "range too small"


class SpeechRemark(Kind):
    """What an index leaves out."""

    WITHOUT_NOISE = "without noise"
    WITHOUT_MASKING = "without masking"


@dataclass(frozen=True, slots=True, kw_only=True)
class BandSpeech:
    """One octave's part in the index."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    mti: float | None
    """Modulation transfer index, mean of 14 modulations, 0 to 1; None where `withheld` says why
    [1]."""
    snr_db: float | None = None
    """Speech over noise that was counted in; None where no noise is known [dB]."""
    withheld: Fact[SpeechReason] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechIndex:
    """Speech transmission index of one source and microphone."""

    sti: float | None
    """0 to 1; None where an octave has no answer [1]."""
    rating: Rating | None
    """The word that goes with it."""
    bands: tuple[BandSpeech, ...]
    """125 Hz to 8 kHz."""
    withheld: tuple[Fact[SpeechReason] | Fact[Record], ...] = ()
    """Why there is no index."""
    remarks: tuple[Fact[SpeechRemark], ...] = ()
    """What the index leaves out."""


class NoiseWarning(Kind):
    """What to know of a recording of the background noise."""

    UNSTEADY = "not steady"
    NO_OCTAVES = "octaves beyond the rate"
    OWN_NOISE = "own noise of the recorder"


class NoiseOutcome(Kind):
    """A noise level held against the limit of the room's use."""

    QUIET_ENOUGH = "quiet enough"
    TOO_LOUD = "too loud"
    RELATIVE = "relative"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseLevel:
    """One recording of the background noise."""

    take: str
    """The recording."""
    conditions: str
    """What was on or off, as typed."""
    seconds: float
    """[s]"""
    absolute: bool
    """True: levels in dB re 20 uPa; False: re full scale, comparable only at the same gain."""
    reference: Fact[Scale]
    """What makes it absolute, or why it is not."""
    octaves_db: tuple[tuple[float, float], ...]
    """Mid-band frequency and energy average over the recording [Hz], [dB]."""
    a_weighted_db: float
    """[dB]"""
    nc: NoiseRating | None
    """None where the level is not absolute."""
    nr: NoiseRating | None
    """None where the level is not absolute."""
    warnings: tuple[Fact[NoiseWarning], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rattle:
    """Something that buzzes when the sweep passes a frequency."""

    frequency_hz: float
    """What sets it off [Hz]."""
    over_db: float
    """Over what else the sweep leaves over [dB]."""
    under_db: float
    """Below the sweep itself at that moment [dB]."""
    takes: tuple[str, ...]
    """Where it was heard."""
    of: int
    """How many takes could have shown it."""
