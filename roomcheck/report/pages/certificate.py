"""Before and after on one page for everybody, and an appendix for those who want to check."""

from __future__ import annotations

from roomcheck import __version__
from roomcheck.job import Job
from roomcheck.quote import Agreement
from roomcheck.report.figures.figures import change_svg, mid_change_svg
from roomcheck.report.pages.changes import other_changes
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
from roomcheck.verify import BandChange, ClarityChange, Verification
from roomcheck.words import NONE, band, decibels, limits, plus_minus, say, seconds

TONES: dict[str, Tone] = {"kept": "good", "not kept": "bad"}


def certificate(job: Job, agreement: Agreement, verification: Verification) -> Document:
    """The job's last page."""
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
            VerdictBox(
                word=say(verification.kept),
                sentence=verification.sentence,
                tone=TONES.get(verification.kept, "open"),
            ),
            titled(Heading(text=say("causes")), Bullets(items=verification.causes)),
            Text(lead=f"{say('told_before')}:", body=f"“{job.complaint}”") if job.complaint else (),
            _notice(verification.mid),
            _mid_picture(verification),
            _promised(verification),
            Text(body=_measured(agreement, verification)),
            _differences(verification),
            Signature(who=(say("sign_shop"), say("sign_client")), date=say("date")),
            NewPage(),
            _appendix(job, agreement, verification),
        ),
    )


def _notice(mid: BandChange) -> tuple[Block, ...]:
    if mid.before_s is None or mid.after_s is None:
        return ()
    audible = say({True: "notice_yes", False: "notice_no", None: "notice_unknown"}[mid.audible])
    ends = (mid.low_s, mid.high_s)
    told = say(
        "notice_says",
        before=seconds(mid.before_s, *ends),
        after=seconds(mid.after_s, *ends),
        audible=audible,
    )
    return (Text(lead=f"{say('notice')}.", body=told),)


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


def _promised(verification: Verification) -> tuple[Block, ...]:
    rows = tuple(
        (
            band(c.band_hz),
            limits(c.low_s, c.high_s, c.after_s),
            seconds(c.after_s, c.low_s, c.high_s),
            plus_minus(c.after_u_s),
            say(f"word_{c.kept}"),
        )
        for c in (*verification.bands, verification.mid)
        if c.kept != "not promised"
    )
    heads = ("head_band", "head_promise", "head_after", "head_95", "head_kept")
    table = Table(
        heads=tuple(say(h) for h in heads),
        rows=rows,
        align=("left", "right", "right", "right", "left"),
        wide=4,
    )
    return (Heading(text=say("the_numbers")), table) if rows else ()


def _measured(agreement: Agreement, verification: Verification) -> str:
    return say(
        "how_measured",
        pairs=verification.pairs,
        signed_on=agreement.signed_on,
        signed_by=agreement.signed_by,
    )


def _differences(verification: Verification) -> tuple[Block, ...]:
    if not verification.differences:
        return (Text(body=say("same")),)
    return (Text(lead=f"{say('differed')}.", body=" ".join(verification.differences)),)


def _appendix(job: Job, agreement: Agreement, verification: Verification) -> tuple[Block, ...]:
    changes = (*verification.bands, verification.mid)
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
    reasons = tuple(f"{band(c.band_hz)}: {c.reason}" for c in changes if c.reason)
    return blocks(
        Heading(text=say("appendix")),
        Picture(
            svg=change_svg(verification),
            alt=say("alt_change", values="; ".join(_told(c) for c in verification.bands)),
            caption=say("cap_change"),
        ),
        Table(
            heads=tuple(say(h) for h in heads),
            rows=tuple(_row(c) for c in changes),
            align=("left", "right", "right", "right", "right", "left", "right", "left"),
            wide=0,
            strong=(len(changes) - 1,),
            note=say("note_certificate"),
        ),
        *([Bullets(items=reasons)] if reasons else []),
        _clarity(verification),
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


def _clarity(verification: Verification) -> tuple[Block, ...]:
    if not verification.clarity:
        return ()
    heads = ("head_band", "head_c50_before", "head_c50_after", "head_c50_change", "head_audible")
    return (
        Heading(text=say("clarity_title"), level=2),
        Table(
            heads=tuple(say(h) for h in heads),
            rows=tuple(_clarity_row(change) for change in verification.clarity),
            align=("left", "right", "right", "right", "left"),
            wide=4,
            note=say("note_clarity"),
        ),
    )


def _clarity_row(change: ClarityChange) -> tuple[str, ...]:
    moved = decibels(change.change_db)
    if change.change_u_db is not None:
        moved = f"{moved} ±{2 * change.change_u_db:.1f}"
    audible = NONE if change.audible is None else say("yes" if change.audible else "no")
    return (
        band(change.band_hz),
        decibels(change.before_db),
        decibels(change.after_db),
        moved,
        audible,
    )


def _told(change: BandChange) -> str:
    ends = (change.low_s, change.high_s)
    return (
        f"{band(change.band_hz)} {seconds(change.before_s, *ends)} s, then "
        f"{seconds(change.after_s, *ends)} s"
    )


def _row(change: BandChange) -> tuple[str, ...]:
    ends = (change.low_s, change.high_s)
    moved = (
        NONE
        if change.change_s is None
        else f"{change.change_s:+.2f} {plus_minus(change.change_u_s)}"
    )
    audible = NONE if change.audible is None else say("yes" if change.audible else "no")
    return (
        band(change.band_hz),
        seconds(change.before_s, *ends),
        seconds(change.after_s, *ends),
        plus_minus(change.after_u_s),
        limits(*ends, change.after_s),
        say(f"word_{change.kept}"),
        moved.replace("-", "−"),
        audible,
    )
