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

CLAP_S, LONGEST_S = 0.0010, 0.003
"""How late the parts of a clap's spectrum come after its first: mean of an exponential, and most.
Hands are still within 20 ms (common knowledge of room measurement). [s]"""

TOGETHER_HZ, APART_HZ = 500.0, 2000.0
"""Parts below come at once and parts above as by chance, in between in part: what comes late by
much of a period changes how an octave's few modes add up, and with it the decay read. [Hz]"""

LEAD_S = 0.004
"""Before a clap's time, so that what begins it is whole. [s]"""

GRAIN_HZ = 150.0
"""Width of a part. [Hz]"""

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
    chance. All parts are worth the same. Hands are hollow about 1 kHz, but a spectrum that leans
    within an octave weighs the half of it that dies away sooner or later than the whole: by as
    much the decay read off a clap would not be the room's.
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
    octaves = np.log2(np.maximum(f, 1.0) / TOGETHER_HZ) / np.log2(APART_HZ / TOGETHER_HZ)
    delay_s = LEAD_S + np.interp(f, nodes, late_s) * np.clip(octaves, 0.0, 1.0)
    turns = np.concatenate([[0.0], np.cumsum((delay_s[1:] + delay_s[:-1]) / 2) * f[1]])
    return np.asarray(np.fft.irfft(np.exp(-2j * np.pi * turns), n))


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
