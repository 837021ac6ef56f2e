"""How long all parameters of a response take, beside general-purpose libraries on the same response
in the same run.

Run it with an interpreter that has pyfar, pyrato and acoustic-toolbox besides numpy, scipy and
roomcheck; none of them is needed for anything else. Times are medians of processor time, in turns
on one thread; look at the ratios.

    OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 python -P benchmarks/decay_speed.py   (-P: not beside
    other scripts) python -P benchmarks/decay_speed.py --json            the same for a program
"""

from __future__ import annotations

import argparse
import json
import logging
import sys
import tempfile
import time
import tracemalloc
import warnings
from collections.abc import Callable
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import decays
from roomcheck.measure.signal.signals import ImpulseResponse

RATE_HZ = 48_000
SECONDS = 3.0
Array = NDArray[np.float64]
Task = Callable[[], object]


def response(seed: int) -> Array:
    """Gaussian noise that falls by 60 dB in 0.9 s, 60 dB over white noise at its start."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    return rng.standard_normal(t.size) * 10 ** (-3 * t / 0.9) + 1e-3 * rng.standard_normal(t.size)


def ours(x: Array, fraction: int) -> object:
    return decays(ImpulseResponse(samples=x, rate_hz=RATE_HZ), fraction)


def pyrato(x: Array, fraction: int, method: str) -> object:
    """T20, T30, EDT, C50, C80, D50 and Ts in every band by one of its four decay curves that treat
    noise."""
    import pyfar as pf
    import pyrato as ra

    low_high = (63, 8000) if fraction == 1 else (50, 10_000)
    bands = pf.dsp.filter.fractional_octave_bands(
        pf.Signal(x, RATE_HZ), fraction, frequency_range=low_high
    )
    curve = getattr(ra.edc, f"energy_decay_curve_{method}")(bands, channel_independent=True)
    times = [
        ra.parameters.reverberation_time_linear_regression(curve, T=name)
        for name in ("EDT", "T20", "T30")
    ]
    clarity = [ra.parameters.clarity(curve, early_time_limit=ms) for ms in (50, 80)]
    return (*times, *clarity, ra.parameters.definition(curve), ra.parameters.center_time(curve))


def toolbox(x: Array, file: str, fraction: int) -> object:
    """EDT, T20, T30, C50 and C80; it treats no noise."""
    from acoustic_toolbox import room
    from acoustic_toolbox.bands import octave, third

    bands = octave(63, 8000) if fraction == 1 else third(50, 10_000)
    times = [room.t60_impulse(file, bands, rt=rt) for rt in ("edt", "t20", "t30")]
    return (*times, *(room.clarity(ms, x, RATE_HZ, bands) for ms in (50, 80)))


def seconds_of(tasks: dict[str, Task], turns: int) -> dict[str, float]:
    """Median processor time of each, all taken in turn; the first turn is not counted. [s]"""
    times: dict[str, list[float]] = {name: [] for name in tasks}
    for turn in range(turns + 1):
        for name, task in tasks.items():
            start = time.process_time()
            task()
            if turn:
                times[name].append(time.process_time() - start)
    return {name: median(found) for name, found in times.items()}


def extra_mib(task: Task) -> float:
    """Most memory that a task holds at a time beyond what there was. [MiB]"""
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    task()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return (peak - before) / 2**20


def rows(turns: int, batches: bool = True) -> list[dict[str, float | str]]:
    """Each task: times, ratios to ours, extra memory. Batches of 50 take minutes."""
    import soundfile

    xs = [response(seed) for seed in range(50)]
    out: list[dict[str, float | str]] = []
    with tempfile.TemporaryDirectory() as folder:
        files = [str(Path(folder) / f"{i}.wav") for i in range(len(xs))]
        for x, file in zip(xs, files, strict=True):
            soundfile.write(file, 0.2 * x / np.abs(x).max(), RATE_HZ, subtype="FLOAT")
        cases = (("octaves, one response", 1, 1, turns), ("thirds, one response", 3, 1, turns))
        for said, fraction, count, n in (
            *cases,
            *((("octaves, 50", 1, 50, 1), ("thirds, 50", 3, 50, 1)) if batches else ()),
        ):
            print(f"  {said} …", file=sys.stderr, flush=True)
            out.append(_row(said, fraction, xs[:count], files[:count], n))
    return out


def _row(
    said: str, fraction: int, xs: list[Array], files: list[str], turns: int
) -> dict[str, float | str]:
    methods = ("truncation", "lundeby", "chu", "chu_lundeby") if len(xs) == 1 else ("truncation",)
    tasks: dict[str, Task] = {"roomcheck": lambda: [ours(x, fraction) for x in xs]}
    for method in methods:
        tasks[f"pyrato {method}"] = lambda method=method: [pyrato(x, fraction, method) for x in xs]  # type: ignore[misc]
    tasks["acoustic-toolbox"] = lambda: [
        toolbox(x, f, fraction) for x, f in zip(xs, files, strict=True)
    ]
    found = seconds_of(tasks, turns)
    best = min(seconds for name, seconds in found.items() if name.startswith("pyrato"))
    return {
        "task": said,
        "ours_s": found["roomcheck"],
        "noise_treating_ratio": best / found["roomcheck"],
        "no_noise_ratio": found["acoustic-toolbox"] / found["roomcheck"],
        "ours_mib": extra_mib(tasks["roomcheck"]),
        "noise_treating_mib": extra_mib(lambda: pyrato(xs[0], fraction, "truncation")),
    }


def growth() -> dict[str, list[float]]:
    """Time of so many positions, in octaves and thirds together; and of bands. [s]"""
    counts = (1, 3, 6, 12, 24)
    xs = [response(seed) for seed in range(max(counts))]
    both = {str(n): (lambda n=n: [(ours(x, 1), ours(x, 3)) for x in xs[:n]]) for n in counts}  # type: ignore[misc]
    found = seconds_of(both, 3)
    bands = seconds_of({"8": lambda: ours(xs[0], 1), "24": lambda: ours(xs[0], 3)}, 7)
    return {
        "positions": list(map(float, counts)),
        "seconds": [found[str(n)] for n in counts],
        "bands_s": [*bands.values()],
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--turns", type=int, default=5)
    parser.add_argument("--quick", action="store_true", help="without batches of 50")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    warnings.simplefilter("ignore")
    logging.disable()
    found = {"rows": rows(args.turns, not args.quick), "growth": growth()}
    if args.json:
        print(json.dumps(found))
        return
    print(
        "how many times as long the others take (treats noise: the fastest of pyrato's four), "
        "and extra memory"
    )
    for row in found["rows"]:
        print(
            f"{row['task']:24} {1000 * row['ours_s']:8.1f} ms   treats noise "
            f"{row['noise_treating_ratio']:5.1f}x   does not {row['no_noise_ratio']:5.1f}x   "
            f"{row['ours_mib']:5.1f} MiB ({row['noise_treating_mib']:.0f})"
        )
    grown = found["growth"]
    for n, s in zip(grown["positions"], grown["seconds"], strict=True):
        print(f"{n:3.0f} positions, octaves and thirds: {s:.2f} s, {1000 * s / n:.0f} ms each")
    print("8 octaves {:.1f} ms, 24 thirds {:.1f} ms".format(*(1000 * s for s in grown["bands_s"])))


if __name__ == "__main__":
    main()
