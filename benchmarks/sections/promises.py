"""Proof: promises kept, broken and undecided, on visits whose truth is known; and shops that
learn."""

from __future__ import annotations

from pathlib import Path

import learning
import promises
import promises_traced

TITLE = "Is the promise kept: wrong verdicts, and what a shop learns"
RUNS = 1000
LEARNED = "learning.csv"
"""Kept by `python benchmarks/learning.py 50 6 --keep docs/figures/learning.csv`, with traced rooms."""
TRACED, ROOMS = "promises-traced.txt", 60
"""Kept by `python benchmarks/promises_traced.py 60 --keep docs/figures/promises-traced.txt`."""


def traced(figures: Path) -> list[str]:
    """Promises of traced rooms, as kept, else computed anew."""
    kept = figures / TRACED
    if kept.is_file():
        return kept.read_text(encoding="utf-8").splitlines()
    return promises_traced.table(promises_traced.measure(range(ROOMS)))


def write(figures: Path) -> str:
    """Both tables as markdown; no figure."""
    lines = [
        (
            "Simulated pairs of visits with known decays in five octaves and their mean; limits "
            "0.30 to 0.40 s. A wrong"
        ),
        (
            "verdict is one on the promise as a whole. The room stands where errors are likeliest: "
            "on a limit."
        ),
        f"{RUNS} runs a cell; the limit of both wrong verdicts is 5 %.",
        "",
        (
            "| pairs | scatter over the formula of ISO 3382-2 | wrongly kept | wrongly not kept | "
            "undecided mid-way |"
        ),
        "|---:|---:|---:|---:|---:|",
    ]
    for pairs, ratio, kept, broken, undecided in promises.table(RUNS):
        lines.append(f"| {pairs} | {ratio:g} | {kept:.1%} | {broken:.1%} | {undecided:.1%} |")
    lines += [
        "",
        (
            "**In rooms whose truth is traced** (those of the ranges above): made from the "
            "measured before as a plan makes it, held against the traced after; then measured "
            "again ten times. Broken ones: each room also taken a third longer. Clear: every "
            "value 1.5 expanded uncertainties inside its limits, or one so far outside."
        ),
        "",
        *traced(figures),
        "",
        f"**Learning.** {RUNS} made-up shops; a piece that is unsure by 15 % and makes a third "
        "to a half of the decay.",
        (
            "How often the next decay lies in its nine-in-ten range, and how wide that is (ln "
            "high/low):"
        ),
        "",
        "| pieces really absorb | jobs learned from | inside | width |",
        "|---|---:|---:|---:|",
    ]
    for factor, done, inside, width in learning.next_jobs(RUNS):
        name = f"{factor:g} of what is computed" if factor else "as unsure as computed"
        lines.append(f"| {name} | {done} | {inside:.0%} | {width:.3f} |")
    lines += ["", *_learned(figures)]
    return "\n".join(lines)


def _learned(figures: Path) -> list[str]:
    """What shops learn over their jobs in traced rooms, as kept; nothing where it was not."""
    kept = figures / LEARNED
    if not kept.is_file():
        return []
    shops, found = learning.read(kept)
    jobs = max(len(rows) for rows in found.values())
    lines = [
        (
            f"The whole chain on {shops} made-up shops with {jobs} jobs each in the traced rooms of "
            "the ranges: rooms of one kind each, like in scattering and in how far their panels are "
            "off what was computed. Octaves inside the nine-in-ten range and its median width (ln "
            "high/low), with what verified jobs taught of the pieces and of the prediction's own "
            "error, and without."
        ),
        "",
        (
            "| shops in | jobs learned from | octaves | inside | width | inside, not learning | "
            "width |"
        ),
        "|---|---:|---:|---:|---:|---:|---:|",
    ]
    for name, rows in found.items():
        for done, bands, inside, width, plain, wide in rows:
            lines.append(
                f"| {name} | {done} | {bands} | {inside:.0%} | {width:.3f} | {plain:.0%} | "
                f"{wide:.3f} |"
            )
    return [*lines, "", *LEARNING_LIMIT]


LEARNING_LIMIT = [
    (
        "A range narrower by a fifth is not reached. With the whole chain in traced rooms (37 made-up shops, the "
        "images' paths not followed, so that the predictions are surer than they ought to be) ranges after five jobs are "
        "wider: 0.36 against 0.32 without learning, 81 % inside against 79 %; in other rooms 0.42 against 0.32, 78 % "
        "inside against 68 %: what is learned there is that the rooms differ more than was said. In a study on "
        "predictions with those paths ranges are 3 to 4 % narrower at 93 % inside, with half of the model's variance "
        "taken as the shop's own 6 to 10 % at 90 to 92 %. Panels known exactly would take off 1 %; rooms of one kind share 13 to "
        "25 % of the variance of their errors. More is learned where pieces are less sure: the table above."
    ),
]
