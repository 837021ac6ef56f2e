"""roomcheck analyse JOB: what is wrong."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.progress import opened
from roomcheck.cli.tables.background import show_flights, show_noise
from roomcheck.cli.tables.low_end import show_low_end
from roomcheck.cli.tables.reflections import show_reflections
from roomcheck.cli.terminal import Subparsers, add_command, seconds, show, show_json, show_table
from roomcheck.errors import RoomcheckError
from roomcheck.standards.iec_60268_16_2020 import BANDS_HZ
from roomcheck.units import band_label, band_name

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis
    from roomcheck.job import Units
    from roomcheck.judge import Verdict


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "analyse",
        run,
        what=(
            "the decay at every position, what is wrong against the target, and which surface "
            "does it"
        ),
        example="roomcheck analyse harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--visit",
        choices=("before", "after"),
        default="before",
        help="which visit (default: before)",
    )
    parser.add_argument("--thirds", action="store_true", help="one-third octaves in the table")
    parser.add_argument(
        "--speech-over-noise",
        metavar="DB",
        help="for the speech transmission index: one number, or seven with commas, 125 Hz to 8 kHz",
    )
    parser.add_argument(
        "--every-reflection", action="store_true", help="all reflections, not only the loudest"
    )


def run(args: argparse.Namespace) -> int:
    chain = opened(args.job, speech_snr_db=_speech_over_noise(args.speech_over_noise))
    analysis = chain.before if args.visit == "before" else chain.after
    verdict = chain.verdict if args.visit == "before" else chain.verdict_after
    if args.json:
        return show_json({"analysis": analysis, "verdict": verdict})
    show_analysis(analysis, verdict, chain.job.units, thirds=args.thirds)
    show_details(analysis, verdict, thirds=args.thirds)
    show_reflections(analysis, chain.job, every=args.every_reflection)
    show_flights(chain.before_takes if args.visit == "before" else chain.after_takes)
    return 0


def show_analysis(
    analysis: Analysis, verdict: Verdict, units: Units, *, thirds: bool = False
) -> None:
    """The table of bands, the verdict and the findings, on standard output."""
    from roomcheck.report import verdict_blocks
    from roomcheck.words import Reader

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
                judged.outcome
                if judged is not None
                else "modal"
                if analysis.is_modal(band.band_hz)
                else "",
            )
        )
    heads = (
        "band Hz",
        "EDT s",
        "T20 s",
        "(95 %)",
        "T30 s",
        "C50 dB",
        "pairs",
        "target s",
        "verdict",
    )
    show_table(f"Visit {analysis.visit!r}: mean over the positions", heads, rows)
    if analysis.transition_hz is not None:
        print(
            f"Below {analysis.transition_hz:.0f} Hz this room has modes, not a reverberation time."
        )
    print(f"Target: {verdict.target.title} ({verdict.target.source}; {verdict.target.mark})\n")
    show(verdict_blocks(verdict, Reader(units=units)))


def show_details(analysis: Analysis, verdict: Verdict, *, thirds: bool = False) -> None:
    """What stands behind the numbers: noise, speech, modes, grade, and why a number is not
    there."""
    show_noise(analysis, verdict.target.key)
    show_speech(analysis)
    print("\nModes and frequency response:")
    show_low_end(analysis)
    print(f"\nGrade after ISO 3382-2: {analysis.grade}.")
    for line in (*analysis.lacking, *analysis.notes):
        print(f"  {line}")
    bands = analysis.thirds if thirds else analysis.octaves
    show_reasons([(band.band_hz, reason) for band in bands for reason in band.reasons])


def show_speech(analysis: Analysis) -> None:
    """The speech transmission index of every position, or why there is none."""
    found = [(p, p.speech) for p in analysis.positions if p.speech is not None]
    if found:
        print("\nSpeech transmission index (IEC 60268-16:2020, as quoted in an open library):")
    for position, speech in found:
        if speech.sti is not None:
            print(
                f"  {position.source} to {position.microphone}: {speech.sti:.2f}, {speech.rating}"
            )
    without: dict[str, list[str]] = {}
    for position, speech in found:
        for reason in speech.reasons if speech.sti is None else ():
            without.setdefault(reason, []).append(f"{position.source} to {position.microphone}")
    for reason, pairs in without.items():
        print(f"  no number for {', '.join(pairs)}: {reason}")
    for remark in dict.fromkeys(
        r for _, speech in found if speech.sti is not None for r in speech.reasons
    ):
        print(f"  {remark}")


def _speech_over_noise(said: str | None) -> tuple[float, ...] | None:
    if said is None:
        return None
    try:
        values = tuple(float(part) for part in said.split(","))
        if len(values) not in (1, len(BANDS_HZ)) or not all(abs(value) < 200 for value in values):
            raise ValueError
    except ValueError as problem:
        raise RoomcheckError(
            f"--speech-over-noise: {said!r}; needed one number in dB, or seven with commas, 125 "
            "Hz to 8 kHz"
        ) from problem
    return values if len(values) > 1 else values * len(BANDS_HZ)


def show_reasons(reasons: list[tuple[float, str]]) -> None:
    """Why a band has no number, or needs care."""
    for band_hz, reason in reasons:
        label = f"{band_hz:g} Hz"
        print(f"  {reason if reason.startswith(label) else f'{band_name(band_hz)}: {reason}'}")


def _limits(low_s: float | None, high_s: float | None) -> str:
    if low_s is None or high_s is None:
        return (
            ""
            if low_s is None and high_s is None
            else f"≤ {high_s:.2f}"
            if low_s is None
            else f"≥ {low_s:.2f}"
        )
    return f"{low_s:.2f}–{high_s:.2f}"
