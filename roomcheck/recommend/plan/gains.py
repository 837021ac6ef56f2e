"""What each further piece does to the decay, and from which one on nobody hears it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from roomcheck.judge import JND_DECAY
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.results import PieceGain
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.targets_as_constraints import Fit, bare_fit, mid_s

Real = NDArray[np.float64]


def gains(site: Site, named: Sequence[tuple[str, Candidate]], fit: Fit) -> tuple[PieceGain, ...]:
    """Mid-band seconds that each further piece takes off, the one that takes most first; diffusers
    like the others.

    By the fast formula, drawn to the full prediction at both ends: the bare room and the whole
    plan.

    Parameters
    ----------
    site : Site
    named : sequence of (name, Candidate)
    fit : Fit
        Of the whole plan.
    """
    start, end = bare_fit(site).mid, fit.mid
    bare = mid_s(site, site.room.after_s(np.zeros(len(site.bands_hz))))
    if start is None or end is None or bare is None:
        return ()
    left = [(name, site.gain_of(c.piece.name, site.job.material_of(c.face))) for name, c in named]
    now, added, found = bare * start[1], np.zeros(len(site.bands_hz)), list[PieceGain]()
    while left:
        best = min(range(len(left)), key=lambda i: _after(site, added + left[i][1]))
        name, gain = left.pop(best)
        added = added + np.nan_to_num(gain)
        ratio = start[1] + (end[1] - start[1]) * (len(found) + 1) / len(named)
        then = ratio * _after(site, added)
        heard = abs(now - then) >= JND_DECAY * now
        found.append(
            PieceGain(
                name=name, gain_s=round(now - then, 6), after_s=round(then, 6), heard=bool(heard)
            )
        )
        now = then
    return tuple(found)


def _after(site: Site, added_m2: Real) -> float:
    return mid_s(site, site.room.after_s(np.nan_to_num(added_m2))) or np.inf


def unheard_from(found: Sequence[PieceGain]) -> int | None:
    """Number of the piece from which on all further ones together change the decay by less than 5
    %.

    >>> each = [PieceGain(name="A", gain_s=g, after_s=t, heard=True) for g, t in ((0.1, 0.4), (0.01, 0.39))]
    >>> unheard_from(each)
    2
    """
    for i, gain in enumerate(found):
        before = gain.after_s + gain.gain_s
        if abs(before - found[-1].after_s) < JND_DECAY * before:
            return i + 1
    return None


def told(found: Sequence[PieceGain], diffusers: Sequence[str]) -> tuple[str, ...]:
    """The same in sentences."""
    lines = []
    single = next((i for i in range(len(found)) if not any(g.heard for g in found[i:])), len(found))
    if single < len(found):
        lines.append(
            f"In order of benefit, from piece {single + 1} of {len(found)} on a single further "
            "piece changes the mid-band decay by less than 5 %, which nobody hears by itself "
            "(ISO 3382-1 says it of EDT; extended here)."
        )
    together = unheard_from(found)
    if together is not None and together < len(found):
        lines.append(
            f"All pieces after the first {together - 1} together change it by less than 5 %: "
            "they hang there for other octaves, for first reflections, against flutter or for "
            "safety."
        )
    scattering = [g for g in found if g.name in diffusers]
    if scattering:
        most = 1000 * max(abs(g.gain_s) for g in scattering)
        lines.append(
            f"The {len(scattering)} diffusers change the decay by {most:.0f} ms each at most: "
            "they are there to scatter what comes back, and no number here says how that will "
            "sound."
        )
    return tuple(lines)
