"""The exact choice against every choice there is, and against a greedy one."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import pytest

from roomcheck.recommend.choose import NoChoice, Problem, Rule, Shares, choose, packs_of


def price(problem: Problem, chosen: Sequence[int]) -> float:
    """Cost of a choice, written a second time, for the tests alone."""
    x = [1.0 if i in chosen else 0.0 for i in range(len(problem.costs))]
    if any(sum(x[i] for i in pack) > 1 for pack in problem.packs):
        return math.inf
    total = sum(c * xi for c, xi in zip(problem.costs, x, strict=True))
    for rule in problem.rules:
        value = sum(w * x[i] for i, w in rule.weights.items())
        off = (rule.low - value if value < rule.low else 0.0) + (value - rule.high if value > rule.high else 0.0)
        if off > 1e-6:
            total += math.inf if rule.price is None else rule.price * off
    for shares in problem.shares:
        got = sum(size * min(1.0, sum(s * x[i] for i, s in cell.items())) for size, cell in shares.cells)
        total += shares.price * max(shares.least - got, 0.0)
    return total


def drawn(seed: int, n: int = 10) -> Problem:
    """A small random problem with every sort of rule."""
    rng = np.random.default_rng(seed)

    def weights() -> dict[int, float]:
        return {i: float(w) for i, w in enumerate(rng.uniform(0.1, 1.0, n))}

    packs = [frozenset(int(i) for i in rng.choice(n, 2, replace=False)) for _ in range(4)]
    rules = [
        Rule(name="a", weights=weights(), low=2.5, price=40.0),
        Rule(name="b", weights=weights(), low=1.5, high=2.0, price=15.0),
        Rule(name="c", weights={0: 1.0, 3: 1.0}, low=1.0, price=float(rng.uniform(0, 10))),
        Rule(name="purse", weights=weights(), high=3.5),
    ]
    cells = tuple(
        (float(rng.uniform(0.2, 1)), {int(i): 0.7 for i in rng.choice(n, 3, replace=False)}) for _ in range(4)
    )
    costs = [float(c) for c in rng.uniform(1, 9, n)]
    return Problem(costs=costs, packs=packs, rules=rules, shares=[Shares(name="s", cells=cells, least=1.2, price=9.0)])


@pytest.mark.parametrize("seed", range(12))
def test_the_cheapest_of_all_choices_is_found(seed):
    """Closed form: all 1024 choices of 10 candidates, priced by the test."""
    problem = drawn(seed)
    every = itertools.chain.from_iterable(itertools.combinations(range(10), k) for k in range(11))
    best = min(price(problem, chosen) for chosen in every)
    found = choose(problem, gap=0.0, nodes=10_000)
    assert found.finished
    assert found.cost == pytest.approx(best, rel=1e-6)
    assert price(problem, found.chosen) == pytest.approx(best, rel=1e-6)
    assert best > 0


@pytest.mark.parametrize("seed", range(6))
def test_what_a_choice_lacks_is_told_by_rule(seed):
    problem = drawn(seed)
    found = choose(problem, gap=0.0, nodes=10_000)
    prices = {rule.name: rule.price for rule in problem.rules} | {"s": 9.0}
    bought = sum(problem.costs[i] for i in found.chosen)
    assert bought + sum(prices[name] * off for name, off in found.lacking.items()) == pytest.approx(
        found.cost, abs=1e-4
    )


def test_rules_without_a_price_that_contradict_each_other_are_refused():
    rules = [Rule(name="more", weights={0: 1.0}, low=1.0), Rule(name="less", weights={0: 1.0}, high=0.0)]
    with pytest.raises(NoChoice):
        choose(Problem(costs=[1.0], rules=rules))


@pytest.mark.parametrize("seed", range(8))
def test_packs_part_exactly_the_rectangles_that_overlap(seed):
    """Second method: every pair by its own distances."""
    rng = np.random.default_rng(seed)
    left, bottom = rng.uniform(0, 4, 30), rng.uniform(0, 2, 30)
    boxes = [(float(a), float(b), float(a) + 0.6, float(b) + 1.2) for a, b in zip(left, bottom, strict=True)]
    packs = packs_of([[("north", *box)] for box in boxes], 0.05)
    together = {pair for pack in packs for pair in itertools.combinations(sorted(pack), 2)}
    near = set()
    for i, j in itertools.combinations(range(30), 2):
        p, q = boxes[i], boxes[j]
        if max(q[0] - p[2], p[0] - q[2]) < 0.05 - 2e-6 and max(q[1] - p[3], p[1] - q[3]) < 0.05 - 2e-6:
            near.add((i, j))
    assert near
    assert together == near
