"""How alike two responses are: the same place again, the same recording, or a wire."""

from __future__ import annotations

import base64
import binascii

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.onset import start
from roomcheck.measure import ImpulseResponse

Real = NDArray[np.float64]

RATE_HZ, LOW_HZ, HIGH_HZ = 4000, 200.0, 1800.0
"""What a print keeps of a response: this band, so many points a second. [Hz]"""

LENGTH_S, LATE_S, SLIDE_S = 0.12, 0.02, 0.005
"""From the direct sound on; what a treatment changes most comes after `LATE_S`; onsets may be this
far apart. [s]"""

SAME_SPOT, AS_BEFORE = 0.9, 0.97
"""Two responses so alike are of the same spot: repeats show 0.97 to 0.99, two places of a room 0.6
at most. The late part of a second visit so alike to the first says that nothing has changed; twelve
places before and after a treatment show 0.55 to 0.75, curtains drawn 0.94 as a whole (our own
figures). [1]"""

WIRE_FROM_S, WIRE_TO_S, WIRE_DB = 0.005, 0.1, -40.0
"""A room sends back more than this between 5 ms and 0.1 s after the direct sound, a wire does not;
the deadest booth sends some -25 dB (common practice). [s], [dB re direct sound]"""

WIRE_BAND_HZ = (500.0, 8000.0)
"""Where that is heard: below it the sweep's own low end rings on. [Hz]"""


def print_of(response: ImpulseResponse) -> str:
    """A short text that tells a response from others: base64 of 8-bit samples, about 640 letters.

    Empty for silence.
    """
    x = _banded(response)
    largest = float(np.abs(x).max(initial=0.0))
    if largest == 0:
        return ""
    steps = np.round(127 * x / largest).astype(np.int8)
    return base64.b64encode(steps.tobytes()).decode("ascii")


def likeness(one: str, two: str, from_s: float = 0.0) -> float:
    """Correlation of two prints from so long after the direct sound on, at the best offset; 0
    where one cannot be read. [1]"""
    first, second = _read(one), _read(two)
    begin = round(from_s * RATE_HZ)
    first, second = first[begin:], second[begin:]
    size = float(np.linalg.norm(first) * np.linalg.norm(second))
    if size == 0 or len(first) != len(second):
        return 0.0
    slide = round(SLIDE_S * RATE_HZ)
    across = np.correlate(np.pad(first, slide), second, "valid")
    return float(across.max() / size)


def is_wire(response: ImpulseResponse) -> bool:
    """Whether there is no room in a response: what was played, recorded without a room."""
    begun = start(response)
    if not begun.samples.size:
        return False
    energy = _within(begun.samples, response.rate_hz) ** 2
    first, last = (round(at_s * response.rate_hz) for at_s in (WIRE_FROM_S, WIRE_TO_S))
    peak = int(np.argmax(energy[: 2 * first]))
    room = float(energy[peak + first : peak + last].sum())
    direct = float(energy[: peak + first].sum())
    return room < direct * 10 ** (WIRE_DB / 10)


def _within(x: Real, rate_hz: int) -> Real:
    """The band in which a wire is told from a room, no steeper than its half octaves: (frames,)."""
    from scipy import fft

    length = fft.next_fast_len(2 * len(x), real=True)
    spectrum = fft.rfft(x, length)
    octaves = np.log2(np.maximum(np.fft.rfftfreq(length, 1 / rate_hz), 1.0))
    low, high = np.log2(WIRE_BAND_HZ)
    rise = np.clip((octaves - low) * 2 + 1, 0, 1) * np.clip((high - octaves) * 2 + 1, 0, 1)
    return np.asarray(fft.irfft(spectrum * rise, length)[: len(x)], dtype=float)


def _banded(response: ImpulseResponse) -> Real:
    """The band of a response from its start on, 4000 points a second: (points,)."""
    begun = start(response)
    if not begun.samples.size:
        return np.zeros(0)
    x = begun.samples[: round((LENGTH_S + 0.05) * response.rate_hz)]
    spectrum = np.fft.rfft(x, 2 * len(x))
    frequency = np.fft.rfftfreq(2 * len(x), 1 / response.rate_hz)
    inside = (frequency > LOW_HZ) & (frequency < HIGH_HZ)
    part = (frequency[inside] - LOW_HZ) / (HIGH_HZ - LOW_HZ)
    weighted = spectrum[inside] * np.sqrt(np.sin(np.pi * part))
    at_s = np.arange(round(LENGTH_S * RATE_HZ)) / RATE_HZ
    turned = np.exp(2j * np.pi * np.outer(at_s, frequency[inside])) @ weighted
    return np.asarray(turned.real, dtype=float)


def _read(text: str) -> Real:
    try:
        return np.frombuffer(base64.b64decode(text, validate=True), dtype=np.int8).astype(float)
    except (binascii.Error, ValueError):
        return np.zeros(0)
