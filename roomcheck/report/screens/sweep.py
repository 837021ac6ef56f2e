"""The sweep file, as `roomcheck sweep` shows it."""

from __future__ import annotations

from pathlib import Path

from roomcheck.measure import Played
from roomcheck.report.render.blocks import Block, Bullets, CautionBox, Text
from roomcheck.words import items, say


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
