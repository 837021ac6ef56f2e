"""Before and after on one page for everybody, and an appendix for those who want to check."""

from __future__ import annotations

from roomcheck import __version__
from roomcheck.job import Job
from roomcheck.quote import Agreement
from roomcheck.report.figures.figures import change_svg, mid_change_svg
from roomcheck.report.pages.changes import clarity_table, other_changes
from roomcheck.report.pages.measurement import mean_name
from roomcheck.report.pages.parts import blocks, plan_picture, room_facts, titled, visit_facts
from roomcheck.report.render.blocks import (
    Block,
    Bullets,
    Document,
    Facts,
    Heading,
    NewPage,
    Picture,
    Signature,
    Table,
    Text,
    Tone,
    VerdictBox,
)
from roomcheck.units import band_name
from roomcheck.verify import BandChange, Kept, MeanChange, Verification
from roomcheck.words import (
    NONE,
    Reader,
    limits,
    plus_minus,
    proof_sentence,
    say,
    seconds,
    sentences,
    yes_no,
)

TONES: dict[Kept, Tone] = {Kept.KEPT: "good", Kept.NOT_KEPT: "bad"}


def certificate(
    job: Job, agreement: Agreement, verification: Verification, by_hand: tuple[str, ...] = ()
) -> Document:
    """The job's last page.

    Parameters
    ----------
    by_hand : tuple of str
        Signed files that no longer say what was signed.
    """
    reader = Reader(who="client", units=job.units)
    dates = {v.name: v.date for v in job.visits}
    return Document(
        name="before-and-after",
        title=say("certificate_title"),
        subtitle=say(
            "certificate_sub",
            title=job.title,
            client=job.client,
            before=dates.get("before", NONE),
            after=dates.get("after", NONE),
        ),
        blocks=blocks(
            tuple(Text(body=say("signed_by_hand", file=file)) for file in by_hand),
            proof_box(verification, reader),
            cause_blocks(verification, reader),
            _complaint(job),
            _notice(verification.mid),
            _mid_picture(verification),
            promised_table(verification),
            Text(body=_measured(agreement, verification)),
            _differences(verification, reader),
            Signature(who=(say("sign_shop"), say("sign_client")), date=say("date")),
            NewPage(),
            _appendix(job, agreement, verification, reader),
        ),
    )


def _complaint(job: Job) -> tuple[Block, ...]:
    if not job.complaint:
        return ()
    return (Text(lead=f"{say('told_before')}:", body=f"“{job.complaint}”"),)


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


def _mid_picture(verification: Verification) -> Picture:
    mid = verification.mid
    ends = (mid.low_s, mid.high_s)
    return Picture(
        svg=mid_change_svg(verification),
        alt=say(
            "alt_mid",
            before=seconds(mid.before_s, *ends),
            after=seconds(mid.after_s, *ends),
            promised=limits(*ends),
        ),
        caption=say("cap_mid"),
    )


def promised_table(verification: Verification) -> tuple[Block, ...]:
    """Return every promised value beside its limits, with as many digits as its verdict takes."""
    rows = tuple(
        (
            change_label(change),
            limits(change.low_s, change.high_s, change.after_s),
            seconds(change.after_s, change.low_s, change.high_s),
            plus_minus(change.after_u_s),
            say(f"word_{change.kept}"),
        )
        for change in verification.changes
        if change.kept != Kept.NOT_PROMISED
    )
    heads = ("head_band", "head_promise", "head_after", "head_95", "head_kept")
    table = Table(
        heads=tuple(say(head) for head in heads),
        rows=rows,
        align=("left", "right", "right", "right", "left"),
        wide=4,
    )
    return (Heading(text=say("the_numbers")), table) if rows else ()


def change_label(change: BandChange | MeanChange) -> str:
    """Return an octave's name, or the mean's, as the head of a row."""
    return (
        mean_name(change.bands_hz) if isinstance(change, MeanChange) else band_name(change.band_hz)
    )


def _measured(agreement: Agreement, verification: Verification) -> str:
    return say(
        "how_measured",
        pairs=verification.pairs,
        signed_on=agreement.signed_on,
        signed_by=agreement.signed_by,
    )


def _differences(verification: Verification, reader: Reader) -> tuple[Block, ...]:
    if not verification.differences:
        return (Text(body=say("same")),)
    differences = " ".join(sentences(verification.differences, reader))
    return (Text(lead=f"{say('differed')}.", body=differences),)


def _appendix(
    job: Job, agreement: Agreement, verification: Verification, reader: Reader
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
    notes = tuple(
        f"{change_label(change)}: {' '.join(sentences(change.notes, reader))}"
        for change in changes
        if change.notes
    )
    return blocks(
        Heading(text=say("appendix")),
        Picture(
            svg=change_svg(verification),
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
        other_changes(verification),
        Heading(text=say("decision_title"), level=2),
        Text(body=say("decision_rule")),
        Heading(text=say("conditions"), level=2),
        Facts(pairs=room_facts(job)),
        _both(job),
        Heading(text=say("where"), level=2),
        plan_picture(job, agreement.plan.pieces),
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
