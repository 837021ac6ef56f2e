"""What verified jobs say of the prediction itself: whether it is off the same way in all jobs of a
shop, and by more or less than it says.

A shop treats rooms of its own kind, furnishes and measures them its own way. Part of what the model
is off by is therefore the same in its jobs and is learned; the rest differs from room to room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt
from typing import Any

from roomcheck.job.model.shop import Lesson

ALIKE = 0.3
"""Part of the variance of the model's error that is the same in all jobs of a shop: traced rooms of
one kind share 0.13 to 0.25 of the variance of all errors (a judgement). [1]"""

SIZES, SIZE_SD = (0.35, 2.2, 15), 0.3
"""How many times as large as stated the model's error may be, from, to and how many are tried; how
likely each is, one standard deviation. [1], [log]"""

BAND_CORRELATION = 0.5
"""Of tables and pieces between octaves, as the prediction draws them. [1]"""
MODEL_CORRELATION = 0.8
"""Of the model's error between octaves, likewise. [1]"""


def model_error(lessons: Sequence[Lesson]) -> tuple[float, float]:
    r"""Mean and standard deviation of the model's error in the shop's next job, in units of the one
    that is stated. [1]

    Notes
    -----
    Every lesson is a vector over its octaves, :math:`\mathrm{off} = m\,\sigma + e`, with
    :math:`\sigma` the stated error of the model, :math:`m` the shop's own and :math:`e` of tables,
    pieces, measurements and the rest of the model's error, :math:`s` times as large as stated.
    :math:`m` is normal around 0 with `ALIKE` of the variance, integrated in closed form; :math:`s`
    is tried at `SIZES`.
    """
    import numpy as np

    said = [lesson for lesson in lessons if lesson.model and any(lesson.model)]
    if not said:
        return 0.0, 1.0
    sizes = np.geomspace(*SIZES)
    tried = np.array([_at_size(said, float(size)) for size in sizes])
    logs = tried[:, 0] - 0.5 * (np.log(sizes) / SIZE_SD) ** 2
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    mean = float(weights @ tried[:, 1])
    spread = weights @ (tried[:, 2] + (tried[:, 1] - mean) ** 2 + (1 - ALIKE) * sizes**2)
    return mean, sqrt(float(spread))


def _at_size(lessons: Sequence[Lesson], size: float) -> tuple[float, float, float]:
    """Log likelihood of the lessons where the model's error is so many times as large as stated,
    and mean and variance of what is the same in all of them."""
    import numpy as np

    precision: Any = 1 / ALIKE
    pulled: Any = 0.0
    log: Any = 0.0
    for lesson in lessons:
        off, model = np.array(lesson.off), np.array(lesson.model)
        C = _rest(lesson) + _across((1 - ALIKE) ** 0.5 * size * model, MODEL_CORRELATION)
        both = np.linalg.solve(C, np.column_stack([off, model]))
        precision += float(model @ both[:, 1])
        pulled += float(model @ both[:, 0])
        log -= 0.5 * (off @ both[:, 0] + np.linalg.slogdet(C)[1])
    log += 0.5 * (pulled**2 / precision - np.log(precision))
    return float(log), float(pulled / precision), float(1 / precision)


def _rest(lesson: Lesson) -> Any:
    """Covariance of what tables, pieces and measurements make of a lesson, (octaves, octaves).
    [log^2]"""
    import numpy as np

    spread, model = np.array(lesson.spread), np.array(lesson.model)
    found = _across(np.sqrt(np.maximum(spread**2 - model**2, 0.0)) + 1e-3, BAND_CORRELATION)
    for share in lesson.shares:
        found += _across(np.array(share.pull) * np.array(share.prior), BAND_CORRELATION)
    return found


def _across(sd: Any, correlation: float) -> Any:
    import numpy as np

    return np.outer(sd, sd) * (correlation + (1 - correlation) * np.eye(len(sd)))


def without_model(lessons: Sequence[Lesson], error: tuple[float, float]) -> tuple[Lesson, ...]:
    """The lessons with the model's mean error taken off, and its spread as large as was learned."""
    return tuple(_without(lesson, *error) for lesson in lessons)


def _without(lesson: Lesson, shift: float, size: float) -> Lesson:
    if not lesson.model:
        return lesson
    off, spread = [], []
    for away, sd, model in zip(lesson.off, lesson.spread, lesson.model, strict=True):
        off.append(away - shift * model)
        spread.append(sqrt(max(sd**2 - model**2, 0.0) + (size * model) ** 2))
    return replace(lesson, off=tuple(off), spread=tuple(spread))
