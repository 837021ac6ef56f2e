"""Choose candidates exactly, as an integer program. Nothing here knows of rooms or sound."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from roomcheck.recommend.solver.silenced import silenced

Real = NDArray[np.float64]

TIE = 0.01
"""What the last candidate counts dearer than the first, as much money as nobody prices: of choices
that cost the same the one stands whose candidates come first. [unit of the costs]"""

WIDE = 0.5
"""A rule that names more than this share of the candidates is written by kinds. [1]"""

INFEASIBLE = 2
"""scipy.optimize.milp's status where no choice keeps the constraints."""

BROKEN = 1e-6
"""A rule that is broken by less is kept: the solver's own tolerance. [unit of the rule]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One linear rule, with a price for what it lacks."""

    name: str
    weights: Mapping[int, float]
    """By candidate."""
    low: float = -np.inf
    """The weighted sum is not below it."""
    high: float = np.inf
    """The weighted sum is not above it."""
    price: float | None = None
    """For every unit outside; None where the rule may not be broken."""
    is_limit: bool = False
    """Whether a choice that breaks it misses what it is made for, not a wish beside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """A rule on cells that count once, however many candidates cover them."""

    name: str
    cells: tuple[tuple[float, Mapping[int, float]], ...]
    """Size of each, and what share of it each candidate covers."""
    least: float
    """Of the sizes covered, summed."""
    price: float
    """For every unit that lacks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What to choose from."""

    costs: Sequence[float]
    """Of choosing each candidate."""
    packs: Sequence[frozenset[int]] = ()
    """Candidates of which at most one may be chosen."""
    rules: Sequence[Rule] = ()
    shares: Sequence[Shares] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The best choice of a search."""

    chosen: tuple[int, ...]
    """Indices of the candidates, ascending."""
    cost: float
    """Of the candidates and of what rules lack, as priced."""
    lacking: Mapping[str, float] = field(default_factory=dict)
    """By rule: how far outside; absent where it is kept."""
    keeps_limits: bool = True
    """Whether every rule that is a limit is kept."""
    gap: float = 0.0
    """Between the cost and the least that any choice could have, as a share; 0 is proved best
    [1]."""
    finished: bool = True
    """False where nodes ran out first."""


class NoChoice(Exception):
    """The rules that may not be broken contradict each other."""


class OutOfNodes(NoChoice):
    """The search ended before a first answer."""


