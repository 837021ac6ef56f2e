"""roomcheck sweep OUT.wav: a file for the client's own player."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json
from roomcheck.errors import RoomcheckError

if TYPE_CHECKING:
    from roomcheck.measure import Side

SIDES: dict[str, tuple[Side, ...]] = {
    "left": ("left",),
    "right": ("right",),
    "both": ("both",),
    "each": ("left", "right"),
}


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "sweep",
        run,
        what="write a sweep for the client's own player, with a marker chirp before and after it",
        example="roomcheck sweep harbour-sweep.wav --side each --seconds 15",
    )
    parser.add_argument(
        "out", metavar="OUT.wav", help="the sound file to write; its facts go beside it as .toml"
    )
    parser.add_argument(
        "--seconds", type=float, default=10.0, help="length of the sweep (default: %(default)g)"
    )
    parser.add_argument(
        "--low",
        type=float,
        default=40.0,
        metavar="HZ",
        help="lowest frequency (default: %(default)g)",
    )
    parser.add_argument(
        "--high", type=float, default=20_000.0, metavar="HZ", help="highest (default: %(default)g)"
    )
    parser.add_argument(
        "--rate",
        type=int,
        default=48_000,
        metavar="HZ",
        help="sampling rate (default: %(default)d)",
    )
    parser.add_argument(
        "--level", type=float, default=-12.0, metavar="DB", help="peak re full scale (default: -12)"
    )
    parser.add_argument(
        "--side",
        choices=SIDES,
        default="left",
        help="loudspeaker; each: left, then right (default: %(default)s)",
    )
    parser.add_argument(
        "--decay",
        type=float,
        default=3.0,
        metavar="S",
        help="longest decay to leave room for, in seconds (default: 3)",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.measure import Sweep, export, lay_out

    out = Path(args.out)
    if out.suffix.lower() != ".wav":
        raise RoomcheckError(
            f"{out}: the sweep is written as a WAV file; give it a name that ends in .wav"
        )
    try:
        sweep = Sweep(low_hz=args.low, high_hz=args.high, seconds=args.seconds, rate_hz=args.rate)
        played = lay_out(sweep, sides=SIDES[args.side], silence_s=args.decay, level_dbfs=args.level)
    except ValueError as problem:
        raise RoomcheckError(f"roomcheck sweep: {problem}") from problem
    with doing("write", file=out):
        facts = export(out, played)
    if args.json:
        return show_json({"file": str(out), "facts": str(facts), "seconds": played.seconds})
    from roomcheck.report import sweep_blocks

    show(sweep_blocks(out, facts, played))
    return 0
