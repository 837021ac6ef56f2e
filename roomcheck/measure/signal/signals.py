"""Signals: what is played and what the room answers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.geometry import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a record can carry, where that is less than a sweep through a measuring microphone can.

    Attributes
    ----------
    why : str
        A sentence: what kind of record it is.
    low_hz, high_hz : float
        Lowest and highest octave whose decay it carries. [Hz]
    indicative : bool
        Its decay times are no better than a survey.
    notes : tuple of str
        What else to know of it.
    """

    why: str
    low_hz: float
    high_hz: float
    indicative: bool = True
    notes: tuple[str, ...] = ()


LOSSY = Limits(
    why=(
        "A lossy file: decay times are indicative from 500 Hz to 2 kHz; early sound is not what "
        "was heard."
    ),
    low_hz=500.0,
    high_hz=2000.0,
)
"""Common practice: T20 of 500 Hz to 2 kHz is indicative, reflections and clarity are not."""

IMPULSE = Limits(
    why=(
        "A balloon, clap or shot: no two are alike, so a survey at most; early sound is the "
        "source's own."
    ),
    low_hz=125.0,
    high_hz=8000.0,
)
"""Common practice: T20 from 250 Hz to 4 kHz, nothing below 125 Hz, no clarity for acceptance."""


@dataclass(frozen=True, slots=True, eq=False, init=False)
class ImpulseResponse:
    """What a room makes of a click.

    Attributes
    ----------
    samples : (frames,) float64, read-only
        Sound pressure, relative unless calibrated. [1]
    rate_hz : int
        [Hz]
    limits : Limits or None
        What it can carry, where that is not everything.

    Raises
    ------
    ValueError
        `samples` is not one-dimensional, or `rate_hz` is not above 0.
    """

    samples: NDArray[np.float64]
    rate_hz: int
    limits: Limits | None

    def __init__(self, *, samples: ArrayLike, rate_hz: int, limits: Limits | None = None) -> None:
        held = np.array(samples, dtype=np.float64)
        if held.ndim != 1:
            raise ValueError(f"samples: shape {held.shape}, needed (frames,)")
        if rate_hz <= 0:
            raise ValueError(f"rate_hz: {rate_hz}, needed above 0")
        held.flags.writeable = False
        object.__setattr__(self, "samples", held)
        object.__setattr__(self, "rate_hz", int(rate_hz))
        object.__setattr__(self, "limits", limits)

    @property
    def seconds(self) -> float:
        return len(self.samples) / self.rate_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRange:
    """How far a band's response stands above its noise.

    Attributes
    ----------
    band_hz : float
        Nominal octave mid-band frequency. [Hz]
    range_db : float or None
        Peak to noise; None where the record holds no noise. [dB]
    lacking_db : float
        What T20 needs more; 0 where it has enough. [dB]
    """

    band_hz: float
    range_db: float | None
    lacking_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Buzz:
    """Something that sounds far above the sweep while it passes one frequency.

    Attributes
    ----------
    frequency_hz : float
        Where the sweep was. [Hz]
    over_db : float
        Over what is left while the sweep is elsewhere. [dB]
    under_db : float
        Re all that sounded at that moment. [dB]
    in_step : float
        How much it beats with the sweep's own period; about 1 for a knock or noise. [1]
    """

    frequency_hz: float
    over_db: float
    under_db: float
    in_step: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeCheck:
    """Whether a take may be kept.

    Attributes
    ----------
    keep : bool
    reasons : tuple of str
        Why it must be repeated; empty where it is kept.
    warnings : tuple of str
        What to know of a take that is kept.
    peak_dbfs : float
        Highest sample. [dB re full scale]
    noise_dbfs : float or None
        Before and after the sweep (RMS); None where the record holds none. [dB re full scale]
    bands : tuple of BandRange
        Octaves that the sweep covers.
    harmonics_db : float or None
        Second to fifth harmonic over the linear response, median of the octaves 500 Hz to 4 kHz;
        None where they are below the noise. [dB]
    drift_ppm : float or None
        Recorder's clock against the player's; None without markers. [1e-6]
    buzzes : tuple of Buzz or None
        What rattled; None where it was not looked for.
    """

    keep: bool
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]
    peak_dbfs: float
    noise_dbfs: float | None
    bands: tuple[BandRange, ...] = ()
    harmonics_db: float | None = None
    drift_ppm: float | None = None
    buzzes: tuple[Buzz, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurement:
    """One response between a source and a microphone.

    Attributes
    ----------
    source, microphone : str
        Names of the job's positions.
    take : str
        File it came from, within the job folder.
    response : ImpulseResponse
    check : TakeCheck
    signal : str
        What was played, in words; empty where only the answer is known.
    flight_s : float or None
        From a loopback channel to the first arrival; None where there was none, and delays count
        from the direct sound. [s]
    swept_hz : tuple of float or None
        Where the sweep began and ended; None where that is not known. [Hz]
    direction : str or None
        Which way the source pointed, or where it stood, if several are averaged.
    stood_m : (Point, Point) or None
        Where source and microphone stood, by the job when the take came in. [m]
    """

    source: str
    microphone: str
    take: str
    response: ImpulseResponse
    check: TakeCheck
    flight_s: float | None = None
    signal: str = ""
    swept_hz: tuple[float, float] | None = None
    direction: str | None = None
    stood_m: tuple[Point, Point] | None = None
