"""Recordings for the golden jobs: a made-up room's decay from a seed, played through a sweep."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy.signal import fftconvolve

RATE_HZ = 48_000
SWEEP = {"low_hz": 40, "high_hz": 20_000, "seconds": 2, "rate_hz": RATE_HZ}
DECAY_S = {"before": 0.95, "after": 0.55}
"""Reverberation time of the made-up rooms at each visit. [s]"""
_RECORD_S = 2.0


def write_recordings(folder: Path, sweep: NDArray[np.float64], seed: int) -> None:
    """Write VISIT-MICROPHONE.wav for both visits and two microphones."""
    for visit, decay_s in DECAY_S.items():
        for microphone in ("P1", "P2"):
            rng = np.random.default_rng([seed, len(visit), int(microphone[1])])
            recording = fftconvolve(sweep, _response(rng, decay_s))
            recording *= 0.3 / np.abs(recording).max()
            recording += 1e-5 * rng.standard_normal(recording.size)
            path = folder / f"{visit}-{microphone}.wav"
            soundfile.write(path, recording, RATE_HZ, subtype="FLOAT")


def _response(rng: np.random.Generator, decay_s: float) -> NDArray[np.float64]:
    """A direct sound 10 ms in, and noise that dies away behind it."""
    seconds = np.arange(int(_RECORD_S * RATE_HZ)) / RATE_HZ
    response = 0.05 * rng.standard_normal(seconds.size) * 10 ** (-3 * seconds / decay_s)
    start = int(0.010 * RATE_HZ)
    response = np.concatenate([np.zeros(start), response])
    response[start] = 1.0
    return np.asarray(response, dtype=np.float64)
