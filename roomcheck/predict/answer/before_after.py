"""Monte Carlo samples of the room before and after treatment."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Placement
from roomcheck.materials import Absorption
from roomcheck.predict.answer.statistics import (
    AFTER_SHARE,
    DRAWS,
    MODEL_CORRELATION,
    MODEL_FADES,
    READS_SHORT,
    SCATTER_NODES,
    SEED,
    Statistics,
    by_material,
    ends_of,
    eyring_of,
    learned_weights,
    log_rows,
    model_sd,
    relative_scatter,
    sabine_of,
)
from roomcheck.predict.rays.leaning import leaning
from roomcheck.predict.rays.scene import Scene, Shape, scene_of, shape_of
from roomcheck.predict.reasons import NoDecay
from roomcheck.predict.room.belief import prior
from roomcheck.predict.room.conditions import Conditions
from roomcheck.predict.room.linings import Lining, linings

Real = NDArray[np.float64]
Reasons = tuple[tuple[Fact[NoDecay], ...], ...]

LEAST_DRAWS = 0.5
"""Share of the draws that must be possible rooms, with less absorption than surface."""
NUDGE = 0.1
"""Step of a log coefficient for a derivative. [log]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeforeAfter:
    """Both states of a room and the decay that each draw would measure."""

    room: Statistics
    now: State
    """Before the treatment."""
    then: State
    """After it."""
    before_s: Real
    """(draws, bands): NaN where a draw absorbs more than its surface [s]."""
    after_s: Real
    """(draws, bands): the same after the treatment [s]."""


def before_after(
    job: Job,
    pieces: tuple[Placement, ...],
    analysis: Analysis | None = None,
    *,
    simulate: bool = True,
    room: Statistics | None = None,
    seed: int = SEED,
) -> BeforeAfter:
    """Calibrate the room and hang the pieces; arguments as of `predict`. Another `seed` draws other
    possible rooms."""
    room = room or Statistics.of(job, analysis, follow_paths=simulate)
    now, before_s = _untreated(room, max(len(job.pairs), 1), seed)
    then = _treated(job, pieces, room, now.draws, seed, follow_paths=simulate)
    left, pairs = _left(now, then, room), max(len(job.pairs_at("after")), 1)
    return BeforeAfter(
        room=room,
        now=now,
        then=then,
        before_s=before_s,
        after_s=then.decays_s(room, pairs, seed + 3, left, job.shop.model_learned),
    )