def choose(problem: Problem, *, gap: float = 0.0, nodes: int = 400) -> Choice:
    """Return the cheapest choice of candidates.

    The search ends by proof or by nodes, never by a clock, and HiGHS runs on one thread with a
    fixed seed: the same problem gives the same choice on every machine and under any load. It ends
    with the best there is, so that no last digit of a prediction, and no other solver, leads it
    elsewhere; of equals the one stands whose candidates come first (by stock piece, then by face,
    then by place): each counts dearer than the one before, all together by `TIE`.

    Parameters
    ----------
    problem : Problem
    gap : float
        Share of the cost at which the search stops. [1]
    nodes : int
        Branches looked into at most.

    Raises
    ------
    NoChoice
        No choice keeps the rules without a price.
    OutOfNodes
        None was found in so many nodes.

    References
    ----------
    Mixed-integer optimum by HiGHS through scipy.optimize.milp.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    form = _Form.of(problem)
    rows, columns, weights = form.entries()
    matrix = csr_array((weights, (rows, columns)), shape=(len(form.rows), len(form.costs)))
    with silenced():
        answer = milp(
            np.array(form.costs) + form.ties(),
            constraints=LinearConstraint(matrix, np.array(form.low), np.array(form.high)),
            integrality=np.array(form.whole),
            bounds=Bounds(np.zeros(len(form.costs)), np.array(form.upper)),
            options={"mip_rel_gap": gap, "node_limit": nodes},
        )
    if answer.x is None:
        # scipy has no status of its own for a search that ends by nodes before a first answer.
        raise (NoChoice if answer.status == INFEASIBLE else OutOfNodes)(answer.message)
    chosen = tuple(int(i) for i in np.flatnonzero(answer.x[: len(problem.costs)] > 0.5))
    broken = lacking(problem, chosen)
    return Choice(
        chosen=chosen,
        cost=cost(problem, chosen),
        lacking=broken,
        keeps_limits=not any(rule.is_limit and rule.name in broken for rule in problem.rules),
        gap=float(answer.mip_gap or 0.0),
        finished=answer.status == 0,
    )


def lacking(problem: Problem, chosen: Sequence[int]) -> dict[str, float]:
    """How far each rule is broken by a choice, straight from the rules; rules that are kept are
    absent."""
    picked = set(chosen)
    broken: dict[str, float] = {}
    for rule in problem.rules:
        total = sum(weight for i, weight in rule.weights.items() if i in picked)
        off = max(rule.low - total, total - rule.high, 0.0)
        if off > BROKEN:
            broken[rule.name] = off
    for shares in problem.shares:
        off = shares.least - covered(shares, picked)
        if off > BROKEN:
            broken[shares.name] = off
    return broken


def covered(shares: Shares, picked: set[int]) -> float:
    """Sum of the sizes covered, each cell at most once."""
    return sum(
        size * min(sum(s for i, s in cell.items() if i in picked), 1.0)
        for size, cell in shares.cells
    )


def cost(problem: Problem, chosen: Sequence[int]) -> float:
    """What a choice costs with what it lacks, straight from the rules; infinite where a hard rule
    is broken."""
    prices = {rule.name: rule.price for rule in problem.rules} | {
        s.name: s.price for s in problem.shares
    }
    total = sum(problem.costs[i] for i in chosen)
    for name, off in lacking(problem, chosen).items():
        price = prices[name]
        total += np.inf if price is None else price * off
    packed = all(len(pack & set(chosen)) <= 1 for pack in problem.packs)
    return float(total) if packed else float(np.inf)


class _Form:
    """The problem as matrix rows, with a column for everything that may lack, every cell, and the
    number chosen of every kind.

    Of a kind are candidates that weigh the same in every wide rule. Which of them hang makes no
    difference to those rules, only how many: so the search branches on numbers, not through all
    the ways of swapping one for another.
    """

    def __init__(self, n: int, costs: Sequence[float]) -> None:
        self.n = n
        self.costs: list[float] = list(costs)
        self.whole: list[int] = [1] * n
        self.upper: list[float] = [1.0] * n
        self.rows: list[dict[int, float]] = []
        self.low: list[float] = []
        self.high: list[float] = []

    @classmethod
    def of(cls, problem: Problem) -> _Form:
        form = cls(len(problem.costs), problem.costs)
        for pack in problem.packs:
            if len(pack) > 1:
                form.row(dict.fromkeys(sorted(pack), 1.0), -np.inf, 1.0)
        wide = [rule for rule in problem.rules if len(rule.weights) > WIDE * form.n]
        kinds = form.kinds(wide)
        for rule in problem.rules:
            form.rule(rule, kinds if rule in wide else {})
        for shares in problem.shares:
            form.cells(shares)
        if not form.rows:
            form.row({0: 0.0} if form.costs else {}, -np.inf, 1.0)
        return form

    def column(self, price: float, upper: float = np.inf, whole: int = 0) -> int:
        self.costs.append(price)
        self.whole.append(whole)
        self.upper.append(upper)
        return len(self.costs) - 1

    def row(self, weights: Mapping[int, float], low: float, high: float) -> None:
        self.rows.append(dict(weights))
        self.low.append(low)
        self.high.append(high)

    def kinds(self, wide: Sequence[Rule]) -> dict[int, int]:
        """A column for the number chosen of each kind, and to which one each candidate counts."""
        alike: dict[tuple[float, ...], list[int]] = {}
        for i in range(self.n):
            alike.setdefault(tuple(rule.weights.get(i, 0.0) for rule in wide), []).append(i)
        column_of: dict[int, int] = {}
        for kind in alike.values():
            if wide and len(kind) > 1:
                number = self.column(0.0, float(len(kind)), whole=1)
                self.row({**dict.fromkeys(kind, 1.0), number: -1.0}, 0.0, 0.0)
                column_of |= dict.fromkeys(kind, number)
        return column_of

    def rule(self, rule: Rule, kinds: Mapping[int, int]) -> None:
        weights = {kinds.get(i, i): w for i, w in rule.weights.items() if w}
        if rule.price is None:
            self.row(weights, rule.low, rule.high)
            return
        if np.isfinite(rule.low):
            self.row({**weights, self.column(rule.price): 1.0}, rule.low, np.inf)
        if np.isfinite(rule.high):
            self.row({**weights, self.column(rule.price): -1.0}, -np.inf, rule.high)

    def cells(self, shares: Shares) -> None:
        total: dict[int, float] = {}
        for size, cell in shares.cells:
            column = self.column(0.0, 1.0)
            self.row({**{i: -s for i, s in cell.items()}, column: 1.0}, -np.inf, 0.0)
            total[column] = size
        self.row({**total, self.column(shares.price): 1.0}, shares.least, np.inf)

    def ties(self) -> Real:
        """What candidates count dearer by their order. (columns,)

        Roots, so that no two choices of different candidates add up to the same.
        """
        dearer = np.zeros(len(self.costs))
        dearer[: self.n] = TIE * np.sqrt(np.arange(self.n) / max(self.n, 1))
        return dearer

    def entries(self) -> tuple[NDArray[np.int64], NDArray[np.int64], Real]:
        """Row, column and weight of everything that is not zero."""
        at = [(r, c, v) for r, row in enumerate(self.rows) for c, v in row.items()]
        rows, columns = (np.array([a[k] for a in at], dtype=np.int64) for k in (0, 1))
        return rows, columns, np.array([a[2] for a in at], dtype=float)


def packs_of(
    takes: Sequence[Sequence[tuple[str, float, float, float, float]]], gap: float
) -> list[frozenset[int]]:
    """Cells of the plane that at most one candidate may cover, so that none overlap.

    Parameters
    ----------
    takes : by candidate, rectangles as (plane, left, bottom, right, top)
        [m]
    gap : float
        Left between neighbours. [m]

    Returns
    -------
    list of set of int
        Without those that lie in another; two candidates share one exactly where they come nearer
        than `gap`.
    """
    by_plane: dict[str, list[tuple[int, tuple[float, float, float, float]]]] = {}
    for i, rectangles in enumerate(takes):
        for plane, u1, v1, u2, v2 in rectangles:
            by_plane.setdefault(plane, []).append((i, (u1, v1, u2 + gap, v2 + gap)))
    found: set[frozenset[int]] = set()
    for entries in by_plane.values():
        # Rectangles on a plane that overlap in pairs share a corner (left of one, bottom of one):
        # Helly.
        box = np.array([r for _, r in entries])
        who = np.array([i for i, _ in entries])
        lefts, bottoms = np.unique(box[:, 0]), np.unique(box[:, 1])
        tiny = 1e-6
        for u in lefts:
            column = (box[:, 0] <= u + tiny) & (box[:, 2] > u + tiny)
            for v in bottoms:
                inside = column & (box[:, 1] <= v + tiny) & (box[:, 3] > v + tiny)
                if inside.sum() > 1:
                    found.add(frozenset(int(i) for i in who[inside]))
    largest: list[frozenset[int]] = []
    for pack in sorted(found, key=lambda p: (-len(p), sorted(p))):
        if not any(pack <= other for other in largest):
            largest.append(pack)
    return largest
