"""What a visit came to, as `roomcheck measure` shows it at the end."""

from __future__ import annotations

from roomcheck.analyse import Analysis, Closing
from roomcheck.report.render.blocks import Block, Bullets, Text, VerdictBox
from roomcheck.words import Reader, closing_sentences, expanded, sentences


def visit_blocks(
    visit: str,
    folder: str,
    closing: Closing | None,
    analysis: Analysis | None,
    all_recorded: bool,
    reader: Reader,
) -> tuple[Block, ...]:
    """Show whether the visit has what the job asks for, and what is missing."""
    if closing is None or analysis is None:
        nothing = f"Visit {visit!r}: no take yet. The same command begins again."
        return (Text(body=nothing),)
    blocks: list[Block] = [_verdict(visit, closing, all_recorded)]
    remarks = (
        *closing_sentences(closing, reader),
        *(f"note: {note}" for note in sentences(closing.notes, reader)),
    )
    if remarks:
        blocks.append(Bullets(items=remarks))
    if analysis.mid_s is not None and analysis.mid_u_s is not None:
        decay = f"{analysis.mid_s:.2f} s ± {expanded(analysis.mid_u_s)} s (95 %)."
        blocks.append(Text(body=decay, lead="Decay at 500 Hz and 1 kHz:"))
    if closing.complete:
        command = "analyse" if visit == "before" else "verify"
        blocks.append(Text(body=f"roomcheck {command} {folder}", lead="Next:"))
    return tuple(blocks)


def _verdict(visit: str, closing: Closing, all_recorded: bool) -> VerdictBox:
    if closing.complete:
        grade = f"{closing.reached} grade after ISO 3382-2 ({closing.wanted} was wanted)"
        return VerdictBox(word=f"Visit {visit!r} is complete", sentence=f"{grade}.", tone="good")
    next_run = "the same command goes on from here"
    if all_recorded:
        next_run = "with --again everything is recorded anew"
    return VerdictBox(
        word=f"Visit {visit!r} is not complete", sentence=f"{next_run}. Missing:", tone="bad"
    )
