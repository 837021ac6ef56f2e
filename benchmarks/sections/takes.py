"""Proof 2: sweeps through known rooms, with every fault on order."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

TITLE = "Sweeps, takes and two machines"

DRAWS, CORRECTED_DRAWS = 20, 8
IMAGES, IMAGE_DRAWS = "images, then a smooth tail", 100
"""The case of image-source rooms, and how many of them."""


def benchmark() -> ModuleType:
    """`benchmarks/takes.py`, by its path: benchmarks is no package."""
    name = "roomcheck_benchmarks_takes"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).parents[1] / "takes.py")
        assert spec is not None and spec.loader is not None
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


def write(figures: Path) -> str:
    """The section, as markdown."""
    del figures
    return "\n\n".join((_verdicts(DRAWS), _numbers(CORRECTED_DRAWS)))


def _verdicts(draws: int) -> str:
    takes = benchmark()
    images = {IMAGES: takes.CLEAN[IMAGES]}
    clean = list(takes.outcomes(takes.CLEAN, draws))
    clean += takes.outcomes(images, IMAGE_DRAWS - draws, first=draws)
    faulty = list(takes.outcomes({name: make for name, (make, _) in takes.FAULTS.items()}, draws))
    slowest = max(o.seconds for o in (*clean, *faulty))
    alarms = [o for o in clean if not o.kept]
    lines = [
        f"**False alarms: {len(alarms)} of {len(clean)} clean takes.** Made-up rooms, "
        "loudspeakers and recorders; every draw another room, sweep, level and noise. The "
        f"slowest verdict took {slowest:.1f} s.",
        "",
        "| clean takes | kept |",
        "|---|---|",
        *(f"| {case} | {_count(clean, case, lambda o: o.kept)} |" for case in takes.CLEAN),
        "",
        "Each fault is found where the take is to be repeated, or refused with the reason. A "
        "lossy codec is named, and the take kept with limits. Two loudspeakers less than 1.5 ms "
        "apart that differ in level as a reflection would cannot be told from one on a desk by "
        "a single take; then it is said as a note, and counted here as not found.",
        "",
        "| fault | found |",
        "|---|---|",
        *(
            f"| {case} | {_count(faulty, case, lambda o: found(o, takes.FAULTS[o.case][1]))} |"
            for case in takes.FAULTS
        ),
    ]
    return "\n".join(lines)


def found(outcome: object, said: str) -> bool:
    text, kept = getattr(outcome, "said", ""), getattr(outcome, "kept", True)
    return not kept or (said == "lossy" and said in text)


def _count(outcomes: list, case: str, good: object) -> str:
    mine = [o for o in outcomes if o.case == case]
    return f"{sum(bool(good(o)) for o in mine)} of {len(mine)}"  # type: ignore[operator]


def _numbers(draws: int) -> str:
    takes = benchmark()
    lines = [
        "Numbers after correction: a file with marker chirps through rooms of 0.3 to 1 s, T20 "
        "and T30 of the octaves from 250 Hz to 4 kHz against the same room without noise, sweep "
        f"or filter: median, and 95th percentile of the size of the error; {draws} rooms a case. "
        "Limits as for decays of known truth: 0.5 and 4 % for T20, 1 and 3 % for T30 at 40 to "
        "60 dB from onset to noise.",
        "",
        (
            "| what was wrong | clock found off by, worst (ppm) | T20 median, 95 % (%) | T30 "
            "median, 95 % (%) | withheld |"
        ),
        "|---|---|---|---|---|",
    ]
    for case in takes.CORRECTED:
        found = [takes.correct(case, seed) for seed in range(draws)]
        true_ppm = float(case.split()[1]) if case.startswith("clock") else 0.0
        worst = max(abs(f.drift_ppm - true_ppm) for f in found)
        t20, t30 = (
            takes.spread([e for f in found for e in getattr(f, name)])
            for name in ("t20_pct", "t30_pct")
        )
        lines.append(
            f"| {case} | {worst:.2f} | {t20[0]:+.2f}, {t20[1]:.1f} | {t30[0]:+.2f}, {t30[1]:.1f} | "
            f"{sum(f.withheld for f in found)} |"
        )
    return "\n".join(lines)
