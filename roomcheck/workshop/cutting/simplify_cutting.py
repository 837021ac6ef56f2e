"""Plans that cost the least, made easier to follow: fewer ways to cut a bar, offcuts filled
first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from roomcheck.workshop.cutting.bars import CutProblem, Pattern, cost_of, fullest

_MOST_TIDIED = 120


def fewest_kinds(
    task: CutProblem, patterns: set[Pattern], chosen: Counter[Pattern]
) -> Counter[Pattern]:
    """A plan of the same cost whose bars are cut in as few ways as can be found in little time:
    easier to follow."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    listed = sorted(patterns | set(chosen))
    if len(listed) > _MOST_TIDIED or len(chosen) < 3:
        return chosen
    n, bars = len(listed), float(sum(chosen.values()))
    eye, zero = np.eye(n), np.zeros(n)
    cover = np.array([[p[1][i] for p in listed] for i in range(len(task.need))], dtype=float)
    cost = np.array([float(task.stock[p[0]].cost) for p in listed])
    held = [
        LinearConstraint(np.hstack([cover, 0 * cover]), lb=np.array(task.need, dtype=float)),
        LinearConstraint(
            np.concatenate([cost, zero])[None, :], ub=float(cost_of(task, chosen)) + 1e-6
        ),
        LinearConstraint(np.hstack([eye, -bars * eye]), ub=zero),
    ]
    for b, bar in enumerate(task.stock):
        if bar.limit is not None:
            own = np.array([float(p[0] == b) for p in listed])
            held.append(LinearConstraint(np.concatenate([own, zero])[None, :], ub=float(bar.limit)))
    found = milp(
        np.concatenate([zero, np.ones(n)]),
        constraints=held,
        integrality=np.ones(2 * n, dtype=np.int64),
        bounds=Bounds(0, np.concatenate([np.full(n, bars), np.ones(n)])),
        # Nodes, not seconds: the same job gives the same plan on every machine.
        options={"node_limit": 200},
    )
    if found.x is None:
        return chosen
    tidy = Counter({p: round(x) for p, x in zip(listed, found.x[:n], strict=True) if round(x)})
    fewer = len(exactly(task, tidy)) < len(exactly(task, chosen))
    return tidy if fewer and cost_of(task, tidy) <= cost_of(task, chosen) else chosen


def exactly(task: CutProblem, chosen: Mapping[Pattern, int]) -> Counter[Pattern]:
    """Bars without the parts that nobody asked for, which bought bars lose first."""
    left_over = [
        sum(p[1][i] * n for p, n in chosen.items()) - need for i, need in enumerate(task.need)
    ]
    bars: Counter[Pattern] = Counter()

    def bought_first(item: tuple[Pattern, int]) -> tuple[bool, int, Pattern]:
        return not task.stock[item[0][0]].cost, -sum(item[0][1]), item[0]

    for (b, counts), n in sorted(chosen.items(), key=bought_first):
        for _ in range(n):
            drop = [min(c, over) for c, over in zip(counts, left_over, strict=True)]
            left_over = [over - d for over, d in zip(left_over, drop, strict=True)]
            kept = tuple(c - d for c, d in zip(counts, drop, strict=True))
            if any(kept):
                bars[(b, kept)] += 1
    return bars


def offcuts_filled(task: CutProblem, bars: Counter[Pattern]) -> Counter[Pattern]:
    """Move parts from bought bars into offcuts that lie unused, fullest first: long bars keep
    longer leftovers."""
    single = [
        _Cutting(b, list(counts)) for (b, counts), n in sorted(bars.items()) for _ in range(n)
    ]
    used = Counter(bar.stock for bar in single)
    for o, stock in enumerate(task.stock):
        if stock.cost or stock.limit is None:
            continue
        for _ in range(stock.limit - used[o]):
            bought = [bar for bar in single if task.stock[bar.stock].cost]
            movable = [sum(bar.counts[i] for bar in bought) for i in range(len(task.sizes))]
            _, counts = fullest(task.sizes, [float(s) for s in task.sizes], movable, task.room[o])
            if not any(counts):
                break
            _take(bought, list(counts))
            single.append(_Cutting(o, list(counts)))
    return Counter((bar.stock, tuple(bar.counts)) for bar in single if any(bar.counts))


@dataclass
class _Cutting:
    """One bar while parts move: its place in the stock list, and how many of each length it
    gives."""

    stock: int
    counts: list[int]


def _take(bars: list[_Cutting], counts: list[int]) -> None:
    """Take parts off the emptiest bars first."""
    for bar in sorted(bars, key=lambda bar: sum(bar.counts)):
        for i, want in enumerate(counts):
            moved = min(want, bar.counts[i])
            bar.counts[i] -= moved
            counts[i] -= moved
