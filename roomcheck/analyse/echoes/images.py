"""Which surface sent which arrival: every pair of a visit explained at once by the room's mirror
images.

Positions are typed to a few centimetres, and a centimetre is up to 0.06 ms. So where sources and
microphones stood is fitted together with the naming: small shifts, held near what was typed, that
make all the delays of all the pairs fall on images. What no image explains after that is not a
wall.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.echoes.peaks import (
    AROUND_S,
    Arrival,
    Echogram,
    ground_db,
    pulse_share,
    with_pulse,
)
from roomcheck.geometry import Point, Room, distance_m
from roomcheck.mirrors import MirrorPath, mirror_paths

Real = NDArray[np.float64]
Loss = Callable[[MirrorPath], float]

NEAR_S = 0.0003
"""Images closer together than this are named together: one arrival cannot tell them apart. [s]"""

TYPED_M = 0.02
"""How well positions are typed: standard deviation along each axis; 5 cm are taken with a grain of
salt. [m]"""

TIMED_S = 0.00002
"""How well an arrival is timed. [s]"""

SURE_S = (0.00007, NEAR_S)
"""The widest misfit that an arrival may have: four times what the sure ones show, but within these.
[s]"""

LEVEL_SD_DB = 5.0
LOUDER_DB, SOFTER_DB = 6.0, 16.0
"""A loudspeaker may favour a wall by 6 dB over the seat; a wall and a loudspeaker that looks away
may take 16 dB more than the wall's material says. Beyond that an image is not named. [dB]"""

ROUNDS_S = (0.0004, 0.0004, 0.00025, 0.00015, 0.0001)
OUT_DB = (10.0, 3.0, 6.0)
"""How far an arrival must stand above the mean of what arrives around it: where no image explains
it, where one of first order is due anyway, and one of second. Grains of diffuse sound reach 10 dB
once in twenty thousand. [dB]"""

DUE_DB = -12.0
"""A first reflection that should be this loud by its way and its material should be found. [dB]"""

MISSING_S = 0.00012
"""First reflections that stay farther off than this (median) say that plan or positions are not
those typed. [s]"""


@dataclass(frozen=True, slots=True, eq=False)
class PairArrivals:
    """The arrivals between one source and one microphone."""

    source: str
    microphone: str
    arrivals: tuple[Arrival, ...]
    gram: Echogram
    """Without its pulse, see `without_pulse`."""


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """One arrival with the images that explain it."""

    arrival: Arrival
    causes: tuple[tuple[MirrorPath, float], ...]
    """The likeliest first, each with measured less predicted delay [s]; empty where no wall
    explains it."""
    stands_out_db: float = 0.0
    """Above what arrives around it and is not itself named [dB]."""


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """A visit's arrivals, named."""

    pairs: tuple[tuple[Named, ...], ...]
    """As heard."""
    due: tuple[tuple[int, int], ...]
    """Of each pair: how many reflections of first order should stand out, and how many of them were
    named."""
    shifts_m: Mapping[str, float]
    """How far each position had to move from where it was typed [m]."""
    misfit_s: float
    """Of the arrivals named: standard deviation, robust [s]."""


