"""What verified jobs say of the shop's own pieces: how much more or less they absorb than
computed."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from roomcheck.job.model.shop import Lesson
from roomcheck.job.taught.rooms import BAND_CORRELATION, across, rooms_said

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Real = NDArray[np.float64]

SHARED = 0.75
"""Of a computed absorption's variance, what is the same in all jobs of a shop; the rest,
workmanship and batches of board, differs from job to job and is never learned (a judgement). [1]"""

LEVELS = ((1.0, 0.75), (2.0, 0.2), (3.0, 0.05))
"""How many times as unsure as computed the pieces of a shop may be, and how likely each is before a
job is known (a judgement): a shop whose pieces are nothing like computed is believed too. [1]"""

Key = tuple[str, float]
"""A piece in an octave [Hz]."""
Factors = dict[Key, tuple[float, float]]


@lru_cache(maxsize=8)
def factors(lessons: tuple[Lesson, ...]) -> Factors:
    r"""Factor of every piece that the lessons know, in every octave.

    Parameters
    ----------
    lessons : tuple of Lesson

    Returns
    -------
    dict
        From the piece's name and the octave to mean and standard deviation of
        :math:`\ln(A/A_{computed})` for its next job. [log]

    Notes
    -----
    Once scattering and the model's mean error are taken off (`rooms_said`), every octave of every
    lesson is one equation, :math:`\mathrm{off} = \sum_p \mathrm{pull}_p\,(g_p + w_p) + e`: the
    shop's own factors :math:`g_p`, alike over octaves by `BAND_CORRELATION`, start at 0 with
    `SHARED` of their `prior` variance, the job's workmanship :math:`w_p` has the rest. Their
    posterior is the linear Gaussian one at each of `LEVELS`, which are weighed by how likely they
    make all lessons. The next job's factor is :math:`g_p + w_p` again: surer than computed where
    the lessons agree with it, never sure. Pieces that always hung together stay apart only as far
    as their pulls differ.

    Examples
    --------
    One job, a piece whose absorption is unknown by 20 % and makes half the decay: measured 5 % too
    long, sure to 5 %.

    >>> from roomcheck.job import Share
    >>> share = Share(piece="panel", count=4, pull=(-0.5,), prior=(0.2,))
    >>> one = Lesson(
    ...     job="a", day="2026-05-04", bands_hz=(500.0,), off=(0.05,), spread=(0.05,),
    ...     shares=(share,),
    ... )
    >>> mean, sd = factors((one,))["panel", 500.0]
    >>> bool(-0.1 < mean < -0.05), bool(sd > 0.1)
    (True, True)
    """
    import numpy as np

    prior = _priors(lessons)
    if not prior:
        return {}
    keys = sorted(prior)
    H, off, rest = _equations(lessons, keys, prior)
    own = np.array([prior[key] for key in keys])
    P = SHARED * _together(keys, own)
    logs, means, squares = [], [], []
    for level, likely in LEVELS:
        S = level**2 * H @ P @ H.T + rest
        gain = np.linalg.solve(S, level**2 * H @ P).T
        mean = gain @ off
        logs.append(
            np.log(likely) - 0.5 * (off @ np.linalg.solve(S, off) + np.linalg.slogdet(S)[1])
        )
        means.append(mean)
        squares.append(
            level**2 * np.diag(P) - np.einsum("kr,rk->k", gain, level**2 * H @ P) + mean**2
        )
    weights = np.exp(np.array(logs) - max(logs))
    weights /= weights.sum()
    mean = weights @ np.array(means)
    variance = weights @ np.array(squares) - mean**2 + (1 - SHARED) * own**2
    values = zip(mean.tolist(), np.sqrt(variance).tolist(), strict=True)
    return dict(zip(keys, values, strict=True))


def _priors(lessons: Sequence[Lesson]) -> dict[Key, float]:
    """How unsure each piece is in each octave, where anything is known of it. [log]"""
    found = {}
    for lesson in lessons:
        for share in lesson.shares:
            for hz, prior in zip(lesson.bands_hz, share.prior, strict=True):
                if prior > 0:
                    found[share.piece, hz] = prior
    return found


def _together(keys: Sequence[Key], own: Real) -> Real:
    """Covariance of what is unsure of pieces: octaves of one piece alike by `BAND_CORRELATION`."""
    import numpy as np

    same = np.array([[a[0] == b[0] for b in keys] for a in keys])
    return np.where(same, across(own, BAND_CORRELATION), 0.0)


def _equations(
    lessons: tuple[Lesson, ...], keys: list[Key], prior: dict[Key, float]
) -> tuple[Real, Real, Real]:
    """Every octave of every lesson as one row: how the pieces move it (rows, keys), what is to be
    explained (rows,), and the covariance of all else (rows, rows)."""
    import numpy as np

    rests = rooms_said(lessons).rests
    rows = sum(len(rest.off) for rest in rests)
    H, covariance = np.zeros((rows, len(keys))), np.zeros((rows, rows))
    start = 0
    for rest in rests:
        here = slice(start, start + len(rest.off))
        start = here.stop
        H[here] = _pulls(rest.lesson, keys)
        own = np.array([prior[key] for key in keys])
        workmanship = (1 - SHARED) * H[here] @ _together(keys, own) @ H[here].T
        covariance[here, here] = rest.covariance + workmanship
    shared = np.concatenate([rest.shared for rest in rests])
    off = np.concatenate([rest.off for rest in rests])
    return H, off, covariance + np.outer(shared, shared)


def _pulls(lesson: Lesson, keys: Sequence[Key]) -> Real:
    """How the pieces move each octave of a lesson, (octaves, keys). [1]"""
    import numpy as np

    found = np.zeros((len(lesson.bands_hz), len(keys)))
    for share in lesson.shares:
        for i, (hz, pull) in enumerate(zip(lesson.bands_hz, share.pull, strict=True)):
            if (share.piece, hz) in keys:
                found[i, keys.index((share.piece, hz))] += pull
    return found
