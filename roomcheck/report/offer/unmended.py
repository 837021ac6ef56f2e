"""The papers of a room to which nothing is sold: one that is fine, and one that no plan mends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from roomcheck.job import Job
from roomcheck.judge import FREE, Judged, Outcome
from roomcheck.quote import visit_fee
from roomcheck.recommend import Plan, Shortfall
from roomcheck.report.figures.bars import bars_picture
from roomcheck.report.offer.front import complaint, head_facts, target_strip, today_bar
from roomcheck.report.offer.offered import Offered
from roomcheck.report.pages.measurement import lower
from roomcheck.report.pages.parts import blocks, rights, titled
from roomcheck.report.render.blocks import (
    Block,
    Bullets,
    Document,
    Facts,
    Heading,
    Table,
    Text,
    VerdictBox,
)
from roomcheck.report.render.names import NOT_MENDED, NOTHING_TO_HANG
from roomcheck.units import band_name
from roomcheck.words import (
    Reader,
    area,
    finding_title,
    free_move,
    heading,
    joined,
    limits,
    mean_name,
    money,
    plus_minus,
    say,
    seconds,
    verdict_sentence,
)


def nothing_to_hang(offered: Offered) -> Document:
    """The room is fine: what was measured, what costs nothing, and the fee."""
    verdict, reader = offered.verdict, offered.reader
    return Document(
        name=NOTHING_TO_HANG,
        title=say("nothing_title"),
        subtitle=say("proposal_sub", title=offered.job.title, client=offered.job.client),
        blocks=blocks(
            head_facts(offered, who=False),
            complaint(offered),
            VerdictBox(word=say("nothing_word"), sentence=_fine(offered), tone="good"),
            _bar(offered),
            _measured(offered),
            titled(
                Heading(text=say("noticed_title")),
                Bullets(items=tuple(_noticed(offered, reader))),
            ),
            Text(body=say("nothing_sold", use=lower(verdict.target.title))),
            _fee(offered),
        ),
    )


def not_mended(offered: Offered) -> Document:
    """No plan of the shop mends the room: what would, and who does it."""
    plan, reader = offered.plan, offered.reader
    return Document(
        name=NOT_MENDED,
        title=say("unmended_title"),
        subtitle=say("proposal_sub", title=offered.job.title, client=offered.job.client),
        blocks=blocks(
            head_facts(offered, who=False),
            complaint(offered),
            VerdictBox(
                word=say("unmended_word"),
                sentence=f"{verdict_sentence(offered.verdict, reader)} {say('unmended_says')}",
                tone="bad",
            ),
            _bar(offered),
            who_mends(offered.job, plan, reader),
            titled(
                Heading(text=say("free_first")),
                Bullets(items=tuple(_noticed(offered, reader))),
            ),
            _measured(offered),
            _fee(offered),
        ),
    )


def who_mends(job: Job, plan: Plan, reader: Reader) -> tuple[Block, ...]:
    """What would bring the room to its target, and who does it; nothing where the plan does."""
    if plan.reaches_target:
        return ()
    rows = tuple(_cures(job, plan, reader))
    heads = (say("head_cure"), say("head_who"))
    table = Table(heads=heads, rows=rows, align=("left", "left"), wide=0)
    return (Heading(text=say("who_mends")), table) if rows else ()


def _cures(job: Job, plan: Plan, reader: Reader) -> Iterator[tuple[str, str]]:
    long = [missed for missed in plan.shortfalls if missed.kind is Shortfall.TOO_LONG]
    barred = list(dict.fromkeys(face for missed in long for face in missed["barred"]))
    if barred:
        yield say("cure_leave", faces=_surfaces(job, barred)), say("who_owner")
    lacking_m2 = max((missed["lacking_m2"] for missed in long), default=0.0)
    if lacking_m2 > 0:
        yield say("cure_area", area=area(lacking_m2, reader)), say("who_shop")
    if any(missed["curtain"] for missed in long):
        yield say("cure_curtain"), say("who_curtain")
    if any(missed["rug"] for missed in long):
        yield say("cure_rug"), say("who_rug")
    if any(missed.kind is Shortfall.TOO_SHORT for missed in plan.shortfalls):
        yield say("cure_dead"), say("who_owner")
    ranges = (Shortfall.RANGE_TOO_LONG, Shortfall.RANGE_TOO_SHORT)
    if any(missed.kind in ranges for missed in plan.shortfalls):
        yield say("cure_pairs"), say("who_us_measuring")


def _surfaces(job: Job, faces: Sequence[str]) -> str:
    """Faces in a sentence: walls by their names together, then the others."""
    walls = [name for name in faces if job.room.face(name).kind == "wall"]
    others = [f"the {name}" for name in faces if name not in walls]
    named = f"the {joined(walls)} wall{'s' if len(walls) > 1 else ''}"
    return joined([named, *others] if walls else others)


def _fine(offered: Offered) -> str:
    mid = offered.verdict.mid
    if mid.value_s is None:
        return verdict_sentence(offered.verdict, offered.reader)
    return say(
        "fine_says",
        value=seconds(mid.value_s, mid.low_s, mid.high_s),
        limits=limits(mid.low_s, mid.high_s, mid.value_s),
        mean=mean_name(mid.bands_hz),
    )


def _bar(offered: Offered) -> tuple[Block, ...]:
    verdict = offered.verdict
    bars, mid = today_bar(verdict), verdict.mid
    if not bars:
        return ()
    alt = say(
        "alt_today",
        today=seconds(mid.value_s, mid.low_s, mid.high_s),
        target=limits(mid.low_s, mid.high_s),
    )
    return (bars_picture(bars, target_strip(verdict), mid.bands_hz, alt),)


def _measured(offered: Offered) -> Table:
    """Every octave with its limits, as it was measured."""
    rows = []
    verdict = offered.verdict
    named = [(band_name(band.band_hz), band) for band in verdict.bands]
    for name, judged in (*named, (mean_name(verdict.mid.bands_hz), verdict.mid)):
        rows.append(
            (
                name,
                seconds(judged.value_s, judged.low_s, judged.high_s),
                plus_minus(judged.u_s),
                limits(judged.low_s, judged.high_s, judged.value_s),
                _outcome(judged),
            )
        )
    heads = ("head_band", "aim_today", "head_95", "aim_limits", "head_verdict")
    return Table(
        heads=tuple(map(say, heads)),
        rows=tuple(rows),
        align=(*rights(3), "left"),
        wide=4,
        strong=(len(rows) - 1,),
        note=say("note_measured"),
    )


def _outcome(judged: Judged) -> str:
    """The verdict on an octave, in a client's words."""
    if judged.outcome is Outcome.MODAL:
        return say("outcome_single_notes")
    return say(f"outcome_{judged.outcome}")


def _noticed(offered: Offered, reader: Reader) -> Iterator[str]:
    """Faults that were found all the same, each with what costs nothing."""
    seen: dict[str, list[str]] = {}
    for finding in offered.verdict.findings:
        free = [free_move(remedy, reader) for remedy in finding.remedies if remedy.kind in FREE]
        title = finding_title(finding, reader).rstrip(".")
        seen.setdefault(free[0] if free else "", []).append(title)
    for move, titles in seen.items():
        yield f"{'; '.join(titles)}. {heading(move)}".strip()


def _fee(offered: Offered) -> tuple[Block, ...]:
    fee, job = visit_fee(offered.job), offered.job
    if not fee.net:
        return (Text(lead=say("fee"), body=say("fee_none")),)
    key = "fee_with_tax" if fee.tax else "fee_says"
    says = say(key, total=money(fee.total, job), tax=money(fee.tax, job))
    return (Facts(pairs=((say("fee"), says),)),)
