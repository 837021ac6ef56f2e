"""Speed of the analysis beside general-purpose libraries, on whatever machine this runs on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from pages import table

TITLE = "Speed of the analysis"

SCRIPT = Path(__file__).resolve().parents[1] / "decay_speed.py"
PEERS = "PEERS_PYTHON"
"""Names an interpreter that has the other libraries, where this one has not."""


def write(figures: Path) -> str | None:
    python = os.environ.get(PEERS, sys.executable)
    has = subprocess.run(
        [python, "-P", "-c", "import pyfar, pyrato, acoustic_toolbox"],
        capture_output=True,
        check=False,
    )
    if has.returncode:
        return None
    here = os.pathsep.join(filter(None, (str(SCRIPT.parents[1]), os.environ.get("PYTHONPATH"))))
    one_thread = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": here}
    run = [python, "-P", str(SCRIPT), "--json"]
    done = subprocess.run(
        run, env=os.environ | one_thread, stdout=subprocess.PIPE, text=True, check=True
    )
    found = json.loads(done.stdout)
    return "\n".join((_how(), _ratios(found["rows"]), _growth(found["growth"])))


def _how() -> str:
    return (
        "Processor time on one machine, one thread, all in one run and in turn: use the ratios. "
        "Each gives all parameters of a 3 s response at 48 kHz with T = 0.9 s. *Treats noise*: "
        "pyfar 0.8.1 with the fastest of the four curves of pyrato 1.1.0 that do (for 50 "
        "responses, its truncation). *Does not*: acoustic-toolbox 0.2.2. Asked: at least 2.5 "
        "times as fast as what treats noise (about 7 is what one transform and decimated "
        "inverses allow), at most 30 MiB extra, twelve positions in octaves and thirds under 3 "
        "s.\n"
    )


def _ratios(rows: list[dict]) -> str:
    return table(
        (
            "task",
            "here",
            "treats noise",
            "does not",
            "extra memory here",
            "extra memory, treats noise",
        ),
        [
            (
                row["task"],
                f"{1000 * row['ours_s']:.0f} ms",
                f"{row['noise_treating_ratio']:.1f} times as long",
                f"{row['no_noise_ratio']:.1f} times as long",
                f"{row['ours_mib']:.0f} MiB",
                f"{row['noise_treating_mib']:.0f} MiB",
            )
            for row in rows
        ],
    )


def _growth(grown: dict) -> str:
    rows = [
        (f"{n:.0f}", f"{s:.2f} s", f"{1000 * s / n:.0f} ms")
        for n, s in zip(grown["positions"], grown["seconds"], strict=True)
    ]
    eight, thirds = (1000 * s for s in grown["bands_s"])
    return (
        "Cost against positions, octaves and thirds together:\n\n"
        + table(("positions", "time", "each"), rows)
        + f"\nEight octaves take {eight:.0f} ms, 24 thirds {thirds:.0f} ms: {eight / 8:.1f} and {thirds / 24:.1f} ms a "
        "band.\n"
    )
