"""What verified jobs say of a shop's rooms and of the prediction itself: how much those rooms
scatter, whether the prediction is off the same way in all of them, and by more or less than stated.

A shop treats rooms of its own kind, furnishes and measures them its own way. How much a room
scatters, furniture included, nobody measures on site and makes much of a range; decays before and
after together say something of it, and rooms of one kind are alike in it. Part of what the model is
off by is the same in the shop's jobs, too. The rest differs from room to room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from roomcheck.job.model.shop import AtScatter, Lesson

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Real = NDArray[np.float64]

ALIKE = 0.3
"""Part of the variance of the model's error that is the same in all jobs of a shop (a judgement:
the middle of the 0.13 to 0.5 that traced rooms of one kind share). [1]"""

BIASES = (-3.0, 3.0, 41)
"""From, to and how many are tried of what the model is off by in all jobs of a shop, in units of
its stated error. [1]"""
SIZES, SIZE_SD = (0.3, 3.0, 11), 0.4
"""How many times as large as stated the model's error may be, likewise; how likely each is, one
standard deviation around what makes the mean of its square 1: before a job is known the stated
error holds. [1], [log]"""
ODD, ODD_SIZE = 0.05, 3.0
"""How likely a job is of no kind at all (a window that stood open, a room typed wrongly), and how
many times as large the model's error is there (judgements): one such job hardly moves the rest.
[1]"""

SCATTERS = (0.02, 0.5, 9)
"""Scatterings around which a shop's rooms may lie: from, to and how many are tried. [1]"""
KINDS = ((0.3, 1 / 3), (0.6, 1 / 3), (float("inf"), 1 / 3))
"""By how much the rooms of one shop may differ in it, one standard deviation, and how likely each
is before a job is known, none more than the next: the last is a shop whose rooms have nothing in
common. [log], [1]"""

BAND_CORRELATION = 0.5
"""Of tables and pieces between octaves, as the prediction draws them. [1]"""
MODEL_CORRELATION = 0.8
"""Of the model's error between octaves, likewise. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rest:
    """What of a lesson is left to the pieces."""

    lesson: Lesson
    off: Real
    """(octaves,): with what scattering and the model's mean error explain taken off [log]."""
    covariance: Real
    """(octaves, octaves): of everything but the pieces [log^2]."""
    shared: Real
    """(octaves,): one standard deviation of what is left of the model's mean error, the same in all
    jobs [log]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rooms:
    """What the lessons say of the shop's rooms."""

    model: tuple[float, float]
    """Mean and standard deviation of the model's error in the next job, in units of the one that is
    stated [1]."""
    scatter: tuple[tuple[float, float], ...]
    """Scattering coefficients, and how likely each is in the next room; empty where the lessons do
    not speak of it [1]."""
    rests: tuple[Rest, ...]
    """One for each lesson."""


@lru_cache(maxsize=8)
def rooms_said(lessons: tuple[Lesson, ...]) -> Rooms:
    r"""What all lessons together say of the shop's rooms.

    Notes
    -----
    Every lesson is a vector over its octaves. Where the room scatters by :math:`k`,
    :math:`\mathrm{off} = \mathrm{away}_k + m\,\sigma_k + e`, with :math:`\sigma_k` the stated
    error of the model, :math:`m` the shop's own and :math:`e` normal: tables, pieces, measurements
    and the rest of the model's error, :math:`s` times as large as stated, or `ODD_SIZE` times.
    :math:`k` is as likely as the measurement before makes it, times how likely the shop's kind
    does: normal around the kind's middle (`SCATTERS`, `KINDS`). :math:`m`, normal around 0 with
    `ALIKE` of the variance, :math:`s` and the kind are tried on a grid and weighed by Bayes'
    theorem.
    """
    import numpy as np

    speaking = [lesson for lesson in lessons if any(lesson.model)]
    sizes, biases = np.geomspace(*SIZES), np.linspace(*BIASES)
    logs = _prior_logs(sizes, biases)
    for lesson in speaking:
        tried = _tried(lesson)
        logs = logs + np.log(np.tensordot(_kinds(lesson), tried.likely, 1) + 1e-300)
    P = np.exp(logs - logs.max())
    P /= P.sum()
    of_bias = P.sum(axis=(0, 1))
    mean = float(of_bias @ biases)
    shared_sd = float(np.sqrt(of_bias @ (biases - mean) ** 2))
    square = float(P.sum(axis=(0, 2)) @ sizes**2)
    if not speaking:
        return Rooms(model=(0.0, 1.0), scatter=(), rests=tuple(map(_untouched, lessons)))
    scatter = _next_scatter(P.sum(axis=(1, 2)))
    return Rooms(
        model=(mean, float(np.hypot(shared_sd, np.sqrt((1 - ALIKE) * square)))),
        scatter=scatter if any(lesson.scatters for lesson in speaking) else (),
        rests=tuple(_rest(lesson, P, mean, shared_sd, square) for lesson in lessons),
    )


