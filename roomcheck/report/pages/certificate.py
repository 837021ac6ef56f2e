"""Before and after on one page for everybody, and an appendix for those who want to check."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck import __version__
from roomcheck.job import Job
from roomcheck.judge import Verdict
from roomcheck.quote import Agreement, ChangeOrder
from roomcheck.report.figures.bars import Bar, Strip, bars_picture
from roomcheck.report.figures.figures import TELEPHONE_IN, change_svg
from roomcheck.report.pages.answers import four_answers, target_reached
from roomcheck.report.pages.changes import change_label, change_notes, clarity_table, other_changes
from roomcheck.report.pages.noted import found_record
from roomcheck.report.pages.parts import (
    blocks,
    plan_picture,
    rights,
    room_facts,
    titled,
    visit_facts,
)
from roomcheck.report.render.blocks import (
    Block,
    Bullets,
    Document,
    Facts,
    Heading,
    NewPage,
    Picture,
    Said,
    Signature,
    Table,
    Text,
    Tone,
    VerdictBox,
)
from roomcheck.report.render.names import CERTIFICATE
from roomcheck.units import band_name
from roomcheck.verify import BandChange, Kept, MeanChange, Verification
from roomcheck.words import (
    NONE,
    Reader,
    heading,
    limit_words,
    limits,
    plus_minus,
    proof_sentence,
    say,
    seconds,
    sentences,
    yes_no,
)
from roomcheck.workshop import HangingLine

TONES: dict[Kept, Tone] = {Kept.KEPT: "good", Kept.NOT_KEPT: "bad"}


def certificate(
    job: Job,
    agreement: Agreement,
    verification: Verification,
    by_hand: tuple[str, ...] = (),
    *,
    before: Verdict | None = None,
    after: Verdict | None = None,
    hanging: Sequence[HangingLine] = (),
    changes: Sequence[ChangeOrder] = (),
) -> Document:
    """The job's last page.

    Parameters
    ----------
    by_hand : tuple of str
        Signed files that no longer say what was signed.
    before, after : Verdict or None
        Of both visits: for whether the target is reached, and what is new to be heard.
    hanging : sequence of HangingLine
        As the pieces hang, for what was found behind the walls.
    changes : sequence of ChangeOrder
        Signed after the agreement; the promise is that of the last change of pieces.
    """
    reader = Reader(who="client", units=job.units)
    dates = {v.name: v.date for v in job.visits}
    return Document(
        name=CERTIFICATE,
        title=say("certificate_title"),
        subtitle=say(
            "certificate_sub",
            title=job.title,
            client=job.client,
            before=dates.get("before", NONE),
            after=dates.get("after", NONE),
        ),
        blocks=blocks(
            (Text(body=say("signed_changed")),) if by_hand else (),
            verdict_box(verification, after),
            four_answers(job, agreement, verification, before, after),
            _complaint(job),
            _notice(verification.mid),
            _mid_picture(verification, after),
            promised_table(verification),
            Text(body=_measured(agreement, verification), small=True),
            _changed(changes),
            _differences(verification, reader),
            Signature(who=(say("sign_shop"), say("sign_client")), date=say("date")),
            NewPage(),
            _appendix(job, agreement, verification, reader, hanging),
        ),
    )


def proof_blocks(
    job: Job,
    agreement: Agreement,
    verification: Verification,
    *,
    before: Verdict | None = None,
    after: Verdict | None = None,
    changes: Sequence[ChangeOrder] = (),
) -> tuple[tuple[Block, ...], tuple[Block, ...], tuple[Block, ...]]:
    """The certificate as a page shows it, without its lines to sign: what everybody reads, the
    decays of both visits on one pair of axes, and what those read who want to check."""
    document = certificate(
        job, agreement, verification, before=before, after=after, changes=changes
    )
    at = next(i for i, block in enumerate(document.blocks) if isinstance(block, NewPage))
    first = tuple(block for block in document.blocks[:at] if not isinstance(block, Signature))
    appendix = document.blocks[at + 1 :]
    axes = next(block for block in appendix if isinstance(block, Picture))
    return first, (axes,), tuple(block for block in appendix if block is not axes)


def verdict_box(verification: Verification, after: Verdict | None) -> VerdictBox:
    """Return whether the promise is kept, and beside it whether the target is reached."""
    return VerdictBox(
        word=say(f"box_{verification.kept}"),
        sentence=say(f"box_target_{target_reached(after) if after else 'unknown'}"),
        tone=TONES.get(verification.kept, "open"),
    )


def _complaint(job: Job) -> tuple[Block, ...]:
    words = job.complaint.strip()
    return (Said(body=words, by=say("told_before")),) if words else ()


def proof_box(verification: Verification, reader: Reader) -> VerdictBox:
    """Return whether the promise is kept, in one sentence."""
    return VerdictBox(
        word=say(verification.kept),
        sentence=proof_sentence(verification, reader),
        tone=TONES.get(verification.kept, "open"),
    )


def cause_blocks(verification: Verification, reader: Reader) -> tuple[Block, ...]:
    """Return what is most likely wrong where the promise is not kept."""
    causes = sentences(verification.causes, reader)
    return titled(Heading(text=say("causes")), Bullets(items=causes))


def _notice(mid: MeanChange) -> tuple[Block, ...]:
    if mid.before_s is None or mid.after_s is None:
        return ()
    audible = say({True: "notice_yes", False: "notice_no", None: "notice_unknown"}[mid.audible])
    ends = (mid.low_s, mid.high_s)
    notice = say(
        "notice_says",
        before=seconds(mid.before_s, *ends),
        after=seconds(mid.after_s, *ends),
        audible=audible,
    )
    return (Text(lead=f"{say('notice')}.", body=notice),)


def _mid_picture(verification: Verification, after: Verdict | None) -> tuple[Block, ...]:
    mid = verification.mid
    ends = (mid.low_s, mid.high_s)
    bars = []
    if mid.before_s is not None:
        number = f"{seconds(mid.before_s, *ends)} s"
        bars.append(
            Bar(
                name=heading(say("before")),
                number=number,
                from_s=0.0,
                to_s=mid.before_s,
                hatched=True,
            )
        )
    if mid.after_s is not None:
        number = f"{seconds(mid.after_s, *ends)} s"
        bars.append(
            Bar(
                name=heading(say("after")),
                number=number,
                from_s=0.0,
                to_s=mid.after_s,
                u_s=mid.after_u_s,
            )
        )
    if not bars:
        return ()
    strip = None
    if mid.low_s is not None or mid.high_s is not None:
        name = say("strip_promised", limits=limit_words(*ends))
        strip = Strip(name=name, low_s=mid.low_s, high_s=mid.high_s)
    alt = say(
        "alt_mid",
        before=seconds(mid.before_s, *ends),
        after=seconds(mid.after_s, *ends),
        promised=limits(*ends),
    )
    return (bars_picture(bars, strip, mid.bands_hz, alt),)


def promised_table(verification: Verification) -> tuple[Block, ...]:
    """Return every promised value beside its limits, with as many digits as its verdict takes; what
    was taken off stands in the same row."""
    changes = [change for change in verification.changes if change.kept != Kept.NOT_PROMISED]
    corrected = any(change.people_s is not None for change in changes)
    heads = ["head_band", "head_promise", "head_after", "head_95", "head_kept"]
    rows = []
    for change in changes:
        row = [
            change_label(change),
            limits(change.low_s, change.high_s, change.after_s),
            seconds(change.after_s, change.low_s, change.high_s),
            plus_minus(change.after_u_s),
            say(f"word_{change.kept}"),
        ]
        if corrected:
            row.insert(2, _as_met(change))
        rows.append(tuple(row))
    if corrected:
        heads.insert(2, "head_as_met")
    table = Table(
        heads=tuple(say(head) for head in heads),
        rows=tuple(rows),
        align=(*rights(len(heads) - 2), "left"),
        wide=len(heads) - 1,
        note=say("note_corrected") if corrected else "",
    )
    return (Heading(text=say("the_numbers")), table) if rows else ()


def _as_met(change: BandChange | MeanChange) -> str:
    """The decay as it was measured, with the people who were there."""
    if change.after_s is None:
        return NONE
    return f"{change.after_s + (change.people_s or 0.0):.2f}"


def _measured(agreement: Agreement, verification: Verification) -> str:
    return say(
        "how_measured",
        pairs=verification.pairs,
        signed_on=agreement.signed_on,
        signed_by=agreement.signed_by,
    )


def _changed(changes: Sequence[ChangeOrder]) -> tuple[Block, ...]:
    """The change order whose promise counts."""
    orders = [order for order in changes if order.plan is not None]
    return tuple(
        Text(body=say("promise_changed", number=order.number, day=order.signed_on), small=True)
        for order in orders[-1:]
    )


def _differences(verification: Verification, reader: Reader) -> tuple[Block, ...]:
    if not verification.differences:
        return (Text(body=say("same")),)
    differences = " ".join(sentences(verification.differences, reader))
    return (Text(lead=f"{say('differed')}.", body=differences),)


def _appendix(
    job: Job,
    agreement: Agreement,
    verification: Verification,
    reader: Reader,
    hanging: Sequence[HangingLine],
) -> tuple[Block, ...]:
    changes = verification.changes
    heads = (
        "head_band",
        "head_before",
        "head_after",
        "head_95",
        "head_promise",
        "head_kept",
        "head_change",
        "head_audible",
    )
    notes = change_notes(changes, reader)
    return blocks(
        Heading(text=say("appendix")),
        Picture(
            svg=change_svg(verification),
            narrow=change_svg(verification, TELEPHONE_IN),
            alt=say(
                "alt_change",
                values="; ".join(_both_decays(change) for change in verification.bands),
            ),
            caption=say("cap_change"),
        ),
        Table(
            heads=tuple(map(say, heads)),
            rows=tuple(map(change_row, changes)),
            align=("left", "right", "right", "right", "right", "left", "right", "left"),
            wide=0,
            strong=(len(changes) - 1,),
            note=say("note_certificate"),
        ),
        *([Bullets(items=notes)] if notes else []),
        clarity_table(verification),
        other_changes(verification, agreement.plan),
        Heading(text=say("decision_title"), level=2),
        Text(body=say("decision_rule")),
        Heading(text=say("conditions"), level=2),
        Facts(pairs=room_facts(job)),
        _both(job),
        Heading(text=say("where"), level=2),
        plan_picture(job, agreement.plan.pieces),
        found_record(job, hanging),
        Heading(text=say("method_title"), level=2),
        Text(body=say("method", version=__version__)),
        Text(
            body=say("certificate_signed", method=agreement.method, version=__version__), small=True
        ),
    )


def _both(job: Job) -> tuple[Block, ...]:
    first, second = job.visit("before"), job.visit("after")
    if first is None or second is None:
        return ()
    facts = zip(visit_facts(job, first), visit_facts(job, second), strict=True)
    return (
        Table(
            heads=(say("head_what"), say("visit_before"), say("visit_after")),
            rows=tuple((name, a, b) for (name, a), (_, b) in facts),
            align=("left", "left", "left"),
            wide=-1,
        ),
    )


def _both_decays(change: BandChange) -> str:
    ends = (change.low_s, change.high_s)
    return (
        f"{band_name(change.band_hz)} {seconds(change.before_s, *ends)} s, then "
        f"{seconds(change.after_s, *ends)} s"
    )


def change_row(change: BandChange | MeanChange) -> tuple[str, ...]:
    """Return what changed, before, after, 95 %, promise, whether kept, by how much, audible."""
    ends = (change.low_s, change.high_s)
    moved = NONE
    if change.change_s is not None:
        moved = f"{change.change_s:+.2f} {plus_minus(change.change_u_s)}"
    return (
        change_label(change),
        seconds(change.before_s, *ends),
        seconds(change.after_s, *ends),
        plus_minus(change.after_u_s),
        limits(*ends, change.after_s),
        say(f"word_{change.kept}"),
        moved.replace("-", "−"),
        yes_no(change.audible),
    )
