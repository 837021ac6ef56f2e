"""What each further piece does to the decay, and from which one on nobody hears it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.judge import JND_DECAY
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.reasons import PlanNote
from roomcheck.recommend.results import PieceGain
from roomcheck.recommend.solver.fit import Fit, bare_fit, mid_s
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]


def gains(site: Site, named: Sequence[tuple[str, Candidate]], fit: Fit) -> tuple[PieceGain, ...]:
    """Order the pieces by what each takes off the mid-band decay, the most first.

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
    ordered: list[PieceGain] = []
    now, added = bare * start[1], np.zeros(len(site.bands_hz))
    while left:
        best = min(range(len(left)), key=lambda i: _after(site, added + left[i][1]))
        name, gain_m2 = left.pop(best)
        added = added + np.nan_to_num(gain_m2)
        share = (len(ordered) + 1) / len(named)
        ratio = start[1] + (end[1] - start[1]) * share
        then = ratio * _after(site, added)
        heard = bool(abs(now - then) >= JND_DECAY * now)
        gain = PieceGain(
            name=name, gain_s=round(now - then, 6), after_s=round(then, 6), heard=heard
        )
        ordered.append(gain)
        now = then
    return tuple(ordered)


def _after(site: Site, added_m2: Real) -> float:
    return mid_s(site, site.room.after_s(np.nan_to_num(added_m2))) or np.inf


def unheard_from(gains: Sequence[PieceGain]) -> int | None:
    """Return the number of the piece from which on all further ones together change the decay by
    less than a just noticeable difference; None where every piece is heard.

    >>> gains = ((0.1, 0.4), (0.01, 0.39))
    >>> each = [PieceGain(name="A", gain_s=g, after_s=t, heard=True) for g, t in gains]
    >>> unheard_from(each)
    2
    """
    for i, gain in enumerate(gains):
        before = gain.after_s + gain.gain_s
        if abs(before - gains[-1].after_s) < JND_DECAY * before:
            return i + 1
    return None


def unheard(gains: Sequence[PieceGain], diffusers: Sequence[str]) -> tuple[Fact[PlanNote], ...]:
    """Note which pieces nobody hears in the decay, singly and together, and what diffusers do."""
    notes = []
    loud = [i for i, gain in enumerate(gains, 1) if gain.heard]
    last_heard = loud[-1] if loud else 0
    if last_heard < len(gains):
        notes.append(fact(PlanNote.EACH_UNHEARD, first=last_heard + 1, pieces=len(gains)))
    together = unheard_from(gains)
    if together is not None and together < len(gains):
        notes.append(fact(PlanNote.TOGETHER_UNHEARD, heard=together - 1))
    scattering_s = [abs(gain.gain_s) for gain in gains if gain.name in diffusers]
    if scattering_s:
        note = fact(PlanNote.DIFFUSERS, pieces=len(scattering_s), most_s=max(scattering_s))
        notes.append(note)
    return tuple(notes)
