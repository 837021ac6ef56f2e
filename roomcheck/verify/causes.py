"""Why a promise is not kept: what the measured decays lack against the predicted ones, and what
explains it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, StockPiece
from roomcheck.predict import BandPrediction, NoAbsorption, piece_absorption
from roomcheck.recommend import Plan
from roomcheck.verify.kinds import Cause
from roomcheck.verify.people import SABINE_S_M

AS_LIKELY = 4.0
"""Explanations whose chi-square lies within this of the best one's are named too. [1]"""

FITS = 2.5
"""Chi-square per band above which an explanation explains nothing. [1]"""


NINE_IN_TEN = 1.645
"""Half a nine-in-ten range in standard uncertainties. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingAbsorption:
    """Absorption that one octave lacks against the prediction."""

    band_hz: float
    """[Hz]"""
    lack_m2: float
    """[m2]"""
    u_m2: float
    """Its standard uncertainty [m2]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Explanation:
    """Something that would lower the absorption, by an amount to be fitted."""

    kind: Cause
    spectrum_m2: tuple[float, ...]
    """What one unit of it takes away in each octave [m2]."""
    least: float
    most: float
    piece: str | None = None
    """Whose number is fitted; None for a share of all."""


def causes(job: Job, after: Analysis, plan: Plan) -> tuple[Fact[Cause], ...]:
    r"""Return what is most likely wrong, likeliest first; empty where nothing can be compared.

    The lack of absorption per octave, :math:`0.161\,V\,(1/T_{measured} - 1/T_{predicted})` with
    its sign turned, is fitted by each explanation's own spectrum: a missing piece, a missing gap,
    pieces that absorb less than the stock list says.
    """
    lacks = lacks_of(job, after, plan.prediction.after)
    if not lacks:
        return ()
    if sum(lack.lack_m2 / lack.u_m2**2 for lack in lacks) < 0:
        return (fact(Cause.MORE_ABSORPTION),)
    if _agree(lacks):
        return (fact(Cause.AS_PREDICTED),)
    since_before = lacks_of(job, after, plan.prediction.before)
    if since_before and _agree(since_before):
        return (fact(Cause.AS_BEFORE),)
    bands_hz = [lack.band_hz for lack in lacks]
    fits = [_fit(lacks, explanation) for explanation in _explanations(job, plan, bands_hz)]
    fits.sort(key=lambda fit: fit[0])
    worst_chi = min(FITS * len(lacks), fits[0][0] + AS_LIKELY)
    named = tuple(cause for chi, cause in fits if chi <= worst_chi)
    return named or (fact(Cause.UNEXPLAINED),)


def _agree(lacks: Sequence[MissingAbsorption]) -> bool:
    """Whether measured and predicted decays agree in every octave, nine in ten."""
    return all(abs(lack.lack_m2) <= NINE_IN_TEN * lack.u_m2 for lack in lacks)


def lacks_of(
    job: Job, after: Analysis, predicted: Sequence[BandPrediction]
) -> tuple[MissingAbsorption, ...]:
    """Return what each octave lacks that has both a measured and a predicted decay. [m2]"""
    lacks = []
    for band in predicted:
        mean = after.octave(band.band_hz)
        low, likely, high = band.low_s, band.likely_s, band.high_s
        if mean is None or mean.t20_s is None or low is None or likely is None or high is None:
            continue
        constant = SABINE_S_M * job.room.volume_m3
        # The range holds nine in ten: 2 x 1.645 standard uncertainties wide.
        predicted_u = constant * (1 / low - 1 / high) / (2 * NINE_IN_TEN)
        measured_u = constant * (mean.t20_u_s or 0.0) / mean.t20_s**2
        u = (predicted_u**2 + measured_u**2) ** 0.5
        if u > 0:
            lack_m2 = constant * (1 / likely - 1 / mean.t20_s)
            lacks.append(MissingAbsorption(band_hz=band.band_hz, lack_m2=lack_m2, u_m2=u))
    return tuple(lacks)


def _explanations(job: Job, plan: Plan, bands: Sequence[float]) -> list[_Explanation]:
    counts = Counter(placed.piece for placed in plan.pieces)
    explanations = []
    total = [0.0] * len(bands)
    for name, count in counts.items():
        piece = job.shop.piece(name)
        whole = _spectrum(piece, bands)
        if whole is None:
            continue
        total = [sum_m2 + count * m2 for sum_m2, m2 in zip(total, whole, strict=True)]
        lost = {Cause.PIECES_MISSING: whole}
        flush = _flush(piece, bands)
        if flush is not None:
            lost[Cause.GAP_MISSING] = tuple(a - b for a, b in zip(whole, flush, strict=True))
        explanations += [
            _Explanation(kind=kind, spectrum_m2=each, least=0.5, most=count, piece=name)
            for kind, each in lost.items()
        ]
    weak = _Explanation(kind=Cause.WEAK_PIECES, spectrum_m2=tuple(total), least=0.02, most=0.6)
    return [*explanations, weak]


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


def _fit(
    lacks: Sequence[MissingAbsorption], explanation: _Explanation
) -> tuple[float, Fact[Cause]]:
    """Chi-square of an explanation at its best amount, and the cause with that amount."""
    terms = list(zip(lacks, explanation.spectrum_m2, strict=True))
    norm = sum(m2**2 / lack.u_m2**2 for lack, m2 in terms)
    if norm == 0:
        return float("inf"), fact(Cause.UNEXPLAINED)
    amount = sum(m2 * lack.lack_m2 / lack.u_m2**2 for lack, m2 in terms) / norm
    amount = min(max(amount, explanation.least), explanation.most)
    if explanation.piece is not None:
        amount = max(1, round(amount))
        cause = fact(explanation.kind, count=amount, piece=explanation.piece)
    else:
        cause = fact(explanation.kind, share=amount)
    chi = sum((lack.lack_m2 - amount * m2) ** 2 / lack.u_m2**2 for lack, m2 in terms)
    return chi, cause
