"""Which parts of straight lines are seen, exactly: what flat pieces hide is cut off.

A flat convex piece hides a convex part of space, so it hides one stretch of a straight line, from
where the line enters that part to where it leaves it. What is left after all stretches is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from roomcheck.scene import Facets, View, shadows

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_PAIRS = 400_000
"""Lines with facets that are looked at in one go."""
_LEAST = 1e-9
"""Shorter stretches are rounding, as a share of the line. [1]"""


def visible_parts(
    view: View, lines: Floats, groups: Ints, cover: Sequence[Facets]
) -> tuple[Ints, Floats]:
    """The parts of lines that nothing hides.

    Parameters
    ----------
    view : View
    lines : (lines, 2, 3)
        Both ends; all ahead of the eye. [m]
    groups : (lines,)
        Lines of one number lie near each other; it decides nothing but the time this takes.
    cover : sequence of Facets
        What hides, each a thing by itself; facets that show their back hide nothing.

    Returns
    -------
    (parts,), (parts, 2)
        The line that each part belongs to, in the order of the lines, and where on it the part
        begins and ends, as shares of its length. [1]
    """
    owner, begin, end = [np.zeros(0, dtype=np.int64)], [np.zeros(0)], [np.zeros(0)]
    boxes = _boxes(view, lines)
    order = [np.flatnonzero(groups == group) for group in np.unique(groups)]
    for facets in (each.facing(view) for each in cover):
        if not len(facets):
            continue
        planes, over = shadows(view, facets), _boxes(view, facets.corners)
        for which in order:
            for i, j in _pairs(boxes[which], over):
                first, last = _stretch(lines[which[i]], planes[j])
                hit = last - first > _LEAST
                owner.append(which[i[hit]])
                begin.append(first[hit])
                end.append(last[hit])
    return _left(len(lines), np.concatenate(owner), np.concatenate(begin), np.concatenate(end))


def _boxes(view: View, points: Floats) -> Floats:
    """What each takes of the picture, and how near and far it lies: (things, k, 3) to (things, 6),
    least and greatest of right, up and depth."""
    flat = np.concatenate([view.project(points), view.depth_m(points)[..., None]], axis=-1)
    return np.concatenate([flat.min(axis=1), flat.max(axis=1)], axis=1)


def _pairs(lines: Floats, facets: Floats) -> Iterator[tuple[Ints, Ints]]:
    """Lines and facets that may hide them: both lie on the same part of the picture, the line not
    wholly in front."""
    low, high = lines[:, :3].min(axis=0), lines[:, 3:].max(axis=0)
    near = (facets[:, :2] <= high[:2]).all(axis=1) & (facets[:, 3:5] >= low[:2]).all(axis=1)
    some = np.flatnonzero(near & (facets[:, 2] <= high[2]))
    if not len(some):
        return
    step = max(_PAIRS // len(some), 1)
    for start in range(0, len(lines), step):
        here, there = lines[start : start + step, None], facets[None, some]
        meet = (here[..., 0] <= there[..., 3]) & (here[..., 3] >= there[..., 0])
        meet &= (here[..., 1] <= there[..., 4]) & (here[..., 4] >= there[..., 1])
        meet &= here[..., 5] >= there[..., 2]
        i, j = np.nonzero(meet)
        yield i + start, some[j]


def _stretch(lines: Floats, planes: Floats) -> tuple[Floats, Floats]:
    """Where each line enters and leaves what its facet hides; nowhere: the end before the
    beginning. (pairs, 2, 3), (pairs, 5, 4) to (pairs,) twice, as shares of the line."""
    level = np.einsum("pki,pei->pke", planes[..., :3], lines) + planes[..., 3:]
    a, b = level[..., 0], level[..., 1]
    rise = b - a
    cross = -a / np.where(np.abs(rise) < 1e-300, 1.0, rise)
    first = np.where((a <= 0) & (b > 0), cross, 0.0).max(axis=1)
    last = np.where((a > 0) & (b <= 0), cross, 1.0).min(axis=1)
    never = ((a <= 0) & (b <= 0)).any(axis=1)
    return first, np.where(never, -1.0, last)


def _left(count: int, owner: Ints, begin: Floats, end: Floats) -> tuple[Ints, Floats]:
    """What is left of lines of length 1 when all hidden stretches are cut off."""
    # A stretch of no length at both ends of every line bounds what is left.
    every = np.arange(count)
    owner = np.concatenate([owner, every, every])
    begin = np.concatenate([begin, np.zeros(count), np.ones(count)])
    end = np.concatenate([end, np.zeros(count), np.ones(count)])
    order = np.lexsort((begin, owner))
    owner, begin, end = owner[order], begin[order], end[order]
    # Lines lie 2 apart, so that one running maximum serves all of them.
    reached = np.maximum.accumulate(end + 2.0 * owner) - 2.0 * owner
    same = owner[1:] == owner[:-1]
    open_ = same & (begin[1:] - reached[:-1] > 1e-7)
    parts = np.stack([reached[:-1][open_], begin[1:][open_]], axis=1)
    return owner[1:][open_], parts