class _Pair:
    """Images of one pair as arrays, so that their delays follow when a position moves."""

    def __init__(
        self,
        room: Room,
        heard: PairArrivals,
        places: Mapping[str, Point],
        loss: Loss,
        reach_s: float,
        c: float,
    ) -> None:
        s, m = places[heard.source], places[heard.microphone]
        self.heard, self.c, self.s, self.m = heard, c, np.array(s), np.array(m)
        direct = distance_m(s, m)
        self.paths = [
            p for p in mirror_paths(room, s, m, 2) if (p.length_m - direct) / c < reach_s + NEAR_S
        ]
        self.A = np.array([p.mirror[0] for p in self.paths]).reshape(-1, 3, 3)
        self.b = np.array([p.mirror[1] for p in self.paths]).reshape(-1, 3)
        self.delay = np.array([a.delay_s for a in heard.arrivals])
        self.level = np.array([a.level_db for a in heard.arrivals])
        self.spread = np.array([20 * np.log10(direct / p.length_m) for p in self.paths])
        self.typical = self.spread - np.array([loss(p) for p in self.paths])

    def due(self, ds: Real, dm: Real) -> tuple[Real, Real, Real]:
        """Delays of all images after the direct sound (paths,), and how they follow s and m (paths,
        3) each."""
        s, m = self.s + ds, self.m + dm
        away = m - (self.A @ s + self.b)
        far = np.linalg.norm(away, axis=1)
        near = float(np.linalg.norm(m - s))
        way, straight = away / far[:, None], (m - s) / near
        by_s = -np.einsum("pij,pi->pj", self.A, way) + straight
        return (far - near) / self.c, by_s / self.c, (way - straight) / self.c

    def due_and_found(self, named: Sequence[Named]) -> tuple[int, int]:
        """How many reflections of first order should be heard, and how many of them were named."""
        loud = {
            p.names
            for p, level in zip(self.paths, self.typical, strict=True)
            if p.order == 1 and level > DUE_DB
        }
        return len(loud), len(loud & {path.names for n in named for path, _ in n.causes})

    def cost(self, due: Real, within_s: float, sd_s: float) -> Real:
        """(arrivals, paths): how ill they go together; inf where they cannot."""
        off = self.delay[:, None] - due
        over = self.level[:, None] - self.spread
        under = self.typical - self.level[:, None]
        cost = (off / sd_s) ** 2 + ((self.level[:, None] - self.typical) / LEVEL_SD_DB) ** 2
        cost[(np.abs(off) > within_s) | (over > LOUDER_DB) | (under > SOFTER_DB)] = np.inf
        return np.asarray(cost, dtype=float)


def explain(
    room: Room,
    heard: Sequence[PairArrivals],
    places: Mapping[str, Point],
    loss_db: Loss,
    speed_m_s: float,
    reach_s: float,
) -> Explained:
    """Names the arrivals of a visit.

    Parameters
    ----------
    room : Room
        Any simple polygon with a height.
    heard : sequence of Heard
    places : mapping
        Typed places of sources and microphones, by name.
    loss_db : callable
        What a path should lose on its faces between 1 and 4 kHz. [dB]
    speed_m_s : float
        [m/s]
    reach_s : float
        Arrivals up to here have been looked for. [s]
    """
    for _ in range(2):
        done = _explained(room, heard, places, loss_db, speed_m_s, reach_s)
        out = [_standing_out(h, named) for h, named in zip(heard, done.pairs, strict=True)]
        # What is only grain of the diffuse sound says nothing of where the positions were: once
        # more without it.
        heard = [
            replace(h, arrivals=tuple(n.arrival for n in o))
            for h, o in zip(heard, out, strict=True)
        ]
    return replace(done, pairs=tuple(out))


def _explained(
    room: Room,
    heard: Sequence[PairArrivals],
    places: Mapping[str, Point],
    loss_db: Loss,
    speed_m_s: float,
    reach_s: float,
) -> Explained:
    pairs = [_Pair(room, h, places, loss_db, reach_s, speed_m_s) for h in heard]
    names = sorted({h.source for h in heard} | {h.microphone for h in heard})
    shift, misfit = _fitted(pairs, names)
    within = float(np.clip(4 * misfit, *SURE_S))
    at = {name: i for i, name in enumerate(names)}
    named = tuple(
        _named(p, shift[at[p.heard.source]], shift[at[p.heard.microphone]], within) for p in pairs
    )
    return Explained(
        pairs=named,
        due=tuple(p.due_and_found(n) for p, n in zip(pairs, named, strict=True)),
        shifts_m={n: float(np.linalg.norm(shift[at[n]])) for n in names},
        misfit_s=misfit,
    )


