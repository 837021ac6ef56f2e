"""Well diffusers beside each other, each begun at another well or read from the right, so that the
row is no grating.

A row of equal panels repeats at every panel's width and sends what it scatters into few directions.
The same depths begun elsewhere cost nothing at the bench and keep every count.

Cox and D'Antonio, Acoustic Absorbers and Diffusers, on periodicity and modulation; Angus, Using
grating modulation to achieve wideband large area diffusers, Applied Acoustics 60 (2000); both from
memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import groupby, pairwise

import numpy as np

from roomcheck.workshop.patterns.blocks import LARGEST_CLUSTER
from roomcheck.workshop.patterns.seams import Seam
from roomcheck.workshop.results import HangingLine, LaidPanel


def rows_of(lines: Sequence[HangingLine], seams: Sequence[Seam]) -> tuple[tuple[int, ...], ...]:
    """Numbers of the panels of every row, from the left; one that hangs alone is a row."""
    after = {seam.first: seam.second for seam in seams if seam.side == "right"}
    firsts = [i for i in range(len(lines)) if i not in after.values()]
    rows = []
    for first in firsts:
        row = [first]
        while row[-1] in after:
            row.append(after[row[-1]])
        rows.append(tuple(row))
    return tuple(rows)


def wells_run_on(
    depths_m: tuple[float, ...], run: int, names: Sequence[str], rows: Sequence[Sequence[int]]
) -> tuple[LaidPanel, ...]:
    """In which order each panel has its wells, so that no row of panels repeats itself.

    The first of a row has them as drawn; every run of the others begins at another well, or is
    read from the right, so that the row as far as it goes repeats least, with no more equal wells
    side by side than a panel itself has.

    Parameters
    ----------
    depths_m : tuple of float
        Of one panel, from the left. [m]
    run : int
        Wells of one run of the pattern; where a panel has no whole runs, all of its wells.
    names : sequence of str
        Of the panels.
    rows : sequence of sequence of int
        Numbers of the panels beside each other.
    """
    found: dict[int, tuple[int, ...]] = {}
    for row in rows:
        found |= zip(row, _orders(depths_m, run, len(row)), strict=True)
    return tuple(
        LaidPanel(name=name, rows=found[i], mirrored=False) for i, name in enumerate(names)
    )


@cache
def _orders(depths_m: tuple[float, ...], run: int, panels: int) -> tuple[tuple[int, ...], ...]:
    """Numbers of the wells from the left, from 1, of every panel of a row."""
    numbers = tuple(range(1, len(depths_m) + 1))
    runs = [numbers[start : start + run] for start in range(0, len(numbers), run)]
    allowed = max(_longest_run(depths_m), LARGEST_CLUSTER)
    row, orders = depths_m, [numbers]
    for _ in range(panels - 1):
        order: tuple[int, ...] = ()
        for wells in runs:
            way = _least_repeating(depths_m, row, wells, allowed)
            order += way
            row += tuple(depths_m[n - 1] for n in way)
        orders.append(order)
    return tuple(orders)


def _least_repeating(
    depths_m: tuple[float, ...], row: tuple[float, ...], wells: tuple[int, ...], allowed: int
) -> tuple[int, ...]:
    """The order of one run's wells with which the row so far repeats least."""
    turned = [(*wells[start:], *wells[:start]) for start in range(len(wells))]
    ways = list(dict.fromkeys([*turned, *(way[::-1] for way in turned)]))
    made = [row + tuple(depths_m[n - 1] for n in way) for way in ways]
    costs = [
        (max(_longest_run(longer), allowed), repeat_of(longer, len(wells)), i)
        for i, longer in enumerate(made)
    ]
    return ways[min(costs)[-1]]


def _longest_run(depths_m: Sequence[float]) -> int:
    """Most wells of one depth side by side."""
    return max(len(list(run)) for _, run in groupby(depths_m))


def repeat_of(depths_m: Sequence[float], run: int) -> float:
    """How much a row of wells repeats itself when it is moved along by one run or further: the
    largest autocorrelation, each over what then lies on each other; 1 for a plain repeat. [1]

    >>> round(repeat_of((0.0, 1.0, 4.0, 2.0) * 2, 4), 6)
    1.0
    """
    row = np.array(depths_m) - np.mean(depths_m)
    found = [0.0]
    # Fewer wells than a run on each other say little.
    for lag in range(run, len(row) - run + 1):
        one, other = row[lag:], row[: len(row) - lag]
        power = float(np.sqrt(np.sum(one**2) * np.sum(other**2)))
        if power > 0:
            found.append(float(np.sum(one * other)) / power)
    return round(max(found), 9)


def spans(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of every stretch of numbers that go up or down one by one.

    >>> spans((4, 5, 6, 1, 2, 3)), spans((2, 1, 3))
    ([(4, 6), (1, 3)], [(2, 1), (3, 3)])
    """
    breaks = [0]
    steps = [b - a for a, b in pairwise(numbers)]
    for i, step in enumerate(steps, 1):
        inside = i - breaks[-1] > 1
        if abs(step) != 1 or (inside and step != steps[i - 2]):
            breaks.append(i)
    ends = [*breaks[1:], len(numbers)]
    return [(numbers[a], numbers[b - 1]) for a, b in zip(breaks, ends, strict=True)]
