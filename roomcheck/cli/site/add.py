"""roomcheck add JOB RECORDING: bring a recording into the job, with a verdict."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.site.places import add_sure_option, asking
from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job
from roomcheck.words import Reader

if TYPE_CHECKING:
    from roomcheck.measure import Played
    from roomcheck.parts import OnPart


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "add",
        run,
        what="bring a recording of a sweep into the job, and say whether to keep it",
        example="roomcheck add harbour-room REC.wav --visit before --source S1 --microphone P1 "
        "--sweep sweep.toml\n"
        "  roomcheck add harbour-room VISIT.wav --visit before --source S1 --microphone "
        "P1,P2,P3 --sweep sweep.toml\n"
        '  roomcheck add harbour-room NOISE.wav --visit before --noise "HVAC off"',
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "recording",
        metavar="RECORDING",
        help="WAV, FLAC, AIFF, OGG, MP3, M4A or CAF; it is copied unchanged",
    )
    parser.add_argument("--visit", choices=("before", "after"), required=True)
    parser.add_argument(
        "--source",
        metavar="S1",
        help="which loudspeaker position of the job; S1,S2 for a file of --side each: left, then "
        "right",
    )
    parser.add_argument(
        "--microphone",
        metavar="P1",
        help="which microphone position; P1,P2,P3 for one recording of several sweeps, in the "
        "order they were played",
    )
    parser.add_argument(
        "--channel",
        type=int,
        metavar="N",
        help="the microphone's channel, from 1, if there are several",
    )
    parser.add_argument(
        "--sweep",
        metavar="FILE",
        help="what was played: the .toml of roomcheck sweep, or the sound file",
    )
    parser.add_argument(
        "--side",
        choices=("left", "right", "both"),
        help="which one, if the file holds left and right",
    )
    parser.add_argument(
        "--wrong-machine", choices=("player", "recorder"), help="which device ran at the wrong rate"
    )
    parser.add_argument(
        "--impulse",
        action="store_true",
        help="balloons, claps or shots were recorded, one or several, and no sweep",
    )
    parser.add_argument(
        "--direction",
        metavar="TEXT",
        help="which way the loudspeaker pointed; takes of several are averaged",
    )
    parser.add_argument(
        "--keep-anyway", action="store_true", help="keep it although roomcheck would repeat it"
    )
    add_sure_option(parser)
    parser.add_argument(
        "--noise", metavar="TEXT", help="it is background noise; TEXT says what was on or off"
    )
    parser.add_argument(
        "--calibrator",
        type=float,
        choices=(94.0, 114.0),
        metavar="DB",
        help="it is a sound calibrator of 94 or 114 dB",
    )
    parser.add_argument(
        "--sensitivity",
        type=float,
        metavar="DB",
        help="for --noise: RMS re full scale that 94 dB leaves",
    )
    parser.add_argument(
        "--microphone-file",
        metavar="FILE",
        help="the microphone's correction: frequency and dB a line",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import load_job

    job = load_job(args.job)
    if args.noise is not None or args.calibrator is not None:
        return _add_quiet(job, args)
    if not args.source or not args.microphone:
        raise RoomcheckError(
            "roomcheck add: --source and --microphone are needed, such as --source S1 "
            "--microphone P1; or --noise, or --calibrator"
        )
    from roomcheck.chain import keeping_takes

    with keeping_takes(job):
        if "," in args.microphone or "," in args.source:
            return _add_whole(job, args)
        return _add_one(job, args)


def _add_one(job: Job, args: argparse.Namespace) -> int:
    from roomcheck.measure import (
        add_recording,
        check_single,
        keep_correction,
        read_played,
        single_work,
    )
    from roomcheck.parts import Parts

    more = {}
    if args.microphone_file:
        more["correction"] = keep_correction(job, Path(args.microphone_file))
    with doing("listen", file=args.recording) as shown:
        on_part: OnPart = shown.part
        if args.sweep:
            played = read_played(Path(args.sweep))
            looking, listening = single_work(args.recording, played)
            parts = Parts(shown.part, looking + listening)
            looked = parts.of_own(looking)
            check_single(args.recording, played, channel=args.channel, on_part=looked)
            parts.add(looking)
            on_part = parts.of_own(listening)
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
            more=more,
            impulse=args.impulse,
            direction=args.direction,
            look=asking(job, args.recording, args.sure, shown),
            on_part=on_part,
        )
    if args.json:
        return show_json(added)
    from roomcheck.report import take_blocks

    show(take_blocks(added, Reader(units=job.units)))
    return 0


def _add_whole(job: Job, args: argparse.Namespace) -> int:
    """One recording of a whole visit."""
    from roomcheck.measure import add_whole, read_played

    if args.sweep is None:
        raise RoomcheckError(
            "roomcheck add: --sweep is needed to cut a recording apart: the .toml of roomcheck "
            "sweep"
        )
    played = read_played(Path(args.sweep))
    with doing("find", file=args.recording) as shown:
        pieces = add_whole(
            job,
            args.recording,
            visit=args.visit,
            places=_places(args, played),
            played=played,
            channel=args.channel,
            side=args.side,
            wrong_machine=args.wrong_machine,
            look=asking(job, args.recording, args.sure, shown),
            on_part=shown.part,
        )
    good = all(piece.added is not None for piece in pieces)
    if args.json:
        show_json({"pieces": pieces})
        return 0 if good else 2
    from roomcheck.report import piece_blocks

    show(piece_blocks(pieces, Reader(units=job.units)))
    return 0 if good else 2


def _places(args: argparse.Namespace, played: Played) -> list[tuple[str, tuple[str, ...]]]:
    """Microphone and sources of every playing, in order."""
    microphones = [name.strip() for name in args.microphone.split(",") if name.strip()]
    sources = [name.strip() for name in args.source.split(",") if name.strip()]
    if len(played.passes) > 1 and args.side is None:
        if len(sources) != len(played.passes):
            raise RoomcheckError(
                f"--source {args.source}: the sweep file plays "
                f"{' then '.join(p.side for p in played.passes)}; name a source for each, such "
                "as S1,S2, or choose one with --side"
            )
        return [(microphone, tuple(sources)) for microphone in microphones]
    if len(sources) not in (1, len(microphones)):
        raise RoomcheckError(
            f"--source {args.source}: {len(sources)} sources for {len(microphones)} microphone "
            "positions; name one, or one for each"
        )
    return [
        (m, (s,))
        for m, s in zip(microphones, sources * (len(microphones) // len(sources)), strict=True)
    ]


def _add_quiet(job: Job, args: argparse.Namespace) -> int:
    """A recording in which nothing was played."""
    from roomcheck.analyse import noise_level
    from roomcheck.measure import add_calibrator, add_noise, noise_takes

    if args.calibrator is not None:
        take = add_calibrator(
            job, args.recording, visit=args.visit, level_db=args.calibrator, channel=args.channel
        )
        if args.json:
            return show_json({"take": take, "calibrator_db": args.calibrator})
        from roomcheck.report import calibrator_blocks

        show(calibrator_blocks(take))
        return 0
    with doing("listen", file=args.recording):
        take = add_noise(
            job,
            args.recording,
            visit=args.visit,
            conditions=args.noise,
            channel=args.channel,
            sensitivity_dbfs=args.sensitivity,
            correction=args.microphone_file,
        )
        level = next(noise_level(one) for one in noise_takes(job, args.visit) if one.take == take)
    if args.json:
        return show_json(level)
    from roomcheck.report import noise_blocks

    show(noise_blocks(level, Reader(units=job.units)))
    return 0
