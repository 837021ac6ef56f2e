"""The sweep file, as `roomcheck sweep` shows it."""

from __future__ import annotations

from pathlib import Path

from roomcheck.measure import Played
from roomcheck.report.render.blocks import Block, Bullets, CautionBox, Text

PLAYING = (
    "Play it from a file, by wire, with the player's effects and loudness correction off.",
    "Put the recorder on a stand, start it before the first chirp, and do not touch it until the "
    "last.",
    "For several positions let it run on, move it only between two playings, and bring all in at "
    "once: roomcheck add JOB REC.wav --microphone P1,P2,P3 …",
)
LOUD = (
    "Start quietly: a sweep is loud in the treble. Wear ear protection close to the loudspeaker.",
)


def sweep_blocks(out: Path, facts: Path, played: Played) -> tuple[Block, ...]:
    """Show what was written, and how to play and record it."""
    starts = ", ".join(f"{run.side} at {run.start_s:.1f} s" for run in played.passes)
    file = (
        f"{played.seconds:.0f} s at {played.sweep.rate_hz} Hz; sweep {starts}; peak "
        f"{played.level_dbfs:g} dB re full scale."
    )
    return (
        Text(body=file, lead=f"{out}:"),
        Text(body="what roomcheck add needs to know of it. Keep both together.", lead=f"{facts}:"),
        Bullets(items=PLAYING),
        CautionBox(title="Loud", items=LOUD),
    )
