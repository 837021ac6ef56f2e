"""The certificate's four answers: is the promise kept, is the target reached, is anything new to be
heard, what happens next."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from roomcheck.facts import fact
from roomcheck.job import Job
from roomcheck.judge import FREE, Finding, Outcome, Verdict
from roomcheck.quote import Agreement
from roomcheck.report.render.blocks import Facts
from roomcheck.units import band_name
from roomcheck.verify import Appearance, Kept, Verification, appearances
from roomcheck.words import (
    NONE,
    Reader,
    finding_title,
    free_move,
    joined,
    limit_words,
    mean_name,
    proof_sentence,
    say,
    seconds,
    sentence,
)


def four_answers(
    job: Job,
    agreement: Agreement,
    verification: Verification,
    before: Verdict | None,
    after: Verdict | None,
) -> Facts:
    """What a client asks when the work is done."""
    reader = Reader(who="client", units=job.units)
    return Facts(
        pairs=(
            (say("ask_kept"), proof_sentence(verification, reader)),
            (say("ask_target"), target_answer(after)),
            (say("ask_new"), _new(before, after, reader)),
            (say("ask_next"), what_next(job, agreement, verification, before, after)),
        )
    )


class Reached(StrEnum):
    """Whether a room is as its use wants it."""

    YES = "reached"
    NO = "missed"
    OPEN = "open"


def target_reached(verdict: Verdict) -> Reached:
    """The mean and every octave that has a limit, taken together."""
    outcomes = [verdict.mid.outcome, *(band.outcome for band in verdict.bands if band.has_limit)]
    if any(outcome in (Outcome.TOO_LONG, Outcome.TOO_SHORT) for outcome in outcomes):
        return Reached.NO
    open_outcomes = (Outcome.UNDECIDED, Outcome.NOT_MEASURED)
    if any(outcome in open_outcomes for outcome in outcomes):
        return Reached.OPEN
    return Reached.YES


def target_answer(verdict: Verdict | None) -> str:
    """Whether the room now is as its use wants it: the mean and every octave that is judged."""
    if verdict is None:
        return say("target_unknown")
    mid = verdict.mid
    missed = [
        band_name(band.band_hz)
        for band in verdict.bands
        if band.outcome in (Outcome.TOO_LONG, Outcome.TOO_SHORT)
    ]
    open_bands = [
        band_name(band.band_hz)
        for band in verdict.bands
        if band.has_limit and band.outcome is Outcome.UNDECIDED
    ]
    value = seconds(mid.value_s, mid.low_s, mid.high_s)
    says = say(
        "target_mean",
        value=value if value != NONE else say("not_measured_here"),
        mean=mean_name(mid.bands_hz),
        limits=limit_words(mid.low_s, mid.high_s, mid.value_s),
    )
    if mid.outcome in (Outcome.TOO_LONG, Outcome.TOO_SHORT) or missed:
        where = f" {say('target_missed_at', bands=joined(missed))}" if missed else ""
        return f"{say('no_answer')} {says}{where}"
    if mid.outcome is Outcome.WITHIN and not open_bands:
        return f"{say('yes_answer')} {says}"
    where = f" {say('target_open_at', bands=joined(open_bands))}" if open_bands else ""
    return f"{say('open_answer')} {says}{where}"


def _new(before: Verdict | None, after: Verdict | None, reader: Reader) -> str:
    if before is None or after is None:
        return say("new_unknown")
    found = appearances(before, after)
    if not found:
        return say("new_nothing")
    return " ".join(_appeared(found, reader))


def _appeared(found: Sequence[Appearance], reader: Reader) -> tuple[str, ...]:
    """A sentence for what is new, and one for what could not be seen before."""
    by_kind: dict[str, list[str]] = {}
    for one in found:
        title = finding_title(one.finding, reader).rstrip(".")
        by_kind.setdefault(sentence(fact(one.how), reader), []).append(title)
    return tuple(f"{how}: {'; '.join(titles)}." for how, titles in by_kind.items())


def what_next(
    job: Job,
    agreement: Agreement,
    verification: Verification,
    before: Verdict | None = None,
    after: Verdict | None = None,
) -> str:
    """The next step, as it was agreed, and what the other answers leave to be done."""
    reader = Reader(who="client", units=job.units)
    left = (*_target_next(verification, after), *_new_next(before, after, reader))
    return " ".join((_as_agreed(job, agreement, verification, done=not left), *left))


def _as_agreed(job: Job, agreement: Agreement, verification: Verification, *, done: bool) -> str:
    pairs = agreement.plan.promise.positions
    if verification.kept is Kept.KEPT:
        return say("next_kept" if done else "next_kept_yet")
    if verification.kept is Kept.NOT_KEPT:
        return say("next_not_kept", remedy=job.shop.words.remedy or say("acc_remedy_says"))
    if verification.kept is Kept.NOT_PROMISED:
        return say("next_not_promised" if done else "next_not_promised_yet")
    if verification.pairs_after >= 2 * pairs:
        return say("next_averages", pairs=verification.pairs_after)
    return say("next_undecided", twice=2 * pairs, pairs=pairs, more=2 * pairs - pairs)


def _target_next(verification: Verification, after: Verdict | None) -> tuple[str, ...]:
    """What a target asks for that is not reached for sure; a promise that is not kept comes
    first."""
    if after is None or verification.kept not in (Kept.KEPT, Kept.NOT_PROMISED):
        return ()
    reached = target_reached(after)
    return () if reached is Reached.YES else (say(f"next_target_{reached}"),)


def _new_next(before: Verdict | None, after: Verdict | None, reader: Reader) -> tuple[str, ...]:
    """What would help against each fault that is new, and that nobody promised it away."""
    if before is None or after is None:
        return ()
    steps = []
    for one in appearances(before, after):
        title = finding_title(one.finding, reader).rstrip(".")
        steps.append(f"{title}. {_first_cure(one.finding, reader)}".rstrip())
    return (*steps, say("next_outside")) if steps else ()


def _first_cure(finding: Finding, reader: Reader) -> str:
    """What to try first, and whether that costs anything; "" where nothing is known."""
    if not finding.remedies:
        return ""
    first = finding.remedies[0]
    if first.kind in FREE:
        return say("next_free", cure=free_move(first, reader))
    return sentence(first, reader)