@lru_cache(maxsize=2)
def _untreated(room: Statistics, pairs: int, seed: int) -> tuple[State, Real]:
    """The room as it is, and what each draw would measure in it: no plan changes them; two sets
    are kept. [s]"""
    now = State(
        bands_hz=room.bands_hz,
        air=room.before,
        keys=room.keys,
        lined=room.lined,
        scene=room.scene,
        amounts=room.amounts,
        middle=room.believed.mean[: len(room.keys)],
        draws=room.draws(seed=seed),
        shape=room.shape,
        reasons=room.reasons,
    )
    return now, now.decays_s(room, pairs, seed + 1, np.ones(len(room.bands_hz)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """The room before or after: (materials, bands) in the middle, (draws, materials + 2, bands) of
    what may be."""

    bands_hz: tuple[float, ...]
    air: Conditions
    keys: tuple[str, ...]
    lined: tuple[Lining, ...]
    scene: Scene
    amounts: Real
    middle: Real
    draws: Real
    shape: Shape
    reasons: Reasons

    def decays_s(
        self,
        room: Statistics,
        pairs: int,
        seed: int,
        left: Real,
        learned: tuple[float, float] = (0.0, 1.0),
    ) -> Real:
        """Decay that each draw would measure, (draws, bands); NaN where a draw absorbs more than
        its surface. `left` (bands,) of the model's error before is in its error now; of the rest,
        verified jobs `learned` mean and size. [s]"""
        logs, scatter, error = self.draws[:, :-2], self.draws[:, -2], self.draws[:, -1]
        extra, error = _unexplained(room, logs, error)
        T = eyring_of(self.air, np.einsum("m,dmb->db", self.amounts, np.exp(logs)) + extra)
        ratio = self.shape.log_ratio(logs, scatter)
        short = READS_SHORT if self.scene.loose.any() else 0.0
        own = np.sqrt(1 - left**2) * _own_error(ratio, seed, short + learned[0], learned[1])
        own = own + _scatter_of_mean(room, pairs, seed)
        carried = np.where(room.unexplained, 1.0, left) * error
        return np.asarray(T * np.exp(ratio + carried + own))

    def formulas_s(self, scatter: Real) -> tuple[Real, Real, Real]:
        """Sabine, Eyring, and simulated, in the middle. (bands,) each [s]"""
        A = self.amounts @ np.exp(self.middle)
        eyring = eyring_of(self.air, A)
        return (
            sabine_of(self.air, A),
            eyring,
            eyring * np.exp(self.shape.log_ratio(self.middle, scatter)),
        )


def _unexplained(room: Statistics, logs: Real, error: Real) -> tuple[Real, Real]:
    """Where nobody knows what the measurement lacks: every other draw takes it as area, the rest as
    a wrong size.

    Returns
    -------
    extra_m2, error : (draws, bands)
        Area that acts beside the materials, and what is left of the error. [m2], [log]
    """
    as_area = np.zeros(error.shape, dtype=bool)
    as_area[::2] = room.unexplained
    air = room.before
    A = np.einsum("m,dmb->db", room.amounts, np.exp(logs[:, : len(room.keys)]))
    exponent = 24 * np.log(10) * air.volume_m3 / air.speed_m_s / (eyring_of(air, A) * np.exp(error))
    needed = air.surface_m2 * -np.expm1(
        -(exponent - 4 * air.air_per_m * air.volume_m3) / air.surface_m2
    )
    return np.where(as_area, needed - A, 0.0), np.where(as_area, 0.0, error)


def _treated(
    job: Job,
    pieces: tuple[Placement, ...],
    room: Statistics,
    draws: Real,
    seed: int,
    *,
    follow_paths: bool,
) -> State:
    """The room with pieces: what calibrating taught about its surfaces holds, pieces come as they
    were computed."""
    hung = _hung(job, pieces, room, follow_paths)
    return State(
        bands_hz=room.bands_hz,
        air=room.after,
        keys=hung.keys,
        lined=hung.lined,
        scene=hung.scene,
        amounts=hung.amounts,
        middle=hung.middle,
        draws=_with_pieces(draws, hung.fresh, room, seed),
        shape=hung.shape,
        reasons=hung.reasons,
    )


def _with_pieces(draws: Real, fresh: tuple[Absorption, ...], room: Statistics, seed: int) -> Real:
    more = _fresh_draws(fresh, room, seed)
    return np.concatenate([draws[:, :-2], more, draws[:, -2:]], axis=1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Hung:
    """What no draw changes of the room with pieces; fields as of `State`."""

    keys: tuple[str, ...]
    lined: tuple[Lining, ...]
    fresh: tuple[Absorption, ...]
    """Materials that the measured room did not have."""
    scene: Scene
    amounts: Real
    middle: Real
    shape: Shape
    reasons: Reasons


@lru_cache(maxsize=1)
def _hung(job: Job, pieces: tuple[Placement, ...], room: Statistics, follow_paths: bool) -> _Hung:
    """The last one is kept for other draws of it."""
    lined = linings(job, pieces, "after")
    keys, amounts, absorptions = by_material(lined)
    fresh = tuple(a for a in absorptions if a.key not in room.keys)
    order = (*room.keys, *(a.key for a in fresh))
    middle = room.believed.mean[: len(room.keys)]
    if fresh:
        middle = np.vstack([middle, log_rows(fresh, room.bands_hz)[0]])
    reasons = tuple(
        why or _lacking(fresh, band_hz)
        for band_hz, why in zip(room.bands_hz, room.reasons, strict=True)
    )
    scene, shape = room.scene, room.shape
    # Where nothing changes nothing is simulated twice.
    if lined != room.lined or job.visit("after") is not None:
        scene = scene_of(
            job.room, lined, order, room.bands_hz, room.after, ends_of(job) if follow_paths else ()
        )
        wanted = np.array([not why for why in reasons])
        lean = leaning(scene, middle, wanted, room.scatter)
        shape = shape_of(scene, middle, wanted, lean, early=False)
    return _Hung(
        keys=order,
        lined=lined,
        fresh=fresh,
        scene=scene,
        amounts=np.array([amounts[keys.index(key)] if key in keys else 0.0 for key in order]),
        middle=middle,
        shape=shape,
        reasons=reasons,
    )


def _lacking(fresh: tuple[Absorption, ...], band_hz: float) -> tuple[Fact[NoDecay], ...]:
    """What the pieces lack a coefficient for; nothing measured can stand in."""
    titles = tuple(a.title for a in fresh if a.at(band_hz) is None)
    return (fact(NoDecay.NO_COEFFICIENT, materials=titles),) if titles else ()


def _fresh_draws(fresh: tuple[Absorption, ...], room: Statistics, seed: int) -> Real:
    """What materials may absorb that the measured room did not have. (draws, materials, bands)
    [log]"""
    if not fresh:
        return np.empty((DRAWS, 0, len(room.bands_hz)))
    return prior(*log_rows(fresh, room.bands_hz)).draws(DRAWS, seed + 2)


def _left(now: State, then: State, room: Statistics) -> Real:
    """How much of the model's error before is left in its error after: less the further the pieces
    move the decay, (bands,). [1]"""
    scatter = room.believed.mean[-2]
    moved = np.abs(np.log(then.formulas_s(scatter)[2] / now.formulas_s(scatter)[2]))
    return np.exp(-np.where(np.isfinite(moved), moved, np.inf) / MODEL_FADES)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IfScattered:
    """The room after, if it scattered so much."""

    scatter: float
    """[1]"""
    weight: float
    """How likely the measurement before makes that, up to a factor, were all as likely before it
    [1]."""
    mean_log_s: Real
    """(bands,): mean of ln T; NaN where hardly a draw is possible [log s]."""
    sd: Real
    """(bands,): standard deviation of ln T, the next measurement's scatter included [log]."""
    own_error: Real
    """(bands,): part of that which is the model's own error [log]."""


def if_scattered(
    job: Job, pieces: tuple[Placement, ...], seen: BeforeAfter, *, simulate: bool = True
) -> tuple[IfScattered, ...]:
    """The room after at each of `SCATTER_NODES`, of what `before_after` gave with its own seed."""
    room, left = seen.room, _left(seen.now, seen.then, seen.room)
    fresh = _hung(job, pieces, room, simulate).fresh
    pairs = max(len(job.pairs_at("after")), 1)
    likely = room.mixture.weights / learned_weights(job.shop.scatter_learned)
    found = []
    for node, scatter in enumerate(SCATTER_NODES):
        draws = _with_pieces(room.draws_at(node), fresh, room, SEED)
        state = replace(seen.then, draws=draws)
        logs = np.log(state.decays_s(room, pairs, SEED + 3, left, job.shop.model_learned))
        level = np.full(len(room.bands_hz), np.log(scatter))
        ratio = seen.then.shape.log_ratio(seen.then.middle, level)
        possible = np.isfinite(logs).mean(axis=0) >= LEAST_DRAWS
        one = IfScattered(
            scatter=float(scatter),
            weight=float(likely[node] / likely.sum()),
            mean_log_s=np.where(possible, np.nanmean(logs, axis=0), np.nan),
            sd=np.nanstd(logs, axis=0),
            own_error=np.sqrt(1 - left**2) * _after_sd(ratio),
        )
        found.append(one)
    return tuple(found)


def pull(seen: BeforeAfter, key: str) -> Real:
    """d ln T / d ln A of one material in the room after, (bands,); 0 where there is none. [1]"""
    then = seen.then
    if key not in then.keys:
        return np.zeros(len(then.bands_hz))
    scatter = seen.room.believed.mean[-2]
    nudged = then.middle.copy()
    nudged[then.keys.index(key)] += NUDGE
    with_more = replace(then, middle=nudged).formulas_s(scatter)[2]
    return np.asarray(np.log(with_more / then.formulas_s(scatter)[2]) / NUDGE)


def own_error_sd(seen: BeforeAfter) -> Real:
    """Standard deviation of the model's error after that the measurement before does not take out,
    (bands,). [log]"""
    left = _left(seen.now, seen.then, seen.room)
    ratio = seen.then.shape.log_ratio(seen.then.middle, seen.room.believed.mean[-2])
    return np.asarray(np.sqrt(1 - left**2) * _after_sd(ratio))


def _own_error(log_ratio: Real, seed: int, mean: float, size: float) -> Real:
    """Sample a model error, octaves alike, larger where the room is more uneven, its mean and size
    in units of that. (draws, bands) [log]"""
    rng = np.random.default_rng([seed, 1])
    alike = np.sqrt(MODEL_CORRELATION) * rng.standard_normal((len(log_ratio), 1))
    each = np.sqrt(1 - MODEL_CORRELATION) * rng.standard_normal(log_ratio.shape)
    return np.asarray(_after_sd(log_ratio) * (mean + size * (alike + each)))


def _after_sd(log_ratio: Real) -> Real:
    """Standard deviation of the model once pieces hang. [log]"""
    return AFTER_SHARE * model_sd(log_ratio)


def _scatter_of_mean(room: Statistics, pairs: int, seed: int) -> Real:
    """Sample the scatter of the next mean over so many pairs. (draws, bands) [log]"""
    T = np.where(np.isfinite(room.measured_s), room.measured_s, 0.5)
    spread = [
        relative_scatter(band, float(t), pairs) for band, t in zip(room.bands_hz, T, strict=True)
    ]
    return np.asarray(np.random.default_rng(seed).standard_normal((DRAWS, len(spread))) * spread)
