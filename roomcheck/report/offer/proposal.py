"""The proposal: page one to decide on, then what it rests on, and how the promise is shown to be
kept.

Nothing of the shop's costs or margin is read here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from roomcheck.job import ShopLook
from roomcheck.judge import FREE, BandVerdict, Verdict
from roomcheck.predict import BandPrediction
from roomcheck.recommend import Plan, Promise
from roomcheck.report.offer.front import beyond_target, front
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.options import options, to_look_at, tolerance
from roomcheck.report.offer.price import extra_boxes, price_blocks
from roomcheck.report.offer.unmended import who_mends
from roomcheck.report.offer.your_walls import photographs_under, your_walls
from roomcheck.report.pages.measurement import lower
from roomcheck.report.pages.parts import blocks, elevations, plan_picture, rights, titled
from roomcheck.report.render.blocks import Block, Bullets, Document, Heading, NewPage, Table, Text
from roomcheck.report.render.names import PROPOSAL
from roomcheck.standards import Target
from roomcheck.units import band_name
from roomcheck.words import (
    NONE,
    Reader,
    across,
    finding_notice,
    finding_title,
    free_move,
    heading,
    joined,
    limits,
    mean_name,
    plan_notes,
    plan_title,
    reach,
    say,
    seconds,
    sentence,
    sentences,
    shortened,
)


def proposal(offered: Offered) -> Document:
    """What the client is offered."""
    job, plan, reader = offered.job, offered.plan, offered.reader
    return Document(
        name=PROPOSAL,
        title=say("proposal_title"),
        subtitle=say("proposal_sub", title=job.title, client=job.client),
        blocks=blocks(
            front(offered),
            NewPage(),
            _found(offered.verdict, reader),
            _aim(offered),
            free_moves(offered.verdict, reader),
            options(offered),
            Heading(text=say("proposed", title=plan_title(plan, reader))),
            _pieces(offered),
            _short(plan, reader),
            who_mends(job, plan, reader),
            to_look_at(plan, reader),
            _acceptance(offered),
            price_blocks(job, offered.quote),
            extra_boxes(job, offered.quote),
            _terms(offered),
            Heading(text=say("drawings")),
            Text(body=say("drawings_say", units=say(f"units_{job.units}"))),
            plan_picture(job, plan.pieces, positions=False),
            elevations(
                job,
                plan.pieces,
                marks=plan.reflections,
                under=photographs_under(job, plan.pieces),
            ),
            your_walls(job, plan.pieces),
        ),
    )


def _found(verdict: Verdict, reader: Reader) -> tuple[Block, ...]:
    """Every fault, as it is heard."""
    return titled(
        Heading(text=say("we_found")),
        tuple(
            Text(lead=f"{finding_title(finding, reader)}.", body=finding_notice(finding, reader))
            for finding in verdict.findings
        ),
    )


def _aim(offered: Offered) -> tuple[Block, ...]:
    """What every octave should have, has, will have and is promised: the rows that are judged."""
    verdict, plan, reader = offered.verdict, offered.plan, offered.reader
    target = verdict.target
    after = {band.band_hz: band for band in plan.prediction.after}
    promised = {band.band_hz: limits(band.low_s, band.high_s) for band in plan.promise.bands}
    rows = [
        _octave(band, after.get(band.band_hz), promised.get(band.band_hz, NONE))
        for band in verdict.bands
        if band.has_limit or band.band_hz in promised
    ]
    rows += _means(offered)
    heads = ("head_band", "aim_today", "aim_limits", "aim_expected", "head_promise")
    aim = say("good_says", use=lower(target.title), source=say("source_of", source=_source(target)))
    if verdict.limits_carried:
        aim = f"{aim} {sentence(verdict.limits_carried, reader)}"
    table = Table(
        heads=tuple(map(say, heads)),
        rows=tuple(rows),
        align=rights(len(heads) - 1),
        wide=0,
        strong=(len(rows) - 1,),
        note=say("note_aim"),
    )
    return (Heading(text=say("good_is")), Text(body=aim), table)


def _source(target: Target) -> str:
    """Whose limits these are, without how the numbers were come by."""
    return target.source.rstrip(".").removesuffix(", from memory").partition(", as quoted ")[0]


def _octave(band: BandVerdict, after: BandPrediction | None, promised: str) -> tuple[str, ...]:
    expected = NONE
    if after is not None and after.likely_s is not None:
        expected = f"{after.likely_s:.2f} ({reach(after.low_s, after.high_s)})"
    return (
        band_name(band.band_hz),
        seconds(band.value_s, band.low_s, band.high_s),
        limits(band.low_s, band.high_s, band.value_s),
        expected,
        promised,
    )


def _means(offered: Offered) -> Iterator[tuple[str, ...]]:
    """The mean that is judged with what is expected of it and promised; two rows where an older
    agreement promised the mean over other octaves."""
    mid, plan = offered.verdict.mid, offered.plan
    prediction, promise = plan.prediction, plan.promise
    expected = NONE
    if prediction.mid_likely_s is not None:
        ends = reach(prediction.mid_low_s, prediction.mid_high_s)
        expected = f"{prediction.mid_likely_s:.2f} ({ends})"
    today = seconds(mid.value_s, mid.low_s, mid.high_s)
    wanted = limits(mid.low_s, mid.high_s, mid.value_s)
    promised = limits(promise.mid_low_s, promise.mid_high_s)
    judged = mean_name(mid.bands_hz)
    if (expected == NONE and promised == NONE) or prediction.mid_bands_hz == mid.bands_hz:
        yield judged, today, wanted, expected, promised
        return
    yield mean_name(prediction.mid_bands_hz), NONE, NONE, expected, promised
    yield judged, today, wanted, NONE, NONE


def free_moves(verdict: Verdict, reader: Reader) -> tuple[Block, ...]:
    """What helps and costs nothing."""
    firsts = [finding.remedies[0] for finding in verdict.findings if finding.remedies]
    free = [heading(free_move(remedy, reader)) for remedy in firsts if remedy.kind in FREE]
    moves = Bullets(items=tuple(dict.fromkeys(free)))
    return titled(Heading(text=say("free_first"), level=2), moves)


def _pieces(offered: Offered) -> tuple[Block, ...]:
    job, plan, reader = offered.job, offered.plan, offered.reader
    alike: dict[tuple[str, str, str, str], list[str]] = {}
    for p in plan.pieces:
        why = sentence(p.reasons[0], reader) if p.reasons else ""
        alike.setdefault((p.piece, p.face, across(p.place, job), why), []).append(p.name)
    rows = tuple((shortened(names), *row) for row, names in alike.items())
    heads = (say("head_piece"), say("head_item"), say("wall"), say("head_size"), say("why_here"))
    notes = tuple(Text(body=note, small=True) for note in plan_notes(plan, reader))
    table = Table(heads=heads, rows=rows, align=("left",) * 5, wide=4)
    return (*((table,) if rows else (Text(body=say("no_pieces")),)), *_looks(offered), *notes)


def _looks(offered: Offered) -> tuple[Block, ...]:
    """Which piece has which cloth, stain or paint; nothing where nobody chose."""
    alike: dict[ShopLook, list[str]] = {}
    for piece in dict.fromkeys(placed.piece for placed in offered.plan.pieces):
        look = offered.job.look_of(piece)
        if look is not None:
            alike.setdefault(look, []).append(piece)
    items = [
        say("look_chosen", pieces=joined(pieces), kind=look.kind, name=look.name)
        for look, pieces in alike.items()
    ]
    if not items:
        return ()
    return Text(lead=say("looks"), body=say("looks_say")), Bullets(items=tuple(items))


def _short(plan: Plan, reader: Reader) -> tuple[Block, ...]:
    missed = Bullets(items=sentences(plan.shortfalls, reader))
    return titled(Heading(text=say("short"), level=2), missed)


def _acceptance(offered: Offered) -> tuple[Block, ...]:
    promise, reader = offered.plan.promise, offered.reader
    head = Heading(text=say("acceptance"))
    if not promise.bands and promise.mid_high_s is None:
        return (head, Text(body=say("no_promise")))
    beyond = beyond_target(offered)
    past = (Text(lead=say("acc_beyond"), body=say("acc_beyond_says", where=_listed(beyond))),)
    return (
        head,
        Text(lead=say("acc_value"), body=say("acc_value_says", pairs=promise.positions)),
        *(past if beyond else ()),
        *tolerance(promise, reader),
        Text(lead=say("acc_method"), body=say("acc_method_says")),
        Text(lead=say("acc_conditions"), body=say("acc_conditions_say")),
        Bullets(items=sentences(promise.conditions, reader)),
        Text(lead=say("acc_decision"), body=decision(promise)),
        Text(lead=say("acc_remedy"), body=remedy_of(offered.job.shop.words.remedy)),
    )


def _listed(lines: Sequence[str]) -> str:
    return "; ".join(lines)


def decision(promise: Promise) -> str:
    """The rule by which the promise is decided, with the number of further pairs."""
    return say("acc_decision_says", twice=2 * promise.positions, pairs=promise.positions)


def remedy_of(own: str) -> str:
    """What the shop does where the promise is not kept: its own words, or the usual ones."""
    return own or say("acc_remedy_says")


def _terms(offered: Offered) -> tuple[Block, ...]:
    """What is not included, what is assumed, and care."""
    quote, reader, words = offered.quote, offered.reader, offered.job.shop.words
    left_out = (*sentences(quote.exclusions, reader), *words.exclusions, say("no_certificate"))
    assumed = Bullets(items=sentences(quote.assumptions, reader))
    return blocks(
        Heading(text=say("not_included")),
        Bullets(items=left_out),
        titled(Heading(text=say("assumed")), assumed),
        Heading(text=say("care")),
        Text(body=words.care or say("care_says")),
    )
