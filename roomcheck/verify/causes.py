"""Why a promise is not kept: what the measured decays lack against the predicted ones, and what
looks like it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from roomcheck.analyse import Analysis
from roomcheck.job import Job, StockPiece
from roomcheck.predict import BandPrediction, NoAbsorption, piece_absorption
from roomcheck.recommend import Plan
from roomcheck.verify.people import SABINE_S_M

AS_LIKELY = 4.0
"""Explanations whose chi-square lies within this of the best one's are named too. [1]"""

FITS = 2.5
"""Chi-square per band above which an explanation explains nothing. [1]"""


AS_BEFORE = (
    "The room sounds as it did before the work: see whether the pieces hang, and whether these "
    "are the recordings of the visit after it."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """Absorption that one octave lacks against the prediction. [Hz], [m2]"""

    band_hz: float
    lack_m2: float
    u_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Explanation:
    words: tuple[str, str]
    spectrum_m2: tuple[float, ...]
    least: float
    most: float
    whole: bool = False


def causes(job: Job, after: Analysis, plan: Plan) -> tuple[str, ...]:
    """What is most likely wrong, with its cure, likeliest first; empty where nothing can be
    compared.

    The lack of absorption per octave, :math:`0.161\\,V\\,(1/T_{measured} - 1/T_{predicted})` with
    its sign turned, is fitted by each explanation's own spectrum: a missing piece, a missing gap,
    pieces that absorb less than the stock list says.
    """
    lacks = lacks_of(job, after, plan.prediction.after)
    if not lacks:
        return ()
    if sum(lack.lack_m2 / lack.u_m2**2 for lack in lacks) < 0:
        return (
            (
                "The room absorbs more than was planned: look for furniture, curtains or people "
                "that were not there."
            ),
        )
    if all(abs(lack.lack_m2) <= 1.645 * lack.u_m2 for lack in lacks):
        return (
            (
                "The measured decays agree with the prediction: the promise was narrower than the "
                "prediction allowed."
            ),
        )
    since = lacks_of(job, after, plan.prediction.before)
    if since and all(abs(lack.lack_m2) <= 1.645 * lack.u_m2 for lack in since):
        return (AS_BEFORE,)
    fitted = sorted(
        (_fit(lacks, e) for e in _explanations(job, plan, [lack.band_hz for lack in lacks])),
        key=_first,
    )
    named = [
        text for chi, text in fitted if chi <= FITS * len(lacks) and chi - fitted[0][0] <= AS_LIKELY
    ]
    if named:
        return tuple(named)
    return (
        (
            "No piece or gap explains what lacks: the room itself changed, or was not as measured "
            "before."
        ),
    )


def _first(pair: tuple[float, str]) -> float:
    return pair[0]


def lacks_of(job: Job, after: Analysis, predicted: Sequence[BandPrediction]) -> tuple[Lack, ...]:
    """What each octave lacks that has both a measured and a predicted decay. [m2]"""
    found = []
    for band in predicted:
        mean = after.octave(band.band_hz)
        ends = (band.low_s, band.likely_s, band.high_s)
        if mean is None or mean.t20_s is None or None in ends:
            continue
        low, likely, high = (end or 0.0 for end in ends)
        constant = SABINE_S_M * job.room.volume_m3
        # The range holds nine in ten: 2 x 1.645 standard uncertainties wide.
        predicted_u = constant * (1 / low - 1 / high) / (2 * 1.645)
        measured_u = constant * (mean.t20_u_s or 0.0) / mean.t20_s**2
        u = (predicted_u**2 + measured_u**2) ** 0.5
        if u > 0:
            found.append(
                Lack(band_hz=band.band_hz, lack_m2=constant * (1 / likely - 1 / mean.t20_s), u_m2=u)
            )
    return tuple(found)


def _explanations(job: Job, plan: Plan, bands: Sequence[float]) -> list[_Explanation]:
    counts: dict[str, int] = {}
    for placed in plan.pieces:
        counts[placed.piece] = counts.get(placed.piece, 0) + 1
    found = []
    total = [0.0] * len(bands)
    for name, count in counts.items():
        piece = job.shop.piece(name)
        one = _spectrum(piece, bands)
        if one is None:
            continue
        total = [a + count * b for a, b in zip(total, one, strict=True)]
        words = (
            "Looks as if ",
            f" × {name} were missing: count what hangs against the plan, and hang what lacks.",
        )
        found.append(_Explanation(words=words, spectrum_m2=one, least=0.5, most=count, whole=True))
        flush = _flush(piece, bands)
        if flush is not None:
            lost = tuple(a - b for a, b in zip(one, flush, strict=True))
            words = (
                "Looks as if the gap were missing behind ",
                f" × {name}: measure the distance to the wall, and restore it.",
            )
            found.append(
                _Explanation(words=words, spectrum_m2=lost, least=0.5, most=count, whole=True)
            )
    less = (
        "The pieces seem to absorb ",
        " % less than the stock list says: check core, fabric and backing of one.",
    )
    found.append(_Explanation(words=less, spectrum_m2=tuple(total), least=0.02, most=0.6))
    return found


def _spectrum(piece: StockPiece, bands: Sequence[float]) -> tuple[float, ...] | None:
    try:
        absorption = piece_absorption(piece)
    except NoAbsorption:
        return None
    area = 1.0 if absorption.per_piece else piece.width_m * piece.height_m
    values = [absorption.at(hz) for hz in bands]
    return None if None in values else tuple(area * (value or 0.0) for value in values)


def _flush(piece: StockPiece, bands: Sequence[float]) -> tuple[float, ...] | None:
    if piece.core is None or piece.core.gap_m <= 0:
        return None
    return _spectrum(replace(piece, core=replace(piece.core, gap_m=0.0)), bands)


def _fit(lacks: Sequence[Lack], explanation: _Explanation) -> tuple[float, str]:
    """Chi-square of an explanation at its best amount, and its sentence."""
    weights = [1 / lack.u_m2**2 for lack in lacks]
    shape = explanation.spectrum_m2
    norm = sum(w * s * s for w, s in zip(weights, shape, strict=True))
    if norm == 0:
        return float("inf"), ""
    amount = (
        sum(w * s * lack.lack_m2 for w, s, lack in zip(weights, shape, lacks, strict=True)) / norm
    )
    amount = min(max(amount, explanation.least), explanation.most)
    if explanation.whole:
        amount = max(1, round(amount))
    chi = sum(
        w * (lack.lack_m2 - amount * s) ** 2
        for w, s, lack in zip(weights, shape, lacks, strict=True)
    )
    said = amount if explanation.whole else 100 * amount
    return chi, f"{said:.0f}".join(explanation.words)
