"""What a verified job teaches the shop about its own pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import log, sqrt
from pathlib import Path

from roomcheck.analyse import Analysis
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Lesson, Placement, Share, StockPiece, unlearned_shop
from roomcheck.predict import Prediction, Statistics, piece_absorption, predict, predict_with_error
from roomcheck.verify.conditions import differences

NINE_IN_TEN = 2 * 1.645
"""Width of a nine-in-ten range in standard deviations."""

LEAST_SPREAD = 0.02
"""Nothing else in a prediction is surer than this. [log]"""

_NUDGE = 0.1


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

    Returns
    -------
    Lesson
        Per octave, how far the decay lies from the one predicted with every piece as computed,
        :math:`\ln(T/T_{likely})`, the uncertainty that is not the pieces' own and how much of it is
        the prediction's error, and how each kind of piece would move it. What the shop had learned
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
    room = Statistics.of(plain, before, follow_paths=simulate)
    likely, own = predict_with_error(plain, pieces, room, simulate=simulate)
    model = dict(zip(room.bands_hz, own.tolist(), strict=True))
    offs = _offs(likely, after)
    counts = Counter(piece.piece for piece in pieces)
    pulls = {name: _pulls(plain, room, pieces, name) for name in sorted(counts)}
    bands_hz = sorted(set(offs).intersection(*pulls.values()))
    if not bands_hz:
        raise CannotLearn(job.folder, "no octave has both a predicted decay and a measured one")
    shares = []
    for name, pull in pulls.items():
        piece = plain.shop.piece(name)
        share = Share(
            piece=name,
            count=counts[name],
            pull=tuple(pull[hz] for hz in bands_hz),
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
        model=tuple(model[hz] for hz in bands_hz),
    )


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


def _pulls(
    job: Job, room: Statistics, pieces: tuple[Placement, ...], name: str
) -> dict[float, float]:
    """d ln T / d ln A of one kind of piece, by octave: predicted with a tenth more of it, and
    without. [1]"""
    stock = [
        replace(piece, learned=tuple((hz, _NUDGE, 0.0) for hz in room.bands_hz))
        if piece.name == name
        else piece
        for piece in job.shop.stock
    ]
    more = replace(job, shop=replace(job.shop, stock=tuple(stock)))
    with_more, as_is = (
        predict(one, pieces, simulate=False, room=room).after for one in (more, job)
    )
    return {
        a.band_hz: log(b.eyring_s / a.eyring_s) / _NUDGE
        for a, b in zip(as_is, with_more, strict=True)
        if a.eyring_s and b.eyring_s
    }


def _prior(piece: StockPiece, band_hz: float) -> float:
    """How unsure the computed absorption of a piece is; 0 where nothing is known. [log]"""
    absorption = piece_absorption(piece)
    value, u = absorption.at(band_hz), absorption.uncertainty_at(band_hz)
    return u / value if value and u else 0.0


def _rest(total: float, own: Sequence[tuple[float, float]]) -> float:
    """What of a predicted range the pieces do not make themselves. [log]"""
    pieces = sum((pull * prior) ** 2 for pull, prior in own)
    return sqrt(max(total**2 - pieces, LEAST_SPREAD**2))
