"""roomcheck add JOB RECORDING: bring a recording into the job, with a verdict."""

from __future__ import annotations

import argparse

from roomcheck.cli.shown import Subparsers, add_command, show_json, step


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "add",
        run,
        what="bring a recording of a sweep into the job, and say whether to keep it",
        example="roomcheck add harbour-room REC.wav --visit before --source S1 --microphone P1 --sweep sweep.toml",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "recording", metavar="RECORDING", help="WAV, FLAC, AIFF, OGG, MP3, M4A or CAF; it is copied unchanged"
    )
    parser.add_argument("--visit", choices=("before", "after"), required=True)
    parser.add_argument("--source", required=True, metavar="S1", help="which loudspeaker position of the job")
    parser.add_argument("--microphone", required=True, metavar="P1", help="which microphone position of the job")
    parser.add_argument(
        "--channel", type=int, metavar="N", help="the microphone's channel, from 1, if there are several"
    )
    parser.add_argument(
        "--sweep", metavar="FILE", help="what was played: the .toml of roomcheck sweep, or the sound file"
    )
    parser.add_argument("--side", choices=("left", "right", "both"), help="which one, if the file holds left and right")
    parser.add_argument("--wrong-machine", choices=("player", "recorder"), help="which one ran at the wrong rate")
    parser.add_argument(
        "--impulse", action="store_true", help="balloons, claps or shots were recorded, one or several, and no sweep"
    )
    parser.add_argument(
        "--direction", metavar="TEXT", help="which way the loudspeaker pointed; takes of several are averaged"
    )
    parser.add_argument("--keep-anyway", action="store_true", help="keep it although roomcheck would repeat it")


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import load_job
    from roomcheck.measure import add_recording, verdict_text

    job = load_job(args.job)
    with step(f"listening to {args.recording}"):
        added = add_recording(
            job,
            args.recording,
            visit=args.visit,
            source=args.source,
            microphone=args.microphone,
            sweep=args.sweep,
            channel=args.channel,
            side=args.side,
            wrong_machine=args.wrong_machine,
            keep_anyway=args.keep_anyway,
            impulse=args.impulse,
            direction=args.direction,
        )
    if args.json:
        return show_json(added)
    print(verdict_text(added))
    return 0
