"""roomcheck analyse JOB: what is wrong."""

from __future__ import annotations

import argparse

from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError
from roomcheck.standards.iec_60268_16_2020 import BANDS_HZ


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
    parser.add_argument("--thirds", action="store_true", help="one-third octaves as well")
    parser.add_argument(
        "--speech-over-noise",
        metavar="DB",
        help="for the speech transmission index: one number, or seven with commas, 125 Hz to 8 kHz",
    )
    parser.add_argument(
        "--all",
        action="store_true",
        help="evidence, remedies, noise, speech, modes, reflections, and why a number is withheld",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.report import analysis_screen

    chain = opened(args.job, speech_snr_db=_speech_over_noise(args.speech_over_noise))
    before = args.visit == "before"
    analysis = chain.before if before else chain.after
    verdict = chain.verdict if before else chain.verdict_after
    if args.json:
        return show_json({"analysis": analysis, "verdict": verdict})
    show(analysis_screen(chain.job, analysis, verdict, thirds=args.thirds, everything=args.all))
    return 0


def _speech_over_noise(text: str | None) -> tuple[float, ...] | None:
    if text is None:
        return None
    try:
        values = tuple(float(part) for part in text.split(","))
        if len(values) not in (1, len(BANDS_HZ)) or not all(abs(value) < 200 for value in values):
            raise ValueError
    except ValueError as problem:
        raise RoomcheckError(
            f"--speech-over-noise: {text!r}; needed one number in dB, or seven with commas, 125 "
            "Hz to 8 kHz"
        ) from problem
    return values if len(values) > 1 else values * len(BANDS_HZ)
