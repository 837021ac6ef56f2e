"""roomcheck analyse JOB: what is wrong."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.background import show_flights, show_noise
from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, seconds, show_json, show_table
from roomcheck.units import band_label, band_name

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis
    from roomcheck.judge import Verdict


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "analyse",
        run,
        what="the decay at every position, and what is wrong against the target",
        example="roomcheck analyse harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--visit", choices=("before", "after"), default="before", help="which visit (default: before)")
    parser.add_argument("--thirds", action="store_true", help="one-third octaves in the table")


def run(args: argparse.Namespace) -> int:
    from roomcheck.judge import judge

    chain = Chain.of(args.job)
    analysis = chain.before if args.visit == "before" else chain.after
    verdict = judge(analysis, chain.job)
    if args.json:
        return show_json({"analysis": analysis, "verdict": verdict})
    show_analysis(analysis, verdict, thirds=args.thirds)
    show_flights(chain.before_takes if args.visit == "before" else chain.after_takes)
    return 0


def show_analysis(analysis: Analysis, verdict: Verdict, *, thirds: bool = False) -> None:
    """The table of bands and the findings, on standard output."""
    outcome = {band.band_hz: band for band in verdict.bands}
    rows = []
    for band in analysis.thirds if thirds else analysis.octaves:
        judged = outcome.get(band.band_hz) if not thirds else None
        limits = "" if judged is None else _limits(judged.low_s, judged.high_s)
        rows.append(
            (
                band_label(band.band_hz),
                seconds(band.edt_s),
                seconds(band.t20_s),
                "–" if band.t20_u_s is None else f"±{2 * band.t20_u_s:.2f}",
                seconds(band.t30_s),
                "–" if band.c50_db is None else f"{band.c50_db:.1f}",
                str(band.positions),
                limits,
                "" if judged is None else judged.outcome,
            )
        )
    heads = ("band Hz", "EDT s", "T20 s", "(95 %)", "T30 s", "C50 dB", "pairs", "target s", "verdict")
    show_table(f"Visit {analysis.visit!r}: mean over the positions", heads, rows)
    if analysis.transition_hz is not None:
        print(f"Below {analysis.transition_hz:.0f} Hz this room has modes, not a reverberation time.")
    print(f"Grade after ISO 3382-2: {analysis.grade}.")
    for lack in analysis.lacking:
        print(f"  {lack}")
    if thirds:
        show_reasons([(band.band_hz, reason) for band in analysis.thirds for reason in band.reasons])
    else:
        show_reasons([(band.band_hz, reason) for band in analysis.octaves for reason in band.reasons])
    show_noise(analysis, verdict.target.key)
    print(f"\nTarget: {verdict.target.title} ({verdict.target.source}; {verdict.target.mark})")
    print(verdict.sentence)
    for finding in verdict.findings:
        print(f"\n* {finding.title}: {finding.sentence}")
        print(f"  {finding.evidence} ({finding.threshold})")
        for remedy in finding.remedies:
            print(f"  - {remedy}")


def show_reasons(reasons: list[tuple[float, str]]) -> None:
    """Why a band has no number, or needs care."""
    for band_hz, reason in reasons:
        label = f"{band_hz:g} Hz"
        print(f"  {reason if reason.startswith(label) else f'{band_name(band_hz)}: {reason}'}")


def _limits(low_s: float | None, high_s: float | None) -> str:
    if low_s is None or high_s is None:
        return "" if low_s is None and high_s is None else f"≤ {high_s:.2f}" if low_s is None else f"≥ {low_s:.2f}"
    return f"{low_s:.2f}–{high_s:.2f}"
