"""roomcheck measure JOB: play and record at every position."""

from __future__ import annotations

import argparse
import sys

from roomcheck.cli.shown import Subparsers, add_command, show_json
from roomcheck.errors import RoomcheckError


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "measure",
        run,
        what="play and record at every position of the job, and judge every take",
        example="roomcheck measure harbour-room --visit before --input 2 --output 2 --level -24",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--visit", choices=("before", "after"), default="before", help="which visit (default: before)")
    parser.add_argument(
        "--input", metavar="DEVICE", help="number or name, see roomcheck devices (default: the system's)"
    )
    parser.add_argument("--output", metavar="DEVICE", help="number or name (default: the system's)")
    parser.add_argument("--output-channel", type=int, default=1, metavar="N", help="the loudspeaker's (default: 1)")
    parser.add_argument("--input-channel", type=int, default=1, metavar="N", help="the microphone's (default: 1)")
    parser.add_argument("--seconds", type=float, default=10.0, help="length of the sweep (default: %(default)g)")
    parser.add_argument("--low", type=float, default=40.0, metavar="HZ", help="lowest frequency (default: %(default)g)")
    parser.add_argument("--high", type=float, default=20_000.0, metavar="HZ", help="highest (default: %(default)g)")
    parser.add_argument("--rate", type=int, default=48_000, metavar="HZ", help="sampling rate (default: %(default)d)")
    parser.add_argument("--decay", type=float, default=2.0, metavar="S", help="recorded after the sweep (default: 2)")
    parser.add_argument(
        "--level",
        type=float,
        default=-24.0,
        metavar="DB",
        help="peak of the sweep re full scale, never exceeded (default: -24)",
    )
    parser.add_argument("--yes", action="store_true", help="ask nothing: repeat a bad take twice, then go on")


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import load_job
    from roomcheck.measure import PortAudioCard, Sweep, walk

    job = load_job(args.job)
    try:
        sweep = Sweep(low_hz=args.low, high_hz=args.high, seconds=args.seconds, rate_hz=args.rate)
        if not -90 <= args.level <= 0:
            raise ValueError(f"--level: {args.level:g}, needed -90 to 0")
    except ValueError as problem:
        raise RoomcheckError(f"roomcheck measure: {problem}") from problem
    card = PortAudioCard(
        output=_device(args.output),
        input=_device(args.input),
        output_channel=args.output_channel,
        input_channels=args.input_channel,
    )
    _tell(
        f"A sweep of {args.seconds:g} s at {args.level:g} dB re full scale. Turn the amplifier down first and come up "
        "slowly: sweeps damage ears and tweeters."
    )
    done = walk(
        job,
        args.visit,
        card,
        sweep,
        ask=_Unattended() if args.yes else _ask,
        tell=_tell,
        level_dbfs=args.level,
        tail_s=args.decay,
        channel=args.input_channel,
    )
    if args.json:
        show_json(done)
    elif done.missing:
        print(f"Still missing: {', '.join(f'{s} to {m}' for s, m in done.missing)}. Go on with the same command.")
    else:
        print(f"Visit {args.visit!r} is complete: every source and microphone has a good take.")
    return 2 if done.missing else 0


class _Unattended:
    """Answers for a person who is not there: twice again, then on."""

    def __init__(self) -> None:
        self.repeats = 0

    def __call__(self, question: str, choices: tuple[str, ...]) -> str:
        _tell(question)
        if choices[0] == "repeat":
            self.repeats += 1
            return "repeat" if self.repeats <= 2 else "skip"
        self.repeats = 0 if choices[0] == "record" else self.repeats
        return choices[0]


def _ask(question: str, choices: tuple[str, ...]) -> str:
    """A question on the terminal; the first choice by return, each by its first letters."""
    while True:
        print(f"{question} [{'/'.join(choices)}] ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            return "stop"
        said = line.strip().lower()
        fits = [choice for choice in choices if choice.startswith(said)] if said else [choices[0]]
        if len(fits) == 1:
            return fits[0]


def _tell(text: str) -> None:
    print(text, file=sys.stderr)


def _device(said: str | None) -> int | str | None:
    return int(said) if said is not None and said.isdigit() else said
