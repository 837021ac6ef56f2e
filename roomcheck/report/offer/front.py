"""Page one of an offer: all that a client needs to decide, and where to sign."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact
from roomcheck.job import Job
from roomcheck.judge import FindingKind, Outcome, Verdict
from roomcheck.quote import Quote
from roomcheck.recommend import CheckSubject, Plan, PlanNote
from roomcheck.report.figures.bars import Bar, Strip, bars_picture
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.unfolded import unfolded_svg
from roomcheck.report.pages.parts import blocks, room_view
from roomcheck.report.pages.standard_report import quality_of
from roomcheck.report.render.blocks import Block, Boxes, Facts, Picture, Said, Signature, Text
from roomcheck.report.render.letterhead import INK
from roomcheck.typed import SIGNATURE_FIELD, parse_signature
from roomcheck.words import (
    across,
    counted,
    finding_notice,
    heading,
    joined,
    limit_words,
    limits,
    mean_name,
    money,
    pieces_of,
    plan_title,
    reach,
    say,
    seconds,
    shortened,
    verdict_sentence,
    with_limit,
)

_Ends = tuple[tuple[float, ...], float, float, float | None, float | None]
"""Octaves, ends of what is promised, ends of the target. [Hz], [s]"""

SAID_BY_THE_MEAN = (FindingKind.TOO_LIVE, FindingKind.TOO_DEAD)
"""Faults that the sentence on the mean says already."""
MOST_NAMED = 4
"""Values by their names on page one, at the most."""
VIEW_PT = 195.0
"""Most that the picture of the room takes of page one, to both sides. [pt]"""


def front(offered: Offered) -> tuple[Block, ...]:
    """The decision page."""
    job = offered.job
    greeting = (Text(body=job.shop.words.greeting),) if job.shop.words.greeting else ()
    return blocks(
        head_facts(offered, who=True),
        greeting,
        complaint(offered),
        Text(body=wrong(offered)),
        _bars(offered),
        _hangs(offered),
        _boxes(offered),
        signature(offered, say("accept_says", number=offered.number)),
    )


def signature(offered: Offered, accepted: str = "") -> tuple[Block, ...]:
    """Where to sign what is accepted; who signed it and how, where that was drawn by hand."""
    signed = offered.signed
    if signed is None or not signed.signature:
        who = (say("sign_client"), say("sign_shop"))
        return (Signature(who=who, date=say("date"), title="", body=accepted),)
    by = say("accepted_by", name=signed.signed_by, day=signed.signed_on)
    drawn = Picture(svg=signature_svg(signed.signature), alt=by, caption=by)
    return (Text(body=accepted), drawn) if accepted else (drawn,)


def signature_svg(path: str) -> str:
    """A drawn signature as a picture of a page's width, as large in it as one signs on paper."""
    wide, high = SIGNATURE_FIELD
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {3 * wide} {high}" width="468pt" '
        f'height="52pt"><path d="{parse_signature(path)}" fill="none" stroke="{INK}" '
        'stroke-width="4" stroke-linecap="round" stroke-linejoin="round"/></svg>'
    )


def head_facts(offered: Offered, *, who: bool) -> Facts:
    """Both addresses, number, day and validity; what is not known is said."""
    job, shop = offered.job, offered.job.shop
    sender = ", ".join(text for text in (shop.name, shop.address, shop.contact) if text)
    client = ", ".join(text for text in (job.client, job.client_address) if text)
    missing = say("no_address")
    pairs = [
        (say("bill_from"), sender if shop.address else f"{sender} ({missing})"),
        (say("offer_number" if who else "paper_number"), offered.number),
        (say("offer_to"), client if job.client_address else f"{client} ({missing})"),
        (say("date"), job.offer_date or say("offer_day_by_hand")),
    ]
    valid = say("offer_valid_days", days=offered.quote.valid_days)
    if offered.valid_until:
        valid = say("offer_valid_until", day=offered.valid_until)
    return Facts(pairs=(*pairs, (say("offer_valid"), valid)) if who else tuple(pairs), columns=2)


def complaint(offered: Offered) -> tuple[Block, ...]:
    """The client's own words, where there are any."""
    words = offered.job.complaint.strip()
    return (Said(body=words, by=say("you_told")),) if words else ()


