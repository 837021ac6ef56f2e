"""How much a square metre counts that faces each way, as the full predictions say.

The fast formula spreads all absorption evenly. Where walls are covered and the ceiling is bare,
another panel there does less than it says and a cloud far more, likely decay and range alike. So
the plans of one room that were predicted in full are held against it, and near the last of them
each direction of the room gets a factor of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from roomcheck.predict import Prediction
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.solver.nearby import units
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]
Known = tuple[Sequence[Candidate], Prediction]
"""Pieces that were predicted in full."""

UP = 2
"""Floor and ceiling, of the directions that faces look."""

PRIOR = 0.1
"""How many predictions the fast formula itself counts for. [1]"""

SMALL = 0.05
"""Share of what a plan adds below which a step tells little: both formulas round. [1]"""

NEAR = 0.3
"""Share of what a plan adds within which another tells what a unit overhead does there. [1]"""

UNEVEN = 1.1
"""How many times as long beside the fast formula as in the bare room the far end of a decay is
where the ceiling is tried. [1]"""


def learned(site: Site, base: Known, pool: Iterable[Known]) -> Site:
    """The same room, where absorption counts by its direction as the full predictions near a plan
    say.

    Parameters
    ----------
    site : Site
    base : Known
        The plan that others are sought near to.
    pool : iterable of Known
        All that was predicted of this room.
    """
    samples = [found for each in pool if (found := _sample(site, base, each)) is not None]
    if not samples:
        return site
    steps, effects = (np.array(each) for each in zip(*samples, strict=True))
    least_m2 = SMALL * np.abs(_by_direction(site, base[0]).sum(axis=0))
    return site.weighing(_factors(steps, effects, least_m2))


def _sample(site: Site, base: Known, other: Known) -> tuple[Real, Real] | None:
    """What another plan adds in each direction, (directions, bands), and what that counts for in
    the far end of the decay, (bands,). [m2]"""
    step_m2 = _by_direction(site, other[0]) - _by_direction(site, base[0])
    if not np.any(step_m2):
        return None
    was_m2 = _by_direction(site, base[0]).sum(axis=0)
    ratio = _far_s(base[1]) / site.room.after_s(was_m2)
    return step_m2, site.room.needed_m2(_far_s(other[1]) / ratio) - was_m2


def _factors(steps_m2: Real, effects_m2: Real, least_m2: Real) -> Real:
    """Least squares by band towards 1, the nearer the plan the more it counts, steps below the
    least little, (directions, bands)."""
    count, bands = steps_m2.shape[1:]
    factors = np.ones((count, bands))
    for i in range(bands):
        steps, effects = steps_m2[:, :, i], effects_m2[:, i]
        far = np.abs(steps).sum(axis=1) + least_m2[i]
        known = np.isfinite(effects) & (far > 0)
        if not known.any():
            continue
        steps, effects, far = steps[known], effects[known], far[known]
        weight = np.sqrt(far.min() / far) / far
        rows = np.vstack([steps * weight[:, None], np.sqrt(PRIOR) * np.eye(count)])
        wanted = np.concatenate([effects * weight, np.full(count, np.sqrt(PRIOR))])
        factors[:, i] = np.linalg.lstsq(rows, wanted, rcond=None)[0]
    return factors


def _by_direction(site: Site, chosen: Sequence[Candidate]) -> Real:
    """What these add by the fast formula, (directions, bands). [m2]"""
    found = np.zeros((UP + 1, len(site.bands_hz)))
    for c in chosen:
        gain = site.gain_of(c.piece.name, site.job.material_of(c.face))
        found[site.directions[c.face]] += np.nan_to_num(gain)
    return found


def _far_s(prediction: Prediction) -> Real:
    return np.array([np.nan if b.high_s is None else b.high_s for b in prediction.after])


def untried(site: Site, base: Known, bare: Known, pool: Iterable[Known]) -> list[Candidate] | None:
    """The plan with one unit overhead, where the range says that absorption is uneven and no
    prediction near by tells what that would do; None elsewhere."""
    here, least = _by_direction(site, base[0]), _by_direction(site, bare[0])
    steps = [_by_direction(site, chosen) - here for chosen, _ in pool]
    near = NEAR * np.abs(here - least).sum()
    if any(np.any(step[UP]) and np.abs(step).sum() < near for step in steps):
        return None
    fast = [site.room.after_s(there.sum(axis=0)) for there in (here, least)]
    longer = (_far_s(base[1]) / fast[0]) / (_far_s(bare[1]) / fast[1])
    return _one_more(site, base[0], UP) if np.nanmax(longer, initial=0.0) > UNEVEN else None


def _one_more(site: Site, chosen: Sequence[Candidate], way: int) -> list[Candidate] | None:
    """The plan with the unit of a direction that fits and adds most for its cost."""
    at = {c: i for i, c in enumerate(site.places)}
    hung = [at[c] for c in chosen if c in at]
    free = [
        unit
        for unit in units(site)
        if all(site.directions[site.places[i].face] == way for i in unit)
        and not site.clashes[np.ix_(list(unit), hung)].any()
    ]
    if not free:
        return None
    gains = np.nan_to_num(site.gains_m2).sum(axis=1)
    best = max(free, key=lambda unit: gains[list(unit)].sum() / sum(site.costs[i] for i in unit))
    return [*chosen, *(site.places[i] for i in best)]
