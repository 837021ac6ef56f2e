"""The proposal: the client's words, one picture, the options, drawings, what is promised and what
it costs.

Nothing of the shop's costs or margin is read here.
"""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge import FREE, Verdict
from roomcheck.quote import Quote
from roomcheck.recommend import Plan, Promise
from roomcheck.report.figures.figures import options_svg
from roomcheck.report.pages.measurement import lower
from roomcheck.report.offer.options import options, to_look_at, tolerance
from roomcheck.report.pages.parts import blocks, elevations, plan_picture, titled
from roomcheck.report.offer.price import price_blocks
from roomcheck.report.render.blocks import (
    Block,
    Bullets,
    Document,
    Heading,
    Picture,
    Said,
    Signature,
    Table,
    Text,
)
from roomcheck.units import MID_BANDS_HZ, band_name
from roomcheck.words import (
    Reader,
    across,
    finding_notice,
    finding_title,
    limits,
    plan_notes,
    plan_title,
    reach,
    say,
    seconds,
    sentence,
    sentences,
    verdict_sentence,
)


def proposal(
    job: Job,
    before: Analysis,
    verdict: Verdict,
    plans: Sequence[Plan],
    quotes: Sequence[Quote],
    plan: Plan,
    quote: Quote,
) -> Document:
    """What the client is offered; `plan` with `quote` is the one that is drawn and priced in
    full."""
    reader = Reader(who="client", units=job.units)
    return Document(
        name="proposal",
        title=say("proposal_title"),
        subtitle=say("proposal_sub", title=job.title, client=job.client),
        blocks=blocks(
            _complaint(job),
            Heading(text=say("we_found")),
            Text(body=verdict_sentence(verdict, reader)),
            _picture(before, verdict, plans, reader),
            _heard(verdict, reader),
            _good(verdict, reader),
            options(job, plans, quotes),
            Heading(text=say("proposed", title=plan_title(plan, reader))),
            _pieces(job, plan, reader),
            _short(plan, reader),
            Heading(text=say("drawings")),
            plan_picture(job, plan.pieces, positions=False),
            Text(body=say("drawings_say", units=say(f"units_{job.units}"))),
            elevations(job, plan.pieces, marks=plan.reflections),
            to_look_at(plan, reader),
            Heading(text=say("not_included")),
            Bullets(items=(*sentences(quote.exclusions, reader), say("no_certificate"))),
            titled(
                Heading(text=say("assumed")), Bullets(items=sentences(quote.assumptions, reader))
            ),
            _acceptance(plan.promise, reader),
            price_blocks(job, quote),
            Heading(text=say("care")),
            Text(body=say("care_says")),
            Signature(
                who=(say("sign_client"), say("sign_shop")),
                date=say("date"),
                title=say("accept"),
                body=say("accept_says"),
            ),
        ),
    )


def _complaint(job: Job) -> tuple[Block, ...]:
    """The client's own words, where there are any."""
    if not job.complaint.strip():
        return ()
    return (Heading(text=say("you_told")), Said(body=job.complaint))


def _distinct(texts: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))


def _picture(before: Analysis, verdict: Verdict, plans: Sequence[Plan], reader: Reader) -> Picture:
    ends = (verdict.mid.low_s, verdict.mid.high_s)
    options = []
    for plan in plans:
        decay = reach(plan.prediction.mid_low_s, plan.prediction.mid_high_s)
        options.append(f"{plan_title(plan, reader)} {decay} s")
    return Picture(
        svg=options_svg(before.mid_s, before.mid_u_s, verdict, plans),
        alt=say(
            "alt_options",
            today=seconds(before.mid_s, *ends),
            options="; ".join(options),
            target=limits(*ends),
        ),
        caption=say("cap_options", use=lower(verdict.target.title)),
    )


def _heard(verdict: Verdict, reader: Reader) -> tuple[Block, ...]:
    return tuple(
        Text(lead=f"{finding_title(finding, reader)}.", body=finding_notice(finding, reader))
        for finding in verdict.findings
    )


def _good(verdict: Verdict, reader: Reader) -> tuple[Block, ...]:
    target, mid = verdict.target, verdict.mid
    held = [
        limit.band_hz
        for limit in target.limits
        if limit.high_s is not None or limit.low_s is not None
    ]
    low, high = (min(held), max(held)) if held else MID_BANDS_HZ
    aim = say(
        "good_says",
        use=lower(target.title),
        limits=limits(mid.low_s, mid.high_s),
        low=band_name(low),
        high=band_name(high),
        source=say("source_of", source=target.source.rstrip(".")),
    )
    firsts = [finding.remedies[0] for finding in verdict.findings]
    free = _distinct([sentence(remedy, reader) for remedy in firsts if remedy.kind in FREE])
    moves = titled(Heading(text=say("free_first"), level=2), Bullets(items=free))
    if verdict.limits_carried:
        aim = f"{aim} {sentence(verdict.limits_carried, reader)}"
    return (Heading(text=say("good_is")), Text(body=aim), *moves)


def _pieces(job: Job, plan: Plan, reader: Reader) -> tuple[Block, ...]:
    alike: dict[tuple[str, str, str, str], list[str]] = {}
    for p in plan.pieces:
        why = sentence(p.reasons[0], reader) if p.reasons else ""
        alike.setdefault((p.piece, p.face, across(p.place, job), why), []).append(p.name)
    rows = tuple((", ".join(names), *row) for row, names in alike.items())
    heads = (say("head_piece"), say("head_item"), say("wall"), say("head_size"), say("why_here"))
    notes = tuple(Text(body=note, small=True) for note in plan_notes(plan, reader))
    table = Table(heads=heads, rows=rows, align=("left",) * 5, wide=4)
    return (*((table,) if rows else (Text(body=say("no_pieces")),)), *notes)


def _short(plan: Plan, reader: Reader) -> tuple[Block, ...]:
    missed = Bullets(items=sentences(plan.shortfalls, reader))
    return titled(Heading(text=say("short"), level=2), missed)


def _acceptance(promise: Promise, reader: Reader) -> tuple[Block, ...]:
    head = Heading(text=say("acceptance"))
    rows = [(band_name(b.band_hz), limits(b.low_s, b.high_s)) for b in promise.bands]
    if promise.mid_low_s is not None or promise.mid_high_s is not None:
        rows.append((say("mid_bands"), limits(promise.mid_low_s, promise.mid_high_s)))
    if not rows:
        return (head, Text(body=say("no_promise")))
    return (
        head,
        Text(lead=say("acc_value"), body=say("acc_value_says", pairs=promise.positions)),
        Table(
            heads=(say("head_band"), say("head_promise")), rows=tuple(rows), align=("left", "right")
        ),
        *tolerance(promise, reader),
        Text(lead=say("acc_method"), body=say("acc_method_says")),
        Text(lead=say("acc_conditions"), body=say("acc_conditions_say")),
        Bullets(items=sentences(promise.conditions, reader)),
        Text(lead=say("acc_decision"), body=say("acc_decision_says")),
        Text(lead=say("acc_remedy"), body=say("acc_remedy_says")),
    )
