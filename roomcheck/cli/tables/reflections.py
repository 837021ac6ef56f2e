"""What `roomcheck analyse` shows of reflections and flutter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.job import Job

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis

LOUDEST = 6


def show_reflections(analysis: Analysis, job: Job, *, every: bool = False) -> None:
    """The loudest reflections of every pair with the surface that sent each, the seat's first; then
    flutter."""
    from roomcheck.analyse import mean_early_db
    from roomcheck.words import reflection_text

    pairs = sorted(analysis.reflections, key=lambda row: row.microphone != job.seat)
    if any(pair.reflections for pair in pairs):
        most = "" if every else f", the {LOUDEST} loudest of each pair"
        print(
            f"\nReflections, 1 to 8 kHz{most}: ms after the direct sound, dB relative to it, "
            "surface"
        )
    for pair in pairs:
        loudest = sorted(pair.reflections, key=lambda r: -r.level_db)[: None if every else LOUDEST]
        for r in sorted(loudest, key=lambda r: r.delay_s):
            name = f"{pair.source}-{pair.microphone}"
            print(
                f"  {name:9} {1000 * r.delay_s:5.1f} ms {r.level_db:4.0f} dB  "
                f"{reflection_text(job, r)}"
            )
    for source, mean_db, low_db, high_db in mean_early_db(analysis.reflections):
        over = f"mean of the places, {low_db:+.1f} to {high_db:+.1f}"
        print(
            f"  {source}: the first 20 ms hold {mean_db:+.1f} dB against the direct sound ({over})"
        )
    for lack in dict.fromkeys(
        f"{p.source} to {p.microphone}: {reason}" for p in pairs for reason in p.reasons
    ):
        print(f"  {lack}")
    for one in analysis.flutter:
        names = " or ".join(f"{a} and {b}" for a, b in one.faces)
        print(
            f"Flutter between {names}: a beat every {1000 * one.period_s:.1f} ms, {one.repeats} "
            "repeats."
        )
