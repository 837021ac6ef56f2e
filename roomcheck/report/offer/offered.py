"""What an offer is about, and what its first page shows of it: number, day, options worth a
choice."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge import Verdict
from roomcheck.plain import to_plain
from roomcheck.quote import Agreement, Quote
from roomcheck.recommend import Plan
from roomcheck.words import Reader

SURER = 0.1
"""A chance that is better by less is no reason to pay more. [1]"""
HEARD = 0.05
"""Just noticeable difference of the early decay time, here of the mean T20 (ISO 3382-1:2009,
Table A.1). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offered:
    """One offer with all that it rests on."""

    job: Job
    before: Analysis
    verdict: Verdict
    plans: tuple[Plan, ...]
    quotes: tuple[Quote, ...]
    """One for each of `plans`."""
    plan: Plan
    """What is proposed: drawn and priced in full, with `quote`."""
    quote: Quote
    sounds: bool = False
    """Whether there are files to listen to."""
    signed: Agreement | None = None
    """Where just this offer is signed already."""

    @property
    def reader(self) -> Reader:
        """The client."""
        return Reader(who="client", units=self.job.units)

    @property
    def number(self) -> str:
        """The offer's own number, or the day of the first visit with four signs that follow from
        what is offered: another offer has another one."""
        if self.job.offer_number:
            return self.job.offer_number
        visit = self.job.visit(self.before.visit)
        content = json.dumps(to_plain((self.plan.pieces, self.plan.promise, self.quote)))
        signs = hashlib.sha256(content.encode()).hexdigest()[:4].upper()
        return f"{visit.date}-{signs}" if visit else signs

    @property
    def valid_until(self) -> str:
        """Last day of the offer, ISO 8601; "" where its first is not known."""
        if not self.job.offer_date:
            return ""
        days = timedelta(days=self.quote.valid_days)
        return (date.fromisoformat(self.job.offer_date) + days).isoformat()

    @property
    def choices(self) -> tuple[tuple[Plan, Quote], ...]:
        """The proposed option, and those that are worth the choice beside it."""
        pairs = tuple(zip(self.plans, self.quotes, strict=False))
        worth = choices_of(pairs)
        if any(plan is self.plan for plan, _ in worth):
            return worth
        others = [pair for pair in worth if not _alike(pair[0], self.plan)]
        return ((self.plan, self.quote), *others)


def choices_of(pairs: Sequence[tuple[Plan, Quote]]) -> tuple[tuple[Plan, Quote], ...]:
    """The options that a client can have a reason to choose.

    One that hangs what another hangs is left out, and one that another betters: which costs no more
    and does as much for the target, for the chance of it and for the reflections. Nor is one shown
    that is dearer than another and gives for it nothing that anybody hears or is much surer of.
    Where hanging nothing reaches the target, that alone is left.
    """
    bare = [pair for pair in pairs if not pair[0].pieces and pair[0].reaches_target]
    if bare:
        return (bare[0],)
    kept: list[tuple[Plan, Quote]] = []
    for pair in pairs:
        others = [other for other in pairs if other is not pair]
        twice = any(_alike(pair[0], earlier) for earlier, _ in kept)
        worse = any(_betters(other, pair) or _as_good_for_less(other, pair) for other in others)
        if not twice and not worse:
            kept.append(pair)
    return tuple(kept)


def _alike(plan: Plan, other: Plan) -> bool:
    return _hung(plan) == _hung(other)


def _hung(plan: Plan) -> Counter[tuple[object, ...]]:
    return Counter((piece.piece, piece.face, piece.place) for piece in plan.pieces)


def _betters(one: tuple[Plan, Quote], other: tuple[Plan, Quote]) -> bool:
    """Return whether the first is at least as good in all that a client pays for, and not the
    same."""
    (plan, quote), (than, than_quote) = one, other
    if _alike(plan, than) or quote.total > than_quote.total:
        return False
    as_sure = (plan.chance or 0.0) >= (than.chance or 0.0) - 0.005
    as_near = plan.reaches_target >= than.reaches_target
    return as_sure and as_near and _covered(plan) >= _covered(than)


def _as_good_for_less(one: tuple[Plan, Quote], other: tuple[Plan, Quote]) -> bool:
    """Return whether the second costs more and gives for it nothing that is heard: no limit met
    that the first misses, a mean within what is just noticed, hardly a better chance."""
    (plan, quote), (than, than_quote) = one, other
    if _alike(plan, than) or quote.total >= than_quote.total:
        return False
    if than.reaches_target > plan.reaches_target or len(than.shortfalls) < len(plan.shortfalls):
        return False
    if (than.chance or 0.0) > (plan.chance or 0.0) + SURER:
        return False
    mean_s, than_s = plan.prediction.mid_likely_s, than.prediction.mid_likely_s
    if mean_s is None or than_s is None:
        return False
    return abs(than_s - mean_s) < HEARD * mean_s


def _covered(plan: Plan) -> int:
    """First reflections that a piece stands in the way of."""
    return sum(1 for reflection in plan.reflections if reflection.piece)
