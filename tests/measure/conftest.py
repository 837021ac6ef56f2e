"""A made-up job, made-up rooms, and takes in them with one fault at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from roomcheck.facts import Fact
from roomcheck.job import Job, load_job
from roomcheck.measure import ImpulseResponse, Sweep, TakeCheck
from roomcheck.measure.checks.listening import Decisions, listen
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.played import Played
from roomcheck.words import Reader, sentences

Array = NDArray[np.float64]
RATE_HZ = 48_000

JOB_TOML = """\
schema = 1
made_up = true
units = "metric"
paper = "a4"
currency = "$"
[client]
name = "A made-up town library"
title = "Story room"
complaint = "Everybody sounds far away."
[use]
room = "podcast room"
[room]
length = "4.4 m"
width = "3.6 m"
height = "2.6 m"
[room.materials]
walls = "gypsum board on studs"
floor = "thin carpet on concrete"
ceiling = "gypsum board on studs"
[[source]]
name = "S1"
x = "1.0 m"
y = "0.9 m"
z = "1.5 m"
[[microphone]]
name = "P1"
x = "3.1 m"
y = "2.3 m"
z = "1.2 m"
[[microphone]]
name = "P2"
x = "2.2 m"
y = "2.4 m"
z = "1.2 m"
[[visit]]
name = "before"
date = "2026-05-04"
temperature = "21 °C"
humidity = "45 %"
"""


@pytest.fixture
def job(tmp_path: Path) -> Job:
    folder = tmp_path / "story-room"
    folder.mkdir()
    (folder / "job.toml").write_text(JOB_TOML, encoding="utf-8")
    return load_job(folder)


def make_room(
    t_s: float = 0.5, seed: int = 0, direct: float = 3.0, rate_hz: int = RATE_HZ
) -> Array:
    """Gaussian decay of known reverberation time after a direct sound; unit energy. (frames,)"""
    n = int(1.3 * t_s * rate_hz)
    h = np.random.default_rng(seed).standard_normal(n) * 10 ** (-3 * np.arange(n) / rate_hz / t_s)
    h[0] += direct / 3 * np.sqrt(np.sum(h**2))
    return h / np.sqrt(np.sum(h**2))


def make_take(
    sweep: Sweep,
    room: Array,
    *,
    noise_dbfs: float = -75.0,
    lead_s: float = 0.5,
    tail_s: float = 2.0,
    level: float = 0.1,
    seed: int = 1,
    speaker: Callable[[Array], Array] = lambda x: x,
) -> Array:
    """What a recorder hears: silence, the sweep through loudspeaker and room, its decay, and noise.
    (frames,)"""
    rate = sweep.rate_hz
    played = np.concatenate(
        [np.zeros(int(lead_s * rate)), sweep.samples, np.zeros(int(tail_s * rate))]
    )
    heard = level * fftconvolve(speaker(played), room)[: len(played)]
    return heard + 10 ** (noise_dbfs / 20) * np.random.default_rng(seed).standard_normal(len(heard))


def judge(
    y: Array, played: Played | Sweep, *, rate_hz: int = RATE_HZ, bits: int = 16, **decisions: object
) -> tuple[ImpulseResponse, TakeCheck]:
    """Response and verdict of a recording, quantised as a recorder does."""
    step = 2.0 ** (1 - bits)
    y = np.round(np.clip(y, -1, 1 - step) / step) * step
    audio = Audio(y.astype(np.float32)[:, None], rate_hz, False, "REC.wav")
    what = Played(sweep=played) if isinstance(played, Sweep) else played
    response, check, _ = listen(audio, what, Decisions(**decisions))  # type: ignore[arg-type]
    return response, check


@pytest.fixture(scope="session")
def sweep() -> Sweep:
    return Sweep(low_hz=40, high_hz=20_000, seconds=6, rate_hz=RATE_HZ)


@pytest.fixture(scope="session")
def room() -> Array:
    return make_room()


@pytest.fixture
def helpers() -> type[Helpers]:
    return Helpers


def words(facts: Iterable[Fact[Any]]) -> str:
    """Facts as a contractor reads them."""
    return " ".join(sentences(facts, Reader(units="metric")))


class Helpers:
    words = staticmethod(words)
    make_room = staticmethod(make_room)
    make_take = staticmethod(make_take)
    judge = staticmethod(judge)
