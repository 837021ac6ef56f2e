"""Dry sounds to hear a room with, made here: hand claps, and a voice that says nothing in
particular."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Sound = NDArray[np.float64]

# First three formants of five vowels of a man's voice, rounded means as phonetics handbooks print
# them (from memory).
VOWELS_HZ = {
    "a": (730, 1090, 2440),
    "e": (530, 1840, 2480),
    "i": (270, 2290, 3010),
    "o": (570, 840, 2410),
    "u": (300, 870, 2240),
}
WIDTHS_HZ = (80.0, 100.0, 150.0)
"""Of the formants. [Hz]"""

RINGS = ((700.0, 0.0008), (1500.0, 0.0005), (3500.0, 0.0002))
"""Of a clap: most of it lies about 1 to 2 kHz (common knowledge of room measurement). [Hz], [s]"""

_SAID = ("sa", "to", "mi", "ke", "", "fo", "ta", "li", "su", "pe", "", "ko", "ma")
_SYLLABLE_S = 0.24
_PITCH_HZ = 115.0
_HISS = "sfktp"
_SEED = 11


def claps(rate_hz: int) -> Sound:
    """Four hand claps in three seconds, (frames,); peak 1.

    Each is the same three short rings: its spectrum is smooth across every octave, so that the
    decay read off a clap in a room is the room's.
    """
    sound = np.zeros(round(3.0 * rate_hz))
    t = np.arange(round(0.03 * rate_hz)) / rate_hz
    burst = sum(np.exp(-t / ring_s) * np.cos(2 * np.pi * hz * t) for hz, ring_s in RINGS)
    for at in (0.1, 0.85, 1.6, 2.35):
        first = round(at * rate_hz)
        sound[first : first + len(t)] = burst
    return np.asarray(sound / np.abs(sound).max())


def voice(rate_hz: int) -> Sound:
    """Syllables of a made-up voice for three seconds, (frames,); peak 1.

    A train of pulses through three formants a vowel, with noise for the consonants: it has a
    talker's rhythm and spectrum, about four syllables a second, and says nothing.
    """
    rng = np.random.default_rng(_SEED)
    sounds = [_syllable(text, i, rate_hz, rng) for i, text in enumerate(_SAID)]
    sound = np.concatenate(sounds)
    return np.asarray(sound / np.abs(sound).max())


def _syllable(text: str, index: int, rate_hz: int, rng: np.random.Generator) -> Sound:
    n = round(_SYLLABLE_S * rate_hz)
    if not text:
        return np.zeros(n)
    hiss, vowel = text[0], text[1]
    sound = np.zeros(n)
    start = round(0.09 * rate_hz)
    if hiss in _HISS:
        length = round((0.08 if hiss in "sf" else 0.02) * rate_hz)
        noise = rng.standard_normal(length) * np.hanning(length)
        sound[start - length : start] += 0.3 * _through(noise, rate_hz, _hiss_gain)
    pitch: Sound = (
        _PITCH_HZ
        * (1.12 - 0.02 * index)
        * (1 + 0.03 * np.sin(2 * np.pi * 4 * np.arange(n - start) / rate_hz))
    )
    phase = np.cumsum(pitch / rate_hz)
    pulses: Sound = np.diff(np.floor(phase), prepend=0.0).astype(np.float64)
    formed = _through(pulses, rate_hz, lambda f: _formants(f, VOWELS_HZ[vowel]))
    rise = np.minimum(np.arange(len(formed)) / (0.02 * rate_hz), 1.0)
    fall = np.minimum((len(formed) - np.arange(len(formed))) / (0.05 * rate_hz), 1.0)
    sound[start:] += formed / np.abs(formed).max() * rise * fall
    return sound


def _through(x: Sound, rate_hz: int, gain: Callable[[Sound], Sound]) -> Sound:
    f: Sound = np.fft.rfftfreq(2 * len(x), 1 / rate_hz).astype(np.float64)
    return np.fft.irfft(np.fft.rfft(x, 2 * len(x)) * gain(f))[: len(x)]


def _hiss_gain(f: Sound) -> Sound:
    return np.asarray(1 / (1 + (4500 / np.maximum(f, 1.0)) ** 4) / (1 + (f / 9000) ** 4))


def _formants(f: Sound, centres_hz: tuple[int, ...]) -> Sound:
    gain = np.zeros_like(f)
    for i, (centre, width) in enumerate(zip(centres_hz, WIDTHS_HZ, strict=True)):
        gain += 0.5**i / (1 + ((f - centre) / (width / 2)) ** 2)
    return np.asarray(gain / (1 + (60 / np.maximum(f, 1.0)) ** 4))
