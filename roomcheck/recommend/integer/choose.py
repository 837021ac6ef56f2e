"""Choose candidates exactly, as an integer program. Nothing here knows of rooms or sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from roomcheck.recommend.integer.form import TIE, Form
from roomcheck.recommend.integer.problem import Problem, cost, lacking
from roomcheck.recommend.integer.program import Answer, Program

LOOSE_NODES = 100
"""Branches looked into at most where a candidate may hang by halves: a search that needs more gains
nothing by it."""


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


def choose(problem: Problem, *, gap: float = 0.0, near: float = 0.0, nodes: int = 400) -> Choice:
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
    near : float
        Share of the cost by which the best numbers of each kind, hung at their best places, may be
        dearer than their bound. [1]
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
    form = Form.of(problem)
    answer = _searched(Program.of(form), gap, max(gap, near), nodes)
    if answer.columns is None:
        raise NoChoice if answer.impossible else OutOfNodes
    taken = answer.columns[: len(problem.costs)] > 0.5
    chosen = tuple(int(i) for i in np.flatnonzero(taken))
    broken = lacking(problem, chosen)
    return Choice(
        chosen=chosen,
        cost=cost(problem, chosen),
        lacking=broken,
        keeps_limits=not any(rule.is_limit and rule.name in broken for rule in problem.rules),
        gap=answer.gap,
        finished=answer.finished,
    )


def _searched(program: Program, gap: float, near: float, nodes: int) -> Answer:
    """The best answer: first how many of each kind, then where they hang, then both at once.

    Which of one kind hang is left open first, so that a candidate may hang by halves: the answer is
    a bound, and where it has no halves it is the best. Else so many of each kind are hung at their
    best places: what costs as much as the bound, within what nobody prices or what may be dearer,
    stands. Only what is left is searched as a whole.
    """
    loose = program.best(program.kinds, gap=0.0, nodes=min(nodes, LOOSE_NODES))
    if loose.impossible or (loose.finished and program.is_whole(loose)):
        return loose
    allowed = max(TIE, near * abs(loose.cost))
    if loose.columns is not None and loose.cost - loose.least <= allowed:
        hung = program.best(program.whole, gap=gap, nodes=nodes, numbers=loose.columns)
        dearer = hung.cost - loose.least
        if hung.finished and dearer <= TIE:
            return hung
        if hung.finished and dearer <= allowed:
            return replace(hung, gap=dearer / abs(hung.cost))
    return program.best(program.whole, gap=gap, nodes=nodes)
