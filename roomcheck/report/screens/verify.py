"""What `roomcheck verify` shows."""

from __future__ import annotations

from bisect import bisect_left
from itertools import accumulate
from math import exp
from pathlib import Path

from roomcheck.job import Job, Lesson, Shop, StockPiece
from roomcheck.report.pages.certificate import cause_blocks, change_row, proof_box
from roomcheck.report.pages.changes import change_label, clarity_table, other_changes
from roomcheck.report.pages.parts import blocks, rights, titled, visit_facts
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text
from roomcheck.units import band_name
from roomcheck.verify import Verification
from roomcheck.words import NONE, Reader, plus_minus, say, sentences


def verification_blocks(
    verification: Verification, reader: Reader, *, everything: bool = False
) -> tuple[Block, ...]:
    """Return the verdict, the table of the promise, and what differed; on request also the notes of
    each value and the changes that no promise hangs on."""
    heads = ("head_band", "head_before", "head_after", "head_95", "head_promise", "head_kept")
    rows = [change_row(change) for change in verification.changes]
    table = Table(
        heads=tuple(say(head) for head in (*heads, "head_audible")),
        rows=tuple((*row[:-2], row[-1]) for row in rows),
        align=("left", "right", "right", "right", "right", "left", "left"),
        strong=(len(verification.bands),),
        note=say("note_pairs_both", pairs=verification.pairs),
    )
    more: tuple[Block, ...] = ()
    if verification.barring and not verification.compared_anyway:
        more = (Text(body=say("compare_anyway")),)
    if everything:
        more = (*more, *_notes(verification, reader), *clarity_table(verification))
        more = (*more, *other_changes(verification))
    else:
        more = (*more, Text(body=say("verify_all")))
    return blocks(
        proof_box(verification, reader),
        cause_blocks(verification, reader),
        table,
        _differences(verification, reader),
        more,
    )


def _differences(verification: Verification, reader: Reader) -> tuple[Block, ...]:
    differences = sentences(verification.differences, reader)
    return titled(Heading(text=say("differed"), level=2), Bullets(items=differences))


def _notes(verification: Verification, reader: Reader) -> tuple[Block, ...]:
    notes = tuple(
        f"{change_label(change)}: {' '.join(sentences(change.notes, reader))}"
        for change in verification.changes
        if change.notes
    )
    return (Bullets(items=notes),) if notes else ()


def as_before_blocks(job: Job) -> tuple[Block, ...]:
    """What must be at the second visit as it was at the first: the conditions of both beside each
    other; nothing where the first noted none."""
    first, second = job.visit("before"), job.visit("after")
    if first is None:
        return ()
    noted = visit_facts(job, first)
    now = (NONE,) * len(noted) if second is None else [text for _, text in visit_facts(job, second)]
    rows = tuple((name, was, text) for (name, was), text in zip(noted, now, strict=True))
    heads = tuple(map(say, ("head_what", "visit_before", "visit_after")))
    return (Table(heads=heads, rows=rows, align=("left", "left", "left"), wide=-1),)


def lesson_preview(lesson: Lesson, now: Shop, then: Shop) -> tuple[Block, ...]:
    """What a job would teach the shop's file: how much more or less each of its pieces is taken to
    absorb than computed, as the file has it now and as it would have it."""
    known, taught = ({piece.name: _factors(piece) for piece in shop.stock} for shop in (now, then))
    tables: list[Block] = []
    for share in lesson.shares:
        before, after = known.get(share.piece, {}), taught.get(share.piece, {})
        rows = tuple(
            (band_name(hz), before.get(hz, say("as_computed")), text) for hz, text in after.items()
        )
        heads = tuple(map(say, ("head_band", "lesson_now", "lesson_then")))
        tables.append(Heading(text=share.piece, level=2))
        tables.append(Table(heads=heads, rows=rows, align=rights(2)))
    rooms = _rooms(lesson, then)
    return (
        Text(body=say("lesson_would")),
        *tables,
        *titled(Heading(text=say("lesson_rooms_then"), level=2), Bullets(items=rooms)),
        Text(body=say("lesson_every_job")),
    )


LEAST_SAID_PCT = 0.5
"""Less than that is not worth a line. [%]"""
_NINE_IN_TEN = (0.05, 0.95)


def _rooms(lesson: Lesson, shop: Shop) -> tuple[str, ...]:
    """What the shop's lessons say of its rooms, and of the prediction in a room like this job's."""
    scatter = (_scatter(shop),) if shop.scatter_learned else ()
    mean, size = shop.model_learned
    if not lesson.model or (mean, size) == (0.0, 1.0):
        return scatter
    off_pct = 100 * (exp(mean * sum(lesson.model) / len(lesson.model)) - 1)
    other_pct = 100 * (size - 1)
    said = (
        (("lesson_shorter", "lesson_longer"), off_pct),
        (("lesson_narrower", "lesson_wider"), other_pct),
    )
    lines = [
        say(names[pct > 0], percent=abs(pct)) for names, pct in said if abs(pct) >= LEAST_SAID_PCT
    ]
    return (*scatter, *lines)


def _scatter(shop: Shop) -> str:
    """From which to which scattering the next room lies, nine times in ten."""
    at, likely = zip(*shop.scatter_learned, strict=True)
    shares = list(accumulate(likely))
    ends = [at[bisect_left(shares, share)] for share in _NINE_IN_TEN]
    return say("lesson_scatter", low=ends[0], high=ends[1], first=at[0], last=at[-1])


def _factors(piece: StockPiece) -> dict[float, str]:
    """How much more or less a piece absorbs than computed, and how surely, by octave."""
    return {
        hz: f"{100 * (exp(mean) - 1):+.0f} % ({plus_minus(100 * sd, 0)} %)"
        for hz, mean, sd in sorted(piece.learned)
    }


def lesson_blocks(lesson: Lesson, shop: Shop, path: Path) -> tuple[Block, ...]:
    """Return how much more or less each piece absorbs than computed, as the shop's file has it
    now."""
    learned = {piece.name: sorted(piece.learned) for piece in shop.stock}
    tables: list[Block] = []
    for share in lesson.shares:
        rows = tuple(
            (f"{hz:g} Hz", f"{100 * (exp(mean) - 1):+.0f} %", f"{plus_minus(100 * sd, 0)} %")
            for hz, mean, sd in learned.get(share.piece, [])
        )
        heads = (say("head_band"), say("head_absorbs"), say("head_95_plain"))
        tables.append(Heading(text=share.piece, level=2))
        tables.append(Table(heads=heads, rows=rows, align=rights(2)))
    rooms = Bullets(items=_rooms(lesson, shop))
    tables += titled(Heading(text=say("lesson_rooms_now"), level=2), rooms)
    jobs = ", ".join(known.job for known in shop.lessons)
    return (
        *tables,
        Text(body=say("learned_from", jobs=jobs, path=path)),
        Text(body=say("lesson_every_job")),
    )


def unlearned_blocks(job: str, path: Path, *, taken: bool) -> tuple[Block, ...]:
    """Return what was taken out of the shop's file."""
    return (Text(body=say("unlearned" if taken else "nothing_learned", job=job, path=path)),)
