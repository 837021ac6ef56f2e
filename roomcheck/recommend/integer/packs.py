"""Which candidates come too near each other, as cells of a plane that one at most may cover."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


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
