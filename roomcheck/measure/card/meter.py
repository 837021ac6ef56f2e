"""How loud it is now: the level at the input, while nothing is played."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from roomcheck.measure.card.card import LATENCY_S
from roomcheck.measure.card.portaudio import hushed, let_go, portaudio, within
from roomcheck.measure.faults import CardError

SILENT_DBFS = -140.0
"""What stands for exact zeros. [dB re full scale]"""

Levels = tuple[float, float]
"""Peak and root mean square since the last look. [dB re full scale]"""


class _Ear:
    """What came in since the last look."""

    def __init__(self, channel: int) -> None:
        self.channel = channel
        self.peak = self.energy = 0.0
        self.frames = 0

    def hear(self, data: Any, frames: int, _time: Any, _status: Any) -> None:
        part = data[:, min(self.channel, data.shape[1]) - 1].astype(np.float64)
        self.peak = max(self.peak, float(np.abs(part).max(initial=0.0)))
        self.energy += float(part @ part)
        self.frames += frames

    def look(self) -> Levels:
        peak, energy, frames = self.peak, self.energy, self.frames
        self.peak = self.energy = 0.0
        self.frames = 0
        rms = math.sqrt(energy / frames) if frames else 0.0
        return _db(peak), _db(rms)


@contextmanager
def meter(
    input: int | str | None = None, *, channel: int = 1, rate_hz: int = 48_000
) -> Iterator[Callable[[], Levels]]:
    """Listen to an input, and hand out a function that tells its level since the last call.

    Raises
    ------
    CardError
        There is no such input, or it does not open.
    """
    sd = portaudio()
    ear, streams = _Ear(channel), list[Any]()

    def start() -> None:
        stream = sd.InputStream(
            device=input,
            channels=max(channel, 1),
            callback=ear.hear,
            samplerate=rate_hz,
            latency=LATENCY_S,
            dtype="float32",
        )
        streams.append(stream)
        stream.start()

    try:
        with hushed():
            within(start)
    except (sd.PortAudioError, ValueError) as problem:
        raise CardError(
            where=f"input {'of the system' if input is None else input}",
            found=f"it does not open ({str(problem).partition('[PaErrorCode')[0].strip()})",
            needed=f"channel {channel} at {rate_hz} Hz",
            todo="Choose another input, or plug it in again.",
        ) from problem
    try:
        yield ear.look
    finally:
        let_go(*streams)


def _db(amplitude: float) -> float:
    return max(20 * math.log10(amplitude), SILENT_DBFS) if amplitude > 0 else SILENT_DBFS
