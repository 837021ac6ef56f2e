"""What the target asks, as rules of the integer program.

Decay is not linear in absorption, but the absorption that a decay needs is known from the
calibrated room. So every limit becomes a limit on square metres added; what the full prediction
says differently (`Fit`) shifts the limits, and the program is solved again until nothing moves.
"""

from __future__ import annotations

from collections.abc import Collection

from roomcheck.recommend.integer.problem import Problem, Rule
from roomcheck.recommend.reasons import Wish
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.limits import band_rules, mid_rules
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.wishes import bass_rules, corners, cover_rules, flutter

TIE = 0.02
"""Share of its penalty that a wish counts with where nobody hears a fault, or where a plan is to be
the least: between choices of nearly the same cost it decides. [1]"""

SINGLE_PRICE = 0.3
"""What a piece costs that stands without its mirror image where the use asks for symmetry, in the
dearest pieces."""

FAMILIAR = 0.97
"""Share of its cost that a piece is counted with where an earlier plan had it: a change by hand
moves little else."""


def problem(
    site: Site,
    fit: Fit,
    *,
    cost_weight: float = 1.0,
    nominal: bool = False,
    purse: float | None = None,
    wishes: Collection[Wish] = (),
) -> Problem:
    """The choice to be made.

    Parameters
    ----------
    site : Site
    fit : Fit
        From the latest prediction.
    cost_weight : float
        1 where the plan should be cheap; little where it should be good. [1]
    nominal : bool
        Whether to aim at the middle of the limits rather than at their inside.
    purse : float or None
        What the pieces may cost.
    wishes : collection of Wish
        What is worth its whole price; bass counts in no other case, the others between equals.
    """
    early, steady = (1.0 if wish in wishes else TIE for wish in (Wish.EARLY, Wish.FLUTTER))
    rules = [*band_rules(site, fit, nominal), *mid_rules(site, fit, nominal)]
    rules += [rule for reflection in site.early for rule in cover_rules(site, reflection, early)]
    rules += [Rule(name=f"pinned {i}", weights={i: 1.0}, low=1.0) for i in sorted(site.pinned)]
    rules += [
        Rule(name=f"pair {i} {j}", weights={i: 1.0, j: -1.0}, low=0.0, high=0.0)
        for i, j in site.twins
    ]
    if purse is not None:
        rules.append(Rule(name="budget", weights=dict(enumerate(site.costs)), high=purse))
    shares = [share for pair in site.pairs if (share := flutter(site, pair, steady)) is not None]
    if Wish.BASS in wishes:
        rules += bass_rules(site)
        shares += corners(site)
    single = SINGLE_PRICE * max(site.costs, default=0.0)
    stay = [FAMILIAR if i in site.familiar else 1.0 for i in range(len(site.costs))]
    costs = [
        cost_weight * s * c + single * (i in site.singles)
        for i, (s, c) in enumerate(zip(stay, site.costs, strict=True))
    ]
    return Problem(costs=costs, packs=site.packs, rules=rules, shares=shares)
