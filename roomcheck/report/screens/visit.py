"""What a visit came to, as `roomcheck measure` shows it at the end."""

from __future__ import annotations

from roomcheck.analyse import Analysis, Closing
from roomcheck.report.render.blocks import Block, Bullets, Text, VerdictBox
from roomcheck.words import Reader, closing_sentences, expanded, say, sentences


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
        return (Text(body=say("no_take", visit=visit)),)
    blocks: list[Block] = [_verdict(visit, closing, all_recorded)]
    remarks = (
        *closing_sentences(closing, reader),
        *(say("to_note", what=note) for note in sentences(closing.notes, reader)),
    )
    if remarks:
        blocks.append(Bullets(items=remarks))
    if analysis.mid_s is not None and analysis.mid_u_s is not None:
        u = expanded(analysis.mid_u_s)
        decay = say("visit_decay_says", mean_s=analysis.mid_s, expanded=u)
        blocks.append(Text(body=decay, lead=say("visit_decay")))
    if closing.complete:
        command = "analyse" if visit == "before" else "verify"
        blocks.append(Text(body=f"roomcheck {command} {folder}", lead=say("next")))
    return tuple(blocks)


def _verdict(visit: str, closing: Closing, all_recorded: bool) -> VerdictBox:
    if closing.complete:
        grade = say("visit_grade", reached=closing.reached, wanted=closing.wanted)
        return VerdictBox(word=say("visit_complete", visit=visit), sentence=grade, tone="good")
    next_run = say("visit_anew") if all_recorded else say("visit_goes_on")
    return VerdictBox(word=say("visit_incomplete", visit=visit), sentence=next_run, tone="bad")
