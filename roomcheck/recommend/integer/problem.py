"""What a choice is made from: costs, rules with their prices, and what a choice breaks of them.

Nothing here knows of rooms or sound.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

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
