"""An integer program as HiGHS solves it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from roomcheck.recommend.integer.beside import beside
from roomcheck.recommend.integer.form import Form
from roomcheck.recommend.integer.silenced import silenced

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Real = NDArray[np.float64]
Flags = NDArray[np.bool_]

SOLVED, INFEASIBLE = 0, 2
"""scipy.optimize.milp's status where the best was found, and where nothing keeps the rules."""

HALF = 1e-6
"""A column that is off a whole number by more is not whole: the solver's own tolerance. [1]"""

ROUNDING = 1e-9
"""A gap that is no larger is none. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """What a search found."""

    columns: Real | None
    """(columns,): None where nothing was found."""
    cost: float
    """Ties counted."""
    gap: float
    """As of `Choice`. [1]"""
    finished: bool
    """False where nodes ran out first."""
    impossible: bool
    """Whether nothing keeps the rules; scipy has no status of its own for a search that ends by
    nodes before a first answer."""

    @property
    def least(self) -> float:
        """What any answer costs at least."""
        return self.cost - self.gap * abs(self.cost)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Program:
    """Columns, rows, and which columns are whole numbers."""

    costs: Real
    """(columns,): ties counted."""
    matrix: csr_array
    """(rows, columns)."""
    low: Real
    """(rows,)."""
    high: Real
    """(rows,)."""
    upper: Real
    """(columns,): all begin at 0."""
    whole: Flags
    """(columns,): numbers of candidates and candidates."""
    kinds: Flags
    """(columns,): numbers of candidates alone."""

    @classmethod
    def of(cls, form: Form) -> Program:
        from scipy.sparse import csr_array

        rows, columns, weights = form.entries()
        whole = np.array(form.whole, dtype=bool)
        return cls(
            costs=np.array(form.costs) + form.ties(),
            matrix=csr_array((weights, (rows, columns)), shape=(len(form.rows), len(form.costs))),
            low=np.array(form.low),
            high=np.array(form.high),
            upper=np.array(form.upper),
            whole=whole,
            kinds=whole & (np.arange(len(whole)) >= form.n),
        )

    def best(self, whole: Flags, *, gap: float, nodes: int, numbers: Real | None = None) -> Answer:
        """Solve with these columns whole, (columns,).

        Parameters
        ----------
        whole : (columns,) bool
        gap : float
            Share of the cost at which the search stops. [1]
        nodes : int
            Branches looked into at most.
        numbers : (columns,) or None
            Where given, the numbers of candidates are those.
        """
        from scipy.optimize import Bounds, LinearConstraint, milp

        low, high = np.zeros(len(self.costs)), self.upper
        if numbers is not None:
            low = np.where(self.kinds, np.rint(numbers), low)
            high = np.where(self.kinds, np.rint(numbers), high)
        with silenced():
            found = beside(
                lambda: milp(
                    self.costs,
                    constraints=LinearConstraint(self.matrix, self.low, self.high),
                    integrality=whole.astype(int),
                    bounds=Bounds(low, high),
                    # Small and sparse already: presolving takes longer than it saves.
                    options={"mip_rel_gap": gap, "node_limit": nodes, "presolve": False},
                )
            )
        gap_left = float(found.mip_gap or 0.0)
        return Answer(
            columns=found.x,
            cost=np.inf if found.x is None else float(found.fun),
            gap=gap_left * (gap_left > ROUNDING),
            finished=found.status == SOLVED,
            impossible=found.status == INFEASIBLE,
        )

    def is_whole(self, answer: Answer) -> bool:
        """Whether every column that has to be is a whole number."""
        if answer.columns is None:
            return False
        off = np.abs(answer.columns - np.rint(answer.columns))[self.whole]
        return bool(off.max(initial=0.0) <= HALF)
