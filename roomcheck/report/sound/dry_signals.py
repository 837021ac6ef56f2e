"""Dry sounds to hear a room with: a recorded voice, hand claps, and a phrase on a guitar.

Whose the recordings are, and under which licence, stands in `dry/LICENCES.txt`.
"""

from __future__ import annotations

import io
from importlib.resources import files
from math import gcd

import numpy as np
from numpy.typing import NDArray

Sound = NDArray[np.float64]

CLAP_S, LONGEST_S = 0.0015, 0.006
"""How late the parts of a clap's spectrum come after its first: mean of an exponential, and most.
Hands are still within 20 ms (common knowledge of room measurement). [s]"""

LEAD_S = 0.004
"""Before a clap's time, so that what begins it is whole. [s]"""

GRAIN_HZ = 150.0
"""Width of a part. [Hz]"""

HANDS_HZ, HANDS_WIDE_HZ, HANDS_GAIN = 1200.0, 900.0, 2.0
"""The hollow between two hands: middle and half width of its resonance, and what it adds, as the
literature on hand claps has it (from memory). [Hz], [Hz], [1]"""

CLAPS_AT_S, CLAPS_S = (0.1, 0.85, 1.6, 2.35), 3.0
"""When claps are struck, and how long the sound is. [s]"""

PAUSE_S = 0.45
"""Between the sounds of the programme. [s]"""

PROGRAMME_S = 10.0
"""Length of the programme, with the silence at its end. [s]"""

_SEED = 11


def claps(rate_hz: int, at_s: tuple[float, ...] = CLAPS_AT_S, length_s: float = CLAPS_S) -> Sound:
    """Hand claps, (frames,); peak 1.

    Each is another short crackle: the parts of its spectrum come a little after one another, as by
    chance. What every part is worth is the same for all and smooth across every octave, so that
    the decay read off a clap in a room is the room's.
    """
    rng = np.random.default_rng(_SEED)
    sound = np.zeros(round(length_s * rate_hz))
    for at in at_s:
        clap = _clap(rng, rate_hz)
        first = round((at - LEAD_S) * rate_hz)
        sound[first : first + len(clap)] += clap
    return np.asarray(sound / np.abs(sound).max())


def _clap(rng: np.random.Generator, rate_hz: int) -> Sound:
    n = round(0.04 * rate_hz)
    f = np.fft.rfftfreq(n, 1 / rate_hz)
    nodes = np.arange(0.0, f[-1] + GRAIN_HZ, GRAIN_HZ)
    late_s = np.minimum(rng.exponential(CLAP_S, len(nodes)), LONGEST_S)
    delay_s = np.interp(f, nodes, late_s)
    phase = 2 * np.pi * np.cumsum(delay_s + LEAD_S) * f[1]
    gain = 1 + HANDS_GAIN / (1 + ((f - HANDS_HZ) / HANDS_WIDE_HZ) ** 2)
    return np.asarray(np.fft.irfft(gain * np.exp(-1j * phase), n))


def voice(rate_hz: int) -> Sound:
    """A woman says one sentence, (frames,); peak 1. Nothing above 8 kHz was recorded."""
    return _recorded("speech", rate_hz)


def guitar(rate_hz: int) -> Sound:
    """Five seconds on a guitar with nylon strings, (frames,); peak 1."""
    return _recorded("guitar", rate_hz)


def programme(rate_hz: int) -> Sound:
    """The voice, two claps and the guitar, one after the other in `PROGRAMME_S`, (frames,)."""
    pause = np.zeros(round(PAUSE_S * rate_hz))
    two_claps = claps(rate_hz, at_s=(0.01, 0.51), length_s=0.6)
    said = np.concatenate([voice(rate_hz), pause, two_claps, pause, guitar(rate_hz)])
    frames = round(PROGRAMME_S * rate_hz)
    return np.pad(said, (0, frames - len(said)))


def _recorded(name: str, rate_hz: int) -> Sound:
    import soundfile as sf

    data = (files("roomcheck.report") / "sound" / "dry" / f"{name}.flac").read_bytes()
    samples, recorded_hz = sf.read(io.BytesIO(data))
    if recorded_hz != rate_hz:
        from scipy.signal import resample_poly

        common = gcd(rate_hz, recorded_hz)
        samples = resample_poly(samples, rate_hz // common, recorded_hz // common)
    return np.asarray(samples / np.abs(samples).max())
