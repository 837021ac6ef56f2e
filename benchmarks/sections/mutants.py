"""Proof: small changes of the source that the tests notice; as `benchmarks/mutants.py` counts them."""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

TITLE = "What the tests notice"
KEPT, MINUTES = "MUTANTS_KEPT", "MUTANTS_MINUTES"
"""Environment: what was tried in parts before, and how long the rest may take."""
SHOWN = 12
"""Survivors of a stage that are named."""


def write(figures: Path, count: int | None = None) -> str:
    """The section, as markdown: an hour of processor time where nothing is kept."""
    del figures
    folder = str(Path(__file__).parents[1])
    if folder not in sys.path:
        sys.path.insert(0, folder)
    import mutants

    until_s = time.monotonic() + 60 * float(os.environ.get(MINUTES, "1e9"))
    with tempfile.TemporaryDirectory() as place:
        kept = Path(os.environ.get(KEPT, place))
        scores = [
            mutants.score_of(stage, count or mutants.COUNT, kept, until_s=until_s)
            for stage in mutants.STAGES
        ]
    lines = [
        "A comparison, a sum, a constant, a condition or a choice of the larger is turned round, drawn by lot; then "
        "tests that name its function or run it are run until one fails. For what went unnoticed at first tests were "
        "written against something outside of the program, and it was tried again: how many of changes that nobody "
        "looked at are noticed, another draw tells (`--seed`).",
        "",
        "| stage | changes tried | noticed | of those that change something |",
        "|---|---:|---:|---:|",
    ]
    survivors = []
    for score in scores:
        share = f"{100 * score.share:.0f} %" if score.tried else "–"
        lines.append(f"| {score.stage} | {score.tried} | {score.counts['killed']} | {share} |")
        survivors += [f"- `{mutant}`" for mutant in score.survivors[:SHOWN]]
    equal = sum(score.counts["equivalent"] for score in scores)
    lines += ["", f"{equal} changed nothing that matters, each looked at (`EQUIVALENT` says why) and left out. Not noticed:", ""]  # fmt: skip
    return "\n".join([*lines, *survivors]) + "\n"
