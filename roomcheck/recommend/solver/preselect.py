"""Of a large stock in a room of many faces, the pieces that are worth a place: by a relaxation in
which so much of each piece may hang on each face as has room there."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face
from roomcheck.job import Job, StockPiece
from roomcheck.predict import Statistics
from roomcheck.recommend.places.held import may_hang
from roomcheck.recommend.places.space import (
    CEILING_EDGE_M,
    EDGE_M,
    GAP_M,
    SKIRTING_M,
    UNDER_CEILING_M,
)
from roomcheck.recommend.solver.money import cost_of, people
from roomcheck.standards import Target

Real = NDArray[np.float64]

MOST_WAYS = 300
"""Ways to combine a stock piece with a face that are all searched; beyond, only the pieces worth a
place are."""

LEAST_KEPT = 6
"""Pieces kept at least."""

SURELY = 0.85
"""Share of the longest decay allowed that the relaxation aims at: about what a range takes. [1]"""

LACKING = 1000.0
"""Price of a square metre that lacks, in dearest pieces: above any piece's. [1]"""


def set_aside(
    job: Job, room: Statistics, target: Target, unusable: Collection[str]
) -> frozenset[str]:
    """Stock pieces that need not be searched: none where the stock is small.

    Diffusers and corner pieces are always searched; of the others those that the relaxation hangs
    and those that would raise its cost least.

    References
    ----------
    Linear optimum by HiGHS through scipy.optimize.linprog; reduced costs as in column generation.
    """
    flat = [p for p in job.shop.stock if _is_flat(p) and p.name not in unusable]
    ways = [(p, f) for p in flat for f in job.room.faces if may_hang(job, p, f) and _fitting(p, f)]
    if len(ways) <= MOST_WAYS:
        return frozenset()
    worth = _reduced_costs(job, room, target, ways)
    best: dict[str, float] = {}
    for (piece, _), dear in zip(ways, worth, strict=True):
        best[piece.name] = min(dear, best.get(piece.name, np.inf))
    faces = len({face.name for _, face in ways})
    kept = sorted(best, key=lambda name: (round(best[name], 6), name))
    return frozenset(kept[max(MOST_WAYS // faces, LEAST_KEPT) :])


def _is_flat(piece: StockPiece) -> bool:
    return not piece.diffuser and "corner" not in piece.mounts


def _reduced_costs(
    job: Job, room: Statistics, target: Target, ways: list[tuple[StockPiece, Face]]
) -> Real:
    """By how much one more of each would raise the relaxation's cost, over its own cost. [1]"""
    from scipy.optimize import linprog

    costs = np.array([float(cost_of(p, job.shop, people(p, f.kind))) for p, f in ways])
    gains_m2 = np.array([room.gain_m2(p, job.material_of(f.name)) for p, f in ways])
    at, needed_m2 = _needed_m2(room, target)
    faces = sorted({f.name for _, f in ways})
    share = np.array([1 / _fitting(p, f) for p, f in ways])
    on = np.array([[f.name == name for _, f in ways] for name in faces])
    lacking = LACKING * costs.max() * np.ones(len(at))
    solved = linprog(
        np.concatenate([costs, lacking]),
        A_ub=np.block(
            [
                [-np.nan_to_num(gains_m2[:, at]).T, -np.eye(len(at))],
                [on * share, np.zeros((len(faces), len(at)))],
            ]
        ),
        b_ub=np.concatenate([-needed_m2, np.ones(len(faces))]),
    )
    return np.asarray(solved.lower.marginals[: len(ways)] / costs)


def _fitting(piece: StockPiece, face: Face) -> int:
    """How many hang beside and above each other on a bare face, one way up or the other."""
    sides = (face.width_m - 2 * EDGE_M, face.height_m - SKIRTING_M - UNDER_CEILING_M)
    if face.kind == "ceiling":
        sides = (face.width_m - 2 * CEILING_EDGE_M, face.height_m - 2 * CEILING_EDGE_M)
    own = (piece.width_m, piece.height_m)
    ways = (own, own[::-1]) if piece.turns else (own,)
    along = (
        (side + GAP_M) / (length + GAP_M)
        for way in ways
        for side, length in zip(sides, way, strict=True)
    )
    counts = [int(n + 1e-9) for n in along]
    return max(a * b for a, b in zip(counts[::2], counts[1::2], strict=True))


def _needed_m2(room: Statistics, target: Target) -> tuple[list[int], Real]:
    """Bands with an upper limit, and what each has to gain. [m2]"""
    asked = {limit.band_hz: limit.high_s for limit in target.limits if limit.high_s}
    if target.mid_high_s:
        for hz in target.mid_bands_hz:
            asked[hz] = min(asked.get(hz, np.inf), target.mid_high_s)
    found = []
    for i, hz in enumerate(room.bands_hz):
        if hz in asked:
            decay_s = np.full(len(room.bands_hz), SURELY * asked[hz])
            found.append((i, float(room.needed_m2(decay_s)[i])))
    at = [i for i, needed in found if np.isfinite(needed)]
    return at, np.array([max(needed, 0.0) for _, needed in found if np.isfinite(needed)])