def _standing_out(heard: PairArrivals, named: Sequence[Named]) -> tuple[Named, ...]:
    """Those that stand out; what no image explains is taken the loudest first, and then counts as
    ground no more."""
    at = np.array([n.arrival.delay_s for n in named])
    known = np.array([bool(n.causes) for n in named], dtype=bool)
    gram = with_pulse(heard.gram)
    ground = 10 ** (ground_db(gram, at, at[known]) / 10)
    levels = np.array([n.arrival.level_db for n in named])
    own = 10 ** (levels / 10) * pulse_share(gram)
    kept = known.copy()
    out = levels - 10 * np.log10(np.maximum(ground, 1e-9))
    for k in sorted(np.flatnonzero(~known).tolist(), key=lambda k: -float(levels[k])):
        near = (np.abs(at - at[k]) < AROUND_S) & ((kept & ~known) | (np.arange(len(at)) == k))
        # Neighbours overlap, so never more than three quarters of the ground is taken for theirs.
        rest = max(float(ground[k] - own[near].sum()), float(ground[k]) / 4, 1e-9)
        out[k] = levels[k] - 10 * np.log10(rest)
        kept[k] = out[k] >= OUT_DB[0]
    held = [
        replace(n, stands_out_db=float(o)) for n, o, k in zip(named, out, kept, strict=True) if k
    ]
    return tuple(n for n in held if not n.causes or n.stands_out_db >= OUT_DB[n.causes[0][0].order])


def _fitted(pairs: Sequence[_Pair], names: Sequence[str]) -> tuple[Real, float]:
    """Shifts of the positions (names, 3) [m] and the misfit that is left [s]."""
    at = {name: i for i, name in enumerate(names)}
    shift = np.zeros((len(names), 3))
    misfit = TIMED_S
    for within in ROUNDS_S:
        rows, off = [], []
        for p in pairs:
            i, j = at[p.heard.source], at[p.heard.microphone]
            due, by_s, by_m = p.due(shift[i], shift[j])
            for k, q in _matched(p.cost(due, within, max(within / 3, TIMED_S))):
                row = np.zeros(shift.shape)
                row[i], row[j] = by_s[q], by_m[q]
                rows.append(row.ravel())
                off.append(p.delay[k] - due[q])
        if not rows:
            break
        J, r = np.array(rows), np.array(off)
        misfit = max(1.4826 * float(np.median(np.abs(r))), TIMED_S / 2)
        w = 1 / (TIMED_S**2 + misfit**2) / (1 + (r / (2 * misfit + TIMED_S)) ** 2)
        prior = np.eye(J.shape[1]) / TYPED_M**2
        step = np.linalg.solve(
            J.T @ (w[:, None] * J) + prior, J.T @ (w * r) - prior @ shift.ravel()
        )
        shift = shift + step.reshape(shift.shape)
        misfit = max(1.4826 * float(np.median(np.abs(r - J @ step))), TIMED_S / 2)
    return shift, misfit


def _matched(cost: Real) -> list[tuple[int, int]]:
    """Each arrival to one path and each path to one arrival, so that as many as can go together
    well."""
    from scipy.optimize import linear_sum_assignment

    if not cost.size:
        return []
    gain = 30.0
    full = np.where(np.isfinite(cost), cost - gain, 0.0)
    rows, cols = linear_sum_assignment(full)
    return [(int(k), int(q)) for k, q in zip(rows, cols, strict=True) if full[k, q] < 0]


def _named(pair: _Pair, ds: Real, dm: Real, within: float) -> tuple[Named, ...]:
    due, _, _ = pair.due(ds, dm)
    own = dict(_matched(pair.cost(due, within, max(within / 3, TIMED_S))))
    wide = pair.cost(due, NEAR_S, max(within / 3, TIMED_S))
    found = []
    for k, arrival in enumerate(pair.heard.arrivals):
        order: list[int] = []
        if k in own:
            others = [
                int(q) for q in np.argsort(wide[k]) if np.isfinite(wide[k, q]) and q != own[k]
            ]
            order = [own[k], *others]
        found.append(
            Named(arrival, tuple((pair.paths[q], float(pair.delay[k] - due[q])) for q in order))
        )
    return tuple(found)
