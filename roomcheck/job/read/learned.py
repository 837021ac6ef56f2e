"""What verified jobs taught the shop about its own pieces: how much more or less they absorb than
computed.

Each verified job leaves one lesson in the shop's file: by how much its re-measured decays differed
from the predicted ones, and how much of that each kind of piece could explain. What the prediction
itself is off in all jobs of the shop is taken out first (`taught.model_error`); then all lessons
together give every piece a factor with its uncertainty. A lesson that is taken out again leaves no
trace.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from roomcheck.job.model.shop import Lesson, Share, Shop, StockPiece
from roomcheck.job.taught.model_error import model_error, without_model
from roomcheck.job.toml.reader import TomlTable

SHARED = 0.75
"""Of a computed absorption's variance, what is the same in all jobs of a shop; the rest,
workmanship and batches of board, differs from job to job and is never learned (a judgement). [1]"""

LESSON_SCHEMA = 2
"""Of [[lesson]] tables; those without a number are of the first, which has no `model`."""

LEAST_SAID = 8
"""Values (jobs times bands) from which the priors themselves are doubted. [1]"""


def learned_shop(shop: Shop, lessons: Sequence[Lesson]) -> Shop:
    """The shop with what its lessons say of each piece; without lessons, the shop as it is."""
    if not lessons:
        return shop
    error = model_error(lessons)
    rest = without_model(lessons, error)
    stock = tuple(replace(piece, learned=_of(piece, rest)) for piece in shop.stock)
    return replace(shop, stock=stock, lessons=tuple(lessons), model_learned=error)


def unlearned_shop(shop: Shop) -> Shop:
    """The shop as if it had never verified a job."""
    return replace(
        shop,
        stock=tuple(replace(piece, learned=()) for piece in shop.stock),
        lessons=(),
        model_learned=(0.0, 1.0),
    )


def shop_taught(shop: Shop, lesson: Lesson) -> Shop:
    """The shop as it would be with a job's lesson in place of what that job taught before."""
    others = [known for known in shop.lessons if known.job != lesson.job]
    return learned_shop(unlearned_shop(shop), (*others, lesson))


def _of(piece: StockPiece, lessons: Sequence[Lesson]) -> tuple[tuple[float, float, float], ...]:
    bands = sorted({hz for lesson in lessons for hz in lesson.bands_hz})
    found = ((hz, factors(lessons, hz).get(piece.name)) for hz in bands)
    return tuple((hz, *factor) for hz, factor in found if factor is not None)


def inflation(lessons: Sequence[Lesson]) -> float:
    r"""By how much the pieces' priors are too narrow for what the lessons say; 1 where they are
    not. [1]

    The moment estimate over all bands of all lessons, each weighted by how sure it is: :math:`s^2 =
    \sum w\,(\mathrm{off}^2 - \mathrm{spread}^2) / \sum w\,\sum_p
    (\mathrm{pull}_p\,\mathrm{prior}_p)^2`; never below 1, and 1 with fewer than `LEAST_SAID`
    values.
    """
    excess = expected = 0.0
    said = 0
    for lesson in lessons:
        for i, spread in enumerate(lesson.spread):
            own = sum((share.pull[i] * share.prior[i]) ** 2 for share in lesson.shares)
            if own > 0:
                weight = 1 / (spread**2 + own) ** 2
                excess += weight * (lesson.off[i] ** 2 - spread**2)
                expected += weight * own
                said += 1
    return max(1.0, excess / expected) ** 0.5 if said >= LEAST_SAID else 1.0


def factors(lessons: Sequence[Lesson], band_hz: float) -> dict[str, tuple[float, float]]:
    r"""Factor of every piece that the lessons know, in one octave.

    Parameters
    ----------
    lessons : sequence of Lesson
    band_hz : float
        [Hz]

    Returns
    -------
    dict
        From the piece's name to mean and standard deviation of :math:`\ln(A/A_{computed})` for its
        next job. [log]

    Notes
    -----
    Every lesson is one equation, :math:`\mathrm{off} = \sum_p \mathrm{pull}_p\,(g_p + w_p) + e`:
    the shop's own factors :math:`g_p` start at 0 with `SHARED` of their `prior` variance, the job's
    workmanship :math:`w_p` has the rest. The posterior of :math:`g` is the ordinary linear Gaussian
    one, and the next job's factor is :math:`g_p + w_p` again: surer than computed, never sure.
    Pieces that always hung together stay apart only as far as their pulls differ. Where the lessons
    together are further off than the priors allow (`inflation`), the priors are widened first, so
    that a shop whose pieces are nothing like computed is believed too.

    Examples
    --------
    One job, a piece whose absorption is unknown by 20 % and makes half the decay: measured 5 % too
    long, sure to 5 %.

    >>> share = Share(piece="panel", count=4, pull=(-0.5,), prior=(0.2,))
    >>> one = Lesson(
    ...     job="a", day="2026-05-04", bands_hz=(500.0,), off=(0.05,), spread=(0.05,),
    ...     shares=(share,),
    ... )
    >>> mean, sd = factors([one], 500.0)["panel"]
    >>> round(mean, 3), round(sd, 3)
    (-0.06, 0.148)
    """
    import numpy as np

    said = [
        (lesson, lesson.bands_hz.index(band_hz)) for lesson in lessons if band_hz in lesson.bands_hz
    ]
    priors = {
        share.piece: share.prior[i]
        for lesson, i in said
        for share in lesson.shares
        if share.prior[i] > 0
    }
    names = sorted(priors)
    if not names:
        return {}
    own = inflation(lessons) * np.array([priors[name] for name in names])
    precision, pulled = np.diag(1 / (SHARED * own**2)), np.zeros(len(names))
    for lesson, i in said:
        pull = np.zeros(len(names))
        for share in lesson.shares:
            if share.piece in priors:
                pull[names.index(share.piece)] += share.pull[i]
        variance = lesson.spread[i] ** 2 + float(pull**2 @ own**2) * (1 - SHARED)
        precision += np.outer(pull, pull) / variance
        pulled += pull * lesson.off[i] / variance
    covariance = np.linalg.inv(precision)
    sd = np.sqrt(np.diag(covariance) + (1 - SHARED) * own**2)
    return {
        name: (float(m), float(s))
        for name, m, s in zip(names, covariance @ pulled, sd, strict=True)
    }


def read_lessons(top: TomlTable) -> tuple[Lesson, ...]:
    """Every [[lesson]] of a shop's file."""
    return tuple(lesson for table in top.tables("lesson") if (lesson := _read(table)) is not None)


def _read(table: TomlTable) -> Lesson | None:
    schema = table.whole("schema", 1, least=1)
    if schema > LESSON_SCHEMA:
        known = f"this one reads up to {LESSON_SCHEMA}; update: pip install --upgrade roomcheck"
        table.note("schema", f"`schema` is {schema}: taught by a newer roomcheck; {known}")
    bands = table.floats("bands_hz", above=0.0)
    lesson = Lesson(
        job=table.text("job"),
        day=table.day("day"),
        bands_hz=bands,
        off=table.floats("off", count=len(bands)),
        spread=table.floats("spread", count=len(bands), above=0.0),
        shares=tuple(_share(one, len(bands)) for one in table.tables("shares")),
        model=table.floats("model", count=len(bands)) if table.has("model") else (),
    )
    table.close()
    return None if table.spoiled else lesson


def _share(table: TomlTable, bands: int) -> Share:
    share = Share(
        piece=table.text("piece"),
        count=table.whole("count", least=1),
        pull=table.floats("pull", count=bands),
        prior=table.floats("prior", count=bands),
    )
    table.close()
    return share
