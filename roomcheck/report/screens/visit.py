"""The sweep file, and what a visit came to, as `roomcheck sweep` and `measure` show them."""

from __future__ import annotations

from pathlib import Path

from roomcheck.analyse import Analysis, Closing
from roomcheck.measure import Played
from roomcheck.report.render.blocks import Block, Bullets, CautionBox, Text, VerdictBox
from roomcheck.words import Reader, closing_sentences, expanded, items, say, sentences


def sweep_blocks(out: Path, facts: Path, played: Played) -> tuple[Block, ...]:
    """Show what was written, and how to play and record it."""
    starts = [say("sweep_starts", side=run.side, start_s=run.start_s) for run in played.passes]
    file = say(
        "sweep_file",
        seconds=played.seconds,
        rate_hz=played.sweep.rate_hz,
        starts=", ".join(starts),
        peak_dbfs=played.level_dbfs,
    )
    return (
        Text(body=file, lead=f"{out}:"),
        Text(body=say("sweep_facts"), lead=f"{facts}:"),
        Bullets(items=items("sweep_playing")),
        CautionBox(title=say("sweep_loud"), items=(say("sweep_loud_says"),)),
    )


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
