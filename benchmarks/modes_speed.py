"""Processor time of the modes of a visit beside that at an earlier commit, in the same run, and
whether the poles are the same.

    python benchmarks/modes_speed.py

Both programs fit the same low-passed records: made-up rooms (`modes.py`), and six places of the
real rooms where their recordings are at hand. The whole of `room_modes` is timed too; it has to
confirm its modes by places now, which it did not then.
"""

from __future__ import annotations

import math
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import modes
import modes_rooms
from house import checkout
from open_data import folder
from roomcheck.analyse.modes.low_end import low_end
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.analyse.modes.poles import Poles, find_poles
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

BASE = "74b4e5d"
"""With QR factorisations of the tall matrices."""

THEN = """
import sys, time
import numpy as np
from roomcheck.analyse.modes import room_modes
from roomcheck.analyse.poles import find_poles
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

given = np.load(sys.argv[1])
found = {}
seconds = np.zeros(2)
for turn in range(int(sys.argv[3])):
    for k in range(int(given["sets"])):
        began = time.process_time()
        poles = find_poles(given[f"low{k}"], float(given[f"low_rate{k}"]), 1.0)
        middle = time.process_time()
        rate = int(given[f"rate{k}"])
        room_modes(
            [ImpulseResponse(samples=x, rate_hz=rate) for x in given[f"heard{k}"]],
            room=Room.box(*given[f"size{k}"]), transition_hz=float(given[f"to{k}"]), speed_m_s=344.0,
        )
        if turn:
            seconds += middle - began, time.process_time() - middle
        found[f"hz{k}"], found[f"damping{k}"] = poles.frequency_hz, poles.damping_per_s
np.savez(sys.argv[2], seconds=seconds, **found)
"""
TURNS = 3
"""The first is not timed."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Task:
    """Responses of one room."""

    heard: tuple[ImpulseResponse, ...]
    size_m: tuple[float, float, float]
    transition_hz: float


@dataclass(frozen=True)
class Ratio:
    """Both programs on the same rooms."""

    name: str
    rooms: int
    fit_then_s: float
    fit_now_s: float
    whole_then_s: float
    whole_now_s: float
    poles: int
    """Poles known to a tenth of their damping, of the program as it is now."""
    alike: int
    """Of these, those that both programs have."""
    off_sd: float
    """Difference of their frequencies and dampings over the Cramér-Rao bound, root mean square."""


def tasks() -> dict[str, list[Task]]:
    """What both programs do."""
    rng = np.random.default_rng(5)
    made = [Task(tuple(modes.made_up(rng)[0]), (4.1, 3.05, 2.4), modes.TOP_HZ) for _ in range(12)]
    found = {"made-up rooms, 8 to 18 modes": made}
    data = folder()
    for real in modes_rooms.real_rooms(data) if data else ():
        size = real.room.corners[2][0], real.room.corners[2][1], real.room.height_m
        found[f"six places, {real.name}"] = [
            Task(real.responses[k : k + 12 : 2], size, real.transition_hz) for k in (0, 1)
        ]
    return found


def ratios() -> list[Ratio]:
    """One row for each kind of room."""
    base = checkout(BASE)
    return [_ratio(name, rooms, base) for name, rooms in tasks().items()]


def _ratio(name: str, rooms: list[Task], base: Path) -> Ratio:
    lows = [low_end(task.heard, task.transition_hz) for task in rooms]
    given: dict[str, object] = {"sets": len(rooms)}
    for k, (task, low) in enumerate(zip(rooms, lows, strict=True)):
        assert low is not None
        given |= {f"low{k}": low.y, f"low_rate{k}": low.rate_hz, f"to{k}": task.transition_hz}
        frames = min(len(response.samples) for response in task.heard)
        given[f"heard{k}"] = np.stack([response.samples[:frames] for response in task.heard])
        given |= {f"rate{k}": task.heard[0].rate_hz, f"size{k}": task.size_m}
    then = _then(given, base)
    now = np.zeros(2)
    off: list[float] = []
    known = alike = 0
    for turn in range(TURNS):
        for k, (task, low) in enumerate(zip(rooms, lows, strict=True)):
            assert low is not None
            began = time.process_time()
            poles = find_poles(low.y, low.rate_hz, 1.0)
            middle = time.process_time()
            room_modes(
                task.heard,
                room=Room.box(*task.size_m),
                transition_hz=task.transition_hz,
                speed_m_s=344.0,
            )
            if turn:
                now += middle - began, time.process_time() - middle
                continue
            pairs = _pairs(poles, then[f"hz{k}"], then[f"damping{k}"])
            known += int(np.sum(_is_known(poles)))
            alike += len(pairs)
            off += [value for pair in pairs for value in pair]
    timed = (TURNS - 1) * len(rooms)
    return Ratio(
        name=name,
        rooms=len(rooms),
        fit_then_s=float(then["seconds"][0]) / timed,
        fit_now_s=float(now[0]) / timed,
        whole_then_s=float(then["seconds"][1]) / timed,
        whole_now_s=float(now[1]) / timed,
        poles=known,
        alike=alike,
        off_sd=math.sqrt(float(np.mean(np.square(off)))) if off else math.nan,
    )


def _then(given: dict[str, object], base: Path) -> dict[str, Array]:
    with tempfile.TemporaryDirectory() as place:
        files = [str(Path(place) / name) for name in ("given.npz", "found.npz")]
        np.savez(files[0], **given)  # type: ignore[arg-type]
        subprocess.run([sys.executable, "-c", THEN, *files, str(TURNS)], check=True, cwd=base)
        with np.load(files[1]) as found:
            return dict(found)


def _is_known(poles: Poles) -> NDArray[np.bool_]:
    return np.asarray(poles.damping_sd_per_s < 0.1 * poles.damping_per_s)


def _pairs(poles: Poles, hz: Array, damping: Array) -> list[tuple[float, float]]:
    """How far each pole that is known is from the nearest of the others, in its own bounds; those
    that the others have not are left out."""
    pairs = []
    for k in np.flatnonzero(_is_known(poles)):
        if not len(hz):
            break
        at = int(np.argmin(np.abs(hz - poles.frequency_hz[k])))
        off_hz = (hz[at] - poles.frequency_hz[k]) / poles.frequency_sd_hz[k]
        off_damping = (damping[at] - poles.damping_per_s[k]) / poles.damping_sd_per_s[k]
        if max(abs(off_hz), abs(off_damping)) < 3:
            pairs.append((float(off_hz), float(off_damping)))
    return pairs


def main() -> None:
    for row in ratios():
        print(
            f"{row.name}: fit {1e3 * row.fit_then_s:.1f} ms then, {1e3 * row.fit_now_s:.1f} now "
            f"({row.fit_then_s / row.fit_now_s:.1f} times); whole {1e3 * row.whole_then_s:.1f}, "
            f"{1e3 * row.whole_now_s:.1f} ({row.whole_then_s / row.whole_now_s:.1f} times); "
            f"{row.alike} of {row.poles} poles alike, {row.off_sd:.3f} of their bound apart"
        )


if __name__ == "__main__":
    main()
