"""What a verified job teaches the shop about its own pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import log, sqrt
from pathlib import Path

import numpy as np

from roomcheck.analyse import Analysis
from roomcheck.errors import RoomcheckError
from roomcheck.job import AtScatter, Job, Lesson, Placement, Share, StockPiece, unlearned_shop
from roomcheck.parts import OnPart, Parts
from roomcheck.predict import (
    Prediction,
    Statistics,
    WithErrors,
    piece_absorption,
    predict_with_errors,
)
from roomcheck.verify.conditions import differences

NINE_IN_TEN = 2 * 1.645
"""Width of a nine-in-ten range in standard deviations."""

LEAST_SPREAD = 0.02
"""Nothing else in a prediction is surer than this. [log]"""

LEAST_WEIGHT = 1e-7
"""No scattering is ruled out wholly. [1]"""


class CannotLearn(RoomcheckError):
    """A job that says nothing sure of its pieces."""

    def __init__(self, job: Path, why: str) -> None:
        self.job, self.why = job, why
        super().__init__(f"{job}: nothing to learn from this job: {why}")


def learn(
    job: Job,
    before: Analysis,
    after: Analysis,
    pieces: tuple[Placement, ...],
    *,
    simulate: bool = True,
    on_part: OnPart | None = None,
) -> Lesson:
    r"""What the re-measured room says of the pieces that hang in it.

    Parameters
    ----------
    job : Job
    before, after : Analysis
        Of both visits; they must be comparable.
    pieces : tuple of Placement
        As signed and hung.
    simulate : bool
        As for `predict`.
    on_part : callable or None
        Gets how many of the two parts are done: the room calibrated, its pieces predicted.

    Returns
    -------
    Lesson
        Per octave, how far the decay lies from the one predicted with every piece as computed,
        :math:`\ln(T/T_{likely})`, the uncertainty that is not the pieces' own and how much of it is
        the prediction's error, how each kind of piece would move it, and the same for each
        scattering that the room may have. What the shop had learned
        before is left aside, so that lessons may be added and taken out in any order.

    Raises
    ------
    CannotLearn
        The visits cannot be compared, nothing hangs, or no octave has both a predicted and a
        measured decay.
    """
    _check_comparable(job, before, after)
    if not pieces:
        raise CannotLearn(job.folder, "no piece hangs there")
    plain = replace(job, shop=unlearned_shop(job.shop))
    parts = Parts(on_part, 2)
    room = Statistics.of(plain, before, follow_paths=simulate)
    parts.add()
    seen = predict_with_errors(plain, pieces, room, simulate=simulate)
    offs = _offs(seen.prediction, after)
    bands_hz = sorted(offs)
    if not bands_hz:
        raise CannotLearn(job.folder, "no octave has both a predicted decay and a measured one")
    at = [room.bands_hz.index(hz) for hz in bands_hz]
    counts = Counter(piece.piece for piece in pieces)
    shares = []
    for name in sorted(counts):
        piece = plain.shop.piece(name)
        share = Share(
            piece=name,
            count=counts[name],
            pull=tuple(seen.pulls[name][at].tolist()),
            prior=tuple(_prior(piece, hz) for hz in bands_hz),
        )
        shares.append(share)
    visit = job.visit(after.visit)
    return Lesson(
        job=job.folder.absolute().name,
        day=visit.date if visit else "",
        bands_hz=tuple(bands_hz),
        off=tuple(offs[hz][0] for hz in bands_hz),
        spread=_spreads([offs[hz][1] for hz in bands_hz], shares),
        shares=tuple(shares),
        model=tuple(seen.own_error[at].tolist()),
        scatters=_at_scatters(seen, at, shares),
    )


def _at_scatters(
    seen: WithErrors, at: Sequence[int], shares: Sequence[Share]
) -> tuple[AtScatter, ...]:
    """What the lesson would say at each scattering; those at which hardly a room is possible left
    out."""
    likely = np.log(np.array([seen.prediction.after[i].likely_s for i in at], dtype=float))
    found = []
    for case in seen.if_scattered:
        away = case.mean_log_s[at] - likely
        if np.isfinite(away).all():
            one = AtScatter(
                scatter=case.scatter,
                weight=max(case.weight, LEAST_WEIGHT),
                away=tuple(away.tolist()),
                spread=_spreads(case.sd[at].tolist(), shares),
                model=tuple(case.own_error[at].tolist()),
            )
            found.append(one)
    return tuple(found)


def _check_comparable(job: Job, before: Analysis, after: Analysis) -> None:
    barring = differences(job, before, after).barring
    if barring:
        differ = ", ".join(difference.kind for difference in barring)
        raise CannotLearn(job.folder, f"the visits cannot be compared ({differ}).")


def _spreads(sds: Sequence[float], shares: Sequence[Share]) -> tuple[float, ...]:
    """What of each octave's standard deviation the pieces do not make. [log]"""
    rests = []
    for i, sd in enumerate(sds):
        of_pieces = [(share.pull[i], share.prior[i]) for share in shares]
        rests.append(_rest(sd, of_pieces))
    return tuple(rests)


def _offs(prediction: Prediction, after: Analysis) -> dict[float, tuple[float, float]]:
    """ln(measured / likely) and the standard deviation of the predicted range above 0, by octave.
    [log]"""
    offs = {}
    for band in prediction.after:
        mean = after.octave(band.band_hz)
        measured_s = None if mean is None else mean.t20_s
        if measured_s is None or band.likely_s is None or not band.low_s or not band.high_s:
            continue
        sd = log(band.high_s / band.low_s) / NINE_IN_TEN
        if sd > 0:
            offs[band.band_hz] = (log(measured_s / band.likely_s), sd)
    return offs


def _prior(piece: StockPiece, band_hz: float) -> float:
    """How unsure the computed absorption of a piece is; 0 where nothing is known. [log]"""
    absorption = piece_absorption(piece)
    value, u = absorption.at(band_hz), absorption.uncertainty_at(band_hz)
    return u / value if value and u else 0.0


def _rest(total: float, own: Sequence[tuple[float, float]]) -> float:
    """What of a predicted range the pieces do not make themselves. [log]"""
    pieces = sum((pull * prior) ** 2 for pull, prior in own)
    return sqrt(max(total**2 - pieces, LEAST_SPREAD**2))