def _prior_logs(sizes: Real, biases: Real) -> Real:
    """Log of how likely each (kind, size, bias) is before a job is known."""
    import numpy as np

    tried = SCATTERS[2]
    kinds = np.repeat([np.log(likely / tried) for _, likely in KINDS], tried)
    of_size = -0.5 * (np.log(sizes) / SIZE_SD + SIZE_SD) ** 2
    of_bias = -0.5 * biases**2 / ALIKE
    return np.asarray(kinds[:, None, None] + of_size[:, None] + of_bias)


def _in_kinds(scatters: Sequence[float]) -> Real:
    """How likely each of these scatterings is in each kind of room, (kinds, scatterings). [1]"""
    import numpy as np

    middles, at = np.log(np.geomspace(*SCATTERS)), np.log(scatters)
    away = (at - middles[:, None]) ** 2
    found = np.concatenate([np.exp(-0.5 * away / width**2) for width, _ in KINDS])
    return np.asarray(found / found.sum(axis=1, keepdims=True))


def _kinds(lesson: Lesson) -> Real:
    import numpy as np

    if not lesson.scatters:
        return np.ones((len(KINDS) * SCATTERS[2], 1))
    return _in_kinds([case.scatter for case in lesson.scatters])


def _next_scatter(of_kind: Real) -> tuple[tuple[float, float], ...]:
    """How likely each scattering is in the next room."""
    import numpy as np

    at = np.geomspace(*SCATTERS)
    likely = of_kind @ _in_kinds(at.tolist())
    return tuple((float(s), float(w)) for s, w in zip(at, likely, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tried:
    """(scatterings, sizes, biases) each."""

    likely: Real
    """How likely they make a lesson, up to a factor [1]."""
    odd: Real
    """The part of that which takes it for a job of no kind [1]."""


@lru_cache(maxsize=256)
def _tried(lesson: Lesson) -> _Tried:
    """A lesson at every scattering, size and bias."""
    import numpy as np

    cases = _cases(lesson)
    off = np.array(lesson.off) - np.array([case.away for case in cases])
    model = np.array([case.model for case in cases])
    rest = np.array([_covariance(case) + _of_pieces(lesson) for case in cases])
    own = (1 - ALIKE) * np.array([across(each, MODEL_CORRELATION) for each in model])
    weights = np.log([max(case.weight, 1e-300) for case in cases])[:, None, None]
    sizes = np.geomspace(*SIZES)[:, None, None]
    usual = (
        weights
        + np.log(1 - ODD)
        + _log_density(off, model, rest[:, None] + sizes**2 * own[:, None])
    )
    odd = weights + np.log(ODD) + _log_density(off, model, (rest + ODD_SIZE**2 * own)[:, None])
    top = max(usual.max(), odd.max())
    likely = np.exp(usual - top) + np.exp(odd - top)
    return _Tried(likely=likely, odd=np.broadcast_to(np.exp(odd - top), likely.shape))


def _log_density(off: Real, model: Real, covariance: Real) -> Real:
    """Log density of `off` (cases, octaves) less each of `BIASES` times `model`, by covariances
    (cases, sizes, octaves, octaves). (cases, sizes, biases)"""
    import numpy as np

    m = np.linspace(*BIASES)
    both = np.stack([off, model], axis=-1)[:, None]
    squares = np.swapaxes(both, -1, -2) @ np.linalg.solve(covariance, both)
    found = squares[..., 0, 0, None] - 2 * squares[..., 0, 1, None] * m
    found = found + squares[..., 1, 1, None] * m**2
    return np.asarray(-0.5 * (found + np.linalg.slogdet(covariance)[1][..., None]))


def _cases(lesson: Lesson) -> tuple[AtScatter, ...]:
    """A lesson that does not speak of scattering is one case."""
    return lesson.scatters or (
        AtScatter(
            scatter=1.0,
            weight=1.0,
            away=(0.0,) * len(lesson.off),
            spread=lesson.spread,
            model=lesson.model or (0.0,) * len(lesson.off),
        ),
    )


def _covariance(case: AtScatter) -> Real:
    """Of what tables and measurements make of a lesson, (octaves, octaves). [log^2]"""
    import numpy as np

    rest = np.maximum(np.square(case.spread) - np.square(case.model), 0.0)
    return across(np.sqrt(rest) + 1e-3, BAND_CORRELATION)


def _of_pieces(lesson: Lesson) -> Any:
    """Of what the pieces' absorption makes of it, (octaves, octaves). [log^2]"""
    return sum(
        across(_product(share.pull, share.prior), BAND_CORRELATION) for share in lesson.shares
    )


def _product(pull: Sequence[float], prior: Sequence[float]) -> Real:
    import numpy as np

    return np.asarray(np.multiply(pull, prior))


def across(sd: Any, correlation: float) -> Real:
    """Covariance of octaves that are all correlated alike. (octaves, octaves)"""
    import numpy as np

    return np.asarray(np.outer(sd, sd) * (correlation + (1 - correlation) * np.eye(len(sd))))


def _rest(lesson: Lesson, P: Real, mean: float, shared_sd: float, square: float) -> Rest:
    """What is left to the pieces, over all scatterings as likely as they are now."""
    import numpy as np

    if not any(lesson.model):
        return _untouched(lesson)
    tried, kinds, cases = _tried(lesson), _kinds(lesson), _cases(lesson)
    ratio = P / (np.tensordot(kinds, tried.likely, 1) + 1e-300)
    by_case = np.einsum("hsm,hk,ksm->ksm", ratio, kinds, tried.likely)
    odd = float(np.einsum("hsm,hk,ksm->", ratio, kinds, tried.odd) / by_case.sum())
    r = by_case.sum(axis=(1, 2)) / by_case.sum()
    model = np.array([case.model for case in cases])
    off = np.array(lesson.off) - np.array([case.away for case in cases]) - mean * model
    middle = r @ off
    own = np.sqrt((1 - ALIKE) * ((1 - odd) * square + odd * ODD_SIZE**2)) * (r @ model)
    within = sum(each * _covariance(case) for each, case in zip(r, cases, strict=True))
    between = (r[:, None] * (off - middle)).T @ (off - middle)
    return Rest(
        lesson=lesson,
        off=middle,
        covariance=within + between + across(own, MODEL_CORRELATION),
        shared=shared_sd * (r @ model),
    )


def _untouched(lesson: Lesson) -> Rest:
    """A lesson that does not speak of the model's error is left to the pieces."""
    import numpy as np

    off = np.array(lesson.off)
    covariance = across(np.array(lesson.spread), BAND_CORRELATION)
    return Rest(lesson=lesson, off=off, covariance=covariance, shared=np.zeros(len(off)))