def wrong(offered: Offered) -> str:
    """What is wrong, in one sentence, and how that is heard."""
    verdict, reader = offered.verdict, offered.reader
    says = verdict_sentence(verdict, reader)
    others = [finding for finding in verdict.findings if finding.kind not in SAID_BY_THE_MEAN]
    if not others or verdict.mid.outcome == Outcome.WITHIN:
        return says
    return f"{says} {finding_notice(others[0], reader)}"


def today_bar(verdict: Verdict) -> tuple[Bar, ...]:
    """The room as it was measured."""
    mid = verdict.mid
    if mid.value_s is None:
        return ()
    printed = seconds(mid.value_s, mid.low_s, mid.high_s)
    return (
        Bar(
            name=heading(say("today")),
            number=f"{printed} s",
            from_s=0.0,
            to_s=mid.value_s,
            u_s=mid.u_s,
            hatched=True,
        ),
    )


def target_strip(verdict: Verdict) -> Strip | None:
    """The range that the mean is held against."""
    mid = verdict.mid
    if not mid.has_limit:
        return None
    words = limit_words(mid.low_s, mid.high_s)
    return Strip(name=say("strip_target", limits=words), low_s=mid.low_s, high_s=mid.high_s)


def _bars(offered: Offered) -> Picture:
    verdict, plan = offered.verdict, offered.plan
    bars = today_bar(verdict)
    low_s, high_s = plan.prediction.mid_low_s, plan.prediction.mid_high_s
    planned = say("not_foreseen_here")
    if low_s is not None and high_s is not None:
        planned = f"{reach(low_s, high_s)} s"
        name = heading(say("as_planned"))
        if plan.prediction.mid_bands_hz != verdict.mid.bands_hz:
            name = f"{name},\n{mean_name(plan.prediction.mid_bands_hz)}"
        bars = (*bars, Bar(name=name, number=planned, from_s=low_s, to_s=high_s))
    mid = verdict.mid
    alt = say(
        "alt_front",
        today=seconds(mid.value_s, mid.low_s, mid.high_s),
        planned=planned,
        target=limits(mid.low_s, mid.high_s),
    )
    return bars_picture(bars, target_strip(verdict), mid.bands_hz, alt)


def _hangs(offered: Offered) -> tuple[Block, ...]:
    job, plan = offered.job, offered.plan
    names = [
        f"{piece.name} {piece.piece}, {piece.face}, {across(piece.place, job)}"
        for piece in plan.pieces
    ]
    drawn = hung_picture(job, plan)
    alt = say("alt_hangs", pieces="; ".join(names))
    caption = f"{drawn.caption} {what_hangs(plan)}."
    return (replace(drawn, alt=alt, caption=caption, beside=Facts(pairs=_decision(offered))),)


def hung_picture(job: Job, plan: Plan) -> Picture:
    """The room with the plan's pieces as one sees it; its walls unfolded where a piece is no longer
    in the shop's file, and nobody knows its parts."""
    try:
        return room_view(job, plan.pieces, width_pt=VIEW_PT, height_pt=VIEW_PT)
    except RoomcheckError:
        unfolded = unfolded_svg(job, plan.pieces)
        return Picture(svg=unfolded, alt=say("cap_unfolded"), caption=say("cap_unfolded"))


def what_hangs(plan: Plan) -> str:
    """How many of each piece, with their names."""
    parts = []
    for piece, count in pieces_of(tuple(placed.piece for placed in plan.pieces)):
        names = [placed.name for placed in plan.pieces if placed.piece == piece]
        parts.append(f"{count} of “{piece}” ({shortened(names)})")
    return joined(parts)


def _decision(offered: Offered) -> tuple[tuple[str, str], ...]:
    quote, plan = offered.quote, offered.plan
    facts = [
        (say("price"), _price(offered, quote)),
        (say("duration"), duration(plan)),
        (say("how_sure"), how_sure(offered)),
        (say("promise"), promise_line(offered)),
        (say("how_to_hear"), say("hear_files" if offered.sounds else "hear_none")),
    ]
    unknown = not_known(offered)
    if unknown:
        facts.append((say("not_known"), heading(f"{'; '.join(unknown)}.")))
    return tuple(facts)


def _price(offered: Offered, quote: Quote) -> str:
    key = "price_with_tax" if quote.tax else "price_without_tax"
    return say(key, total=money(quote.total, offered.job), tax=money(quote.tax, offered.job))


def duration(plan: Plan) -> str:
    """From acceptance to the second measurement."""
    if plan.weeks is None:
        return say("duration_agreed")
    return say("duration_weeks", weeks=counted(plan.weeks, "week"))


