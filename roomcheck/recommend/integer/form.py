"""A problem as the rows and columns of an integer program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from roomcheck.recommend.integer.problem import Problem, Rule, Shares

Real = NDArray[np.float64]

TIE = 0.01
"""What the last candidate counts dearer than the first, as much money as nobody prices: of choices
that cost the same the one stands whose candidates come first. [unit of the costs]"""

WIDE = 0.5
"""A rule that names more than this share of the candidates is written by kinds. [1]"""


class Form:
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
    def of(cls, problem: Problem) -> Form:
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
