"""What `roomcheck verify` shows."""

from __future__ import annotations

from math import exp
from pathlib import Path

from roomcheck.job import Lesson, Shop
from roomcheck.report.pages.certificate import cause_blocks, change_label, change_row, proof_box
from roomcheck.report.pages.changes import clarity_table, other_changes
from roomcheck.report.pages.parts import blocks, rights, titled
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text
from roomcheck.verify import Verification
from roomcheck.words import Reader, plus_minus, say, sentences


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
        heads = (say("head_band"), say("head_absorbs"), say("head_95"))
        tables.append(Heading(text=share.piece, level=2))
        tables.append(Table(heads=heads, rows=rows, align=rights(2)))
    jobs = ", ".join(known.job for known in shop.lessons)
    return (*tables, Text(body=say("learned_from", jobs=jobs, path=path)))


def unlearned_blocks(job: str, path: Path, *, taken: bool) -> tuple[Block, ...]:
    """Return what was taken out of the shop's file."""
    return (Text(body=say("unlearned" if taken else "nothing_learned", job=job, path=path)),)