def how_sure(offered: Offered) -> str:
    """How likely the target is reached, and what is missed where it is not."""
    plan = offered.plan
    if not plan.reaches_target:
        return say("sure_misses")
    if plan.chance is None:
        return say("sure_range")
    # Rounded down: nothing is made surer by printing it.
    chance = min(int(100 * plan.chance), 99)
    return say("sure_foreseen" if _unforeseen(plan) else "sure_chance", chance=chance)


def promise_line(offered: Offered) -> str:
    """The promise in one line, with the remedy, and where it reaches past the target."""
    promise, words = offered.plan.promise, offered.job.shop.words
    if promise.mid_low_s is None or promise.mid_high_s is None:
        return say("no_promise")
    low, _, high = limits(promise.mid_low_s, promise.mid_high_s).partition("–")
    remedy = say("or_put_right") if not words.remedy else say("or_remedy")
    line = say(
        "promise_line", low=low, high=high, mean=mean_name(promise.mid_bands_hz), remedy=remedy
    )
    names = list(dict.fromkeys(mean_name(bands_hz) for bands_hz, _ in _past_target(offered)))
    if not names:
        return line
    where = joined(names)
    if len(names) > MOST_NAMED:
        where = say("promise_beyond_many", count=len(names))
    return f"{line} {say('promise_beyond', where=where)}"


def beyond_target(offered: Offered) -> tuple[str, ...]:
    """The values whose promise is kept beyond the target, each with both ends."""
    return tuple(line for _, line in _past_target(offered))


def _past_target(offered: Offered) -> Iterator[tuple[tuple[float, ...], str]]:
    """Octaves whose promise reaches past the target, and how far. [Hz]"""
    promise, target = offered.plan.promise, offered.verdict.target
    past: list[_Ends] = []
    for band in promise.bands:
        limit = target.limit(band.band_hz)
        if limit is not None:
            past.append(((band.band_hz,), band.low_s, band.high_s, limit.low_s, limit.high_s))
    if promise.mid_low_s is not None and promise.mid_high_s is not None:
        ends = (promise.mid_low_s, promise.mid_high_s)
        past.append((promise.mid_bands_hz, *ends, target.mid_low_s, target.mid_high_s))
    for bands_hz, low_s, high_s, least_s, most_s in past:
        name = mean_name(bands_hz)
        if most_s is not None and high_s > most_s + SLACK_S:
            end, edge = with_limit(high_s, most_s, upper=True)
            yield bands_hz, say("beyond_high", name=name, end=end, limit=edge)
        if least_s is not None and low_s < least_s - SLACK_S:
            end, edge = with_limit(low_s, least_s, upper=False)
            yield bands_hz, say("beyond_low", name=name, end=end, limit=edge)


SLACK_S = 1e-9
"""What two numbers in hundredths of a second may differ by in binary. [s]"""


def not_known(offered: Offered) -> tuple[str, ...]:
    """What is missing, in words, so that nobody takes it for settled."""
    plan = offered.plan
    missing = []
    if any(check.subject is CheckSubject.FIRE_PAPERS for check in plan.checks):
        missing.append(say("missing_fire"))
    for note in _unforeseen(plan):
        bands = joined([mean_name((hz,)) for hz in note["bands_hz"]])
        missing.append(say("missing_octaves", bands=bands))
    if quality_of(offered.job, offered.before).weak:
        missing.append(say("missing_weak"))
    if not offered.before.noise:
        missing.append(say("missing_noise"))
    return tuple(missing)


def _unforeseen(plan: Plan) -> list[Fact[PlanNote]]:
    """What the target judges and nobody can foresee."""
    return [note for note in plan.notes if note.kind is PlanNote.NOT_FORESEEN]


def _boxes(offered: Offered) -> tuple[Block, ...]:
    """The options to tick; none where there is nothing to choose."""
    choices = offered.choices
    if len(choices) < 2:
        return ()
    reader = offered.reader
    items = []
    for plan, quote in choices:
        expected = reach(plan.prediction.mid_low_s, plan.prediction.mid_high_s)
        key = "box_proposed" if plan is offered.plan else "box_other"
        items.append(
            say(
                key,
                title=plan_title(plan, reader),
                pieces=counted(len(plan.pieces), "piece"),
                expected=expected,
                price=money(quote.total, offered.job),
            )
        )
    return (Text(lead=say("tick_one"), body=""), Boxes(items=tuple(items)))
