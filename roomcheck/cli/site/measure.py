"""roomcheck measure JOB: play and record at every position."""

from __future__ import annotations

import argparse
import contextlib
import math
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from roomcheck.cli.site import onsite
from roomcheck.cli.site.asking import Answers, EndedHere, Nobody, Person, choosing, telling
from roomcheck.cli.site.places import add_sure_option
from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json, tell
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, amend_job, has_takes
from roomcheck.words import Reader

if TYPE_CHECKING:
    from roomcheck.analyse import Closing
    from roomcheck.measure import LevelFound, PortAudioCard, SoundCard, Walked


WAIT_S = 5.0
"""Time to step back before a take. [s]"""


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "measure",
        run,
        what="play and record at every position of the job, and judge every take",
        example="roomcheck measure harbour-room --input 2 --output 2\n"
        "  roomcheck measure harbour-room --yes --level -24 --temperature 70F --humidity 45 "
        '--noise "HVAC off"',
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--visit",
        choices=("before", "after"),
        default="before",
        help="which visit (default: before)",
    )
    parser.add_argument(
        "--again",
        action="store_true",
        help="record also where there is a good take; the newest good one counts",
    )
    parser.add_argument(
        "--yes", action="store_true", help="ask nothing: repeat a bad take twice, then go on"
    )
    add_sure_option(parser)
    _card_options(parser.add_argument_group("sound card"))
    _sweep_options(parser.add_argument_group("what is played"))
    _noise_options(parser.add_argument_group("background noise and microphone"))
    group = parser.add_argument_group(
        "conditions of the visit, kept in the job; asked for where they are missing"
    )
    for name, such in (
        ("temperature", "70F"),
        ("humidity", "45"),
        ("people", "1"),
        ("doors", "shut"),
    ):
        group.add_argument(f"--{name}", metavar="TEXT", help=f"such as {such}")
    group.add_argument("--hvac", metavar="TEXT", help="heating and ventilation, such as off")
    group.add_argument("--gain", metavar="TEXT", help="gain and volume, as you marked them")
    group.add_argument("--notes", metavar="TEXT", help="anything else")


def _card_options(group: Any) -> None:
    group.add_argument(
        "--input",
        metavar="DEVICE",
        help="number or name, see roomcheck devices (default: the system's)",
    )
    group.add_argument("--output", metavar="DEVICE", help="number or name (default: the system's)")
    group.add_argument(
        "--output-channel",
        type=_channel,
        default=1,
        metavar="N",
        help="the loudspeaker's (default: 1)",
    )
    group.add_argument(
        "--input-channel",
        type=_channel,
        default=1,
        metavar="N",
        help="the microphone's (default: 1)",
    )
    group.add_argument(
        "--loopback",
        type=_channel,
        metavar="N",
        help="input with a cable from the output: gives the time of flight",
    )
    group.add_argument(
        "--rate",
        type=int,
        default=48_000,
        metavar="HZ",
        help="sampling rate (default: %(default)d)",
    )


def _sweep_options(group: Any) -> None:
    group.add_argument(
        "--level",
        type=float,
        metavar="DB",
        help=(
            "the most that is played, peak re full scale (default: -24 with --yes, else you "
            "confirm every step)"
        ),
    )
    group.add_argument(
        "--seconds", type=float, help="length of the sweep (default: what the noise needs)"
    )
    group.add_argument(
        "--as-given",
        action="store_true",
        help="no test sweeps: play at --level for --seconds at once",
    )
    group.add_argument(
        "--low",
        type=float,
        default=40.0,
        metavar="HZ",
        help="lowest frequency (default: %(default)g)",
    )
    group.add_argument(
        "--high", type=float, default=20_000.0, metavar="HZ", help="highest (default: %(default)g)"
    )
    group.add_argument(
        "--wait",
        type=float,
        metavar="S",
        help="before each take, to step back (default: 5, with --yes 0)",
    )
    group.add_argument(
        "--decay",
        type=float,
        default=2.0,
        metavar="S",
        help="recorded after the sweep (default: 2)",
    )


def _noise_options(group: Any) -> None:
    group.add_argument(
        "--noise",
        nargs="?",
        const="",
        metavar="TEXT",
        help="record the background noise after the sweeps; TEXT says what was on or off",
    )
    group.add_argument(
        "--noise-only", action="store_true", help="record the background noise and no sweep"
    )
    group.add_argument(
        "--noise-seconds", type=float, default=30.0, metavar="S", help="(default: %(default)g)"
    )
    group.add_argument(
        "--calibrator",
        type=float,
        choices=(94.0, 114.0),
        metavar="DB",
        help="record a sound calibrator of 94 or 114 dB first: levels become absolute",
    )
    group.add_argument(
        "--sensitivity",
        type=float,
        metavar="DB",
        help="RMS re full scale that 94 dB leaves in a recording",
    )
    group.add_argument(
        "--microphone-file",
        metavar="FILE",
        help="the microphone's correction: frequency and dB a line",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import load_job
    from roomcheck.measure import only_one

    job = load_job(args.job)
    _check(args)
    answers: Answers = Nobody() if args.yes else Person()
    with only_one(job.folder):
        try:
            return _visit(job, args, answers)
        except EndedHere:
            tell("Stopped. Every finished take is kept; the same command goes on from there.")
            return 2


def _visit(job: Job, args: argparse.Namespace, answers: Answers) -> int:
    from roomcheck.measure import PortAudioCard, bring_in_waiting, good_pairs

    job = onsite.settle_positions(job, answers)
    job = onsite.settle_conditions(job, args.visit, args, answers)
    card = PortAudioCard(
        output=_device(args.output),
        input=_device(args.input),
        output_channel=args.output_channel,
        input_channels=max(args.input_channel, args.loopback or 1),
    )
    bring_in_waiting(job, args.visit, telling(Reader(units=job.units)))
    if args.calibrator:
        _record_calibrator(job, args, answers, card)
    found, walked = None, None
    with doing("takes") if (job.folder / "takes" / args.visit).is_dir() else _nothing():
        open_pairs = set(job.pairs_at(args.visit)) - (
            set() if args.again else good_pairs(job, args.visit)
        )
    if open_pairs and not args.noise_only:
        job, found, walked = _record_sweeps(job, args, answers, card)
    elif not args.noise_only:
        tell("Every source and microphone of the job has a good take.")
    if not (walked is not None and walked.stopped and answers.asks):
        _record_noise(job, args, answers, card)
    return _close(job, args, found, walked)


def _record_sweeps(
    job: Job, args: argparse.Namespace, answers: Answers, card: PortAudioCard
) -> tuple[Job, LevelFound | None, Walked]:
    from roomcheck.analyse import looking
    from roomcheck.chain import keeping_takes
    from roomcheck.measure import Sweep, Walk, keep_correction, place, settings_so_far, walk

    reader = Reader(units=job.units)
    first = (
        place(Walk.SPEAKER_TO, job, job.sources[0]),
        place(Walk.MICROPHONE_TO, job, job.microphones[0]),
    )
    earlier = settings_so_far(job, args.visit)
    found = None
    if earlier is not None and args.level is None and args.seconds is None and not args.again:
        sweep, level = earlier
        tell(
            f"As this visit began: sweep of {sweep.seconds:g} s at {level:g} dB re full scale. "
            "Gain and volume must stand where they stood; a --level of your own begins anew."
        )
    else:
        level, seconds, found = onsite.settle_level(card, args, answers, reader, first)
        sweep = Sweep(low_hz=args.low, high_hz=args.high, seconds=seconds, rate_hz=args.rate)
    job = _note_settings(job, args, sweep, level)
    more: dict[str, Any] = {"level_dbfs": level}
    if args.microphone_file:
        more["correction"] = keep_correction(job, Path(args.microphone_file))
    with keeping_takes(job):
        walked = walk(
            job,
            args.visit,
            card,
            sweep,
            ask=choosing(answers, reader),
            tell=telling(reader),
            level_dbfs=level,
            tail_s=args.decay,
            channel=args.input_channel,
            loopback=args.loopback,
            more=more,
            again=args.again,
            wait_s=args.wait if args.wait is not None else WAIT_S if answers.asks else 0.0,
            look=None if args.sure else looking(job),
        )
    return job, found, walked


def _note_settings(job: Job, args: argparse.Namespace, sweep: Any, level_dbfs: float) -> Job:
    """How it was played, into the visit's conditions where the job has them."""
    visit = job.visit(args.visit)
    said = (
        f"sweep {sweep.low_hz:g} Hz to {sweep.high_hz:g} Hz in {sweep.seconds:g} s at "
        f"{level_dbfs:g} dB re full scale, output {args.output_channel}, input "
        f"{args.input_channel}"
    )
    if visit is None or visit.settings == said:
        return job
    return amend_job(job.folder, visits=[replace(visit, settings=said)])


def _record_calibrator(
    job: Job, args: argparse.Namespace, answers: Answers, card: SoundCard
) -> None:
    from roomcheck.measure import add_calibrator

    question = (
        f"Push the calibrator ({args.calibrator:g} dB) onto the microphone, switch it on, and hold "
        "it still for 7 s."
    )
    choice = answers.choose(question, ("record", "skip", "stop"))
    while choice in ("record", "repeat"):
        try:
            with _recorded(card, args, 7.0) as (path, _):
                take = add_calibrator(
                    job,
                    path,
                    visit=args.visit,
                    level_db=args.calibrator,
                    channel=args.input_channel,
                )
            tell(
                f"{take}: a steady tone; levels of this visit are absolute as long as the input "
                "gain stays."
            )
            return
        except RoomcheckError as problem:
            tell(str(problem))
            choice = answers.choose("The calibrator was not taken.", ("repeat", "skip", "stop"))
    if choice == "stop":
        raise EndedHere


def _record_noise(job: Job, args: argparse.Namespace, answers: Answers, card: SoundCard) -> None:
    """Background noise: once as an option says, or as often as a person wants it."""
    if not answers.asks and args.noise is None and not args.noise_only:
        return
    said = args.noise
    while True:
        seconds = args.noise_seconds
        question = (
            f"\nBackground noise, {seconds:g} s: nothing is played; leave the room or stand still."
        )
        choice = answers.choose(question, ("record", "skip", "stop"))
        if choice != "record":
            return
        conditions = (
            said
            if said
            else answers.text("What is on or off", "as during the sweeps", lambda _: None)
        )
        _one_noise(job, args, answers, card, conditions)
        said = None
        if not answers.asks:
            return
        tell(
            "Once more with the ventilation the other way (on or off)? The difference shows "
            "whose noise it is."
        )


def _one_noise(
    job: Job, args: argparse.Namespace, answers: Answers, card: SoundCard, conditions: str
) -> None:
    from roomcheck.analyse import noise_level
    from roomcheck.measure import add_noise, noise_takes
    from roomcheck.report import noise_blocks, text_of

    while True:
        try:
            tell(f"Recording the background noise, {args.noise_seconds:g} s …")
            with _recorded(card, args, args.noise_seconds) as (path, faults):
                add_noise(
                    job,
                    path,
                    visit=args.visit,
                    conditions=conditions,
                    channel=args.input_channel,
                    sensitivity_dbfs=args.sensitivity,
                    correction=args.microphone_file,
                    faults=faults,
                )
            break
        except RoomcheckError as problem:
            tell(str(problem))
            if answers.choose("Nothing was kept of it.", ("repeat", "skip", "stop")) != "repeat":
                return
    level = noise_level(noise_takes(job, args.visit)[-1])
    tell(text_of(noise_blocks(level, Reader(units=job.units))))


@contextlib.contextmanager
def _recorded(card: SoundCard, args: argparse.Namespace, seconds: float) -> Any:
    """What comes in while nothing is played, as a file; and what the card reported."""
    import numpy as np

    from roomcheck.measure import PRE_ROLL_S, wav

    recorded = card.play_and_record(np.zeros(round(seconds * args.rate)), args.rate)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "recorded.wav"
        path.write_bytes(wav(recorded.samples[round(PRE_ROLL_S * args.rate) :], args.rate))
        yield path, recorded.faults


def _close(
    job: Job, args: argparse.Namespace, found: LevelFound | None, walked: Walked | None
) -> int:
    """Say whether the visit has what the job wants, and what is missing."""
    from roomcheck.analyse import analyse, closing
    from roomcheck.measure import measure, noise_takes

    outcome: Closing | None = None
    analysis = None
    if has_takes(job.folder, args.visit):
        with doing("close"):
            analysis = analyse(
                measure(job, args.visit),
                job=job,
                visit=args.visit,
                noise=noise_takes(job, args.visit),
            )
        outcome = closing(analysis, job)
    if args.json:
        show_json(
            {
                "visit": args.visit,
                "level": found,
                "takes": walked.takes if walked else (),
                "flights": walked.flights if walked else (),
                "stopped": walked.stopped if walked else False,
                "missing": walked.missing if walked else (),
                "complete": outcome is not None and outcome.complete,
                "closing": outcome,
                "noise": analysis.noise if analysis else (),
            }
        )
    else:
        from roomcheck.report import visit_blocks

        done = (
            {(take.source, take.microphone) for take in analysis.positions} if analysis else set()
        )
        all_done = set(job.pairs_at(args.visit)) <= done
        reader = Reader(units=job.units)
        show(visit_blocks(args.visit, args.job, outcome, analysis, all_done, reader))
    return 0 if outcome is not None and outcome.complete else 2


def _check(args: argparse.Namespace) -> None:
    from roomcheck.measure import Sweep, from_sensitivity, read_correction

    try:
        Sweep(low_hz=args.low, high_hz=args.high, seconds=args.seconds or 1.0, rate_hz=args.rate)
        if args.level is not None and not -90 <= args.level <= 0:
            raise ValueError(f"--level: {args.level:g}, needed -90 to 0")
        if not (math.isfinite(args.decay) and 0.3 <= args.decay <= 30):
            raise ValueError(f"--decay: {args.decay:g}, needed 0.3 to 30")
        if args.wait is not None and not 0 <= args.wait <= 600:
            raise ValueError(f"--wait: {args.wait:g}, needed 0 to 600")
        if args.loopback == args.input_channel:
            raise ValueError(
                f"--loopback: {args.loopback} is the microphone's channel, needed another"
            )
    except ValueError as problem:
        raise RoomcheckError(f"roomcheck measure: {problem}") from problem
    if args.sensitivity is not None:
        from_sensitivity(args.sensitivity)
    if args.microphone_file:
        read_correction(args.microphone_file)


def _channel(said: str) -> int:
    if not said.isdecimal() or int(said) < 1:
        raise argparse.ArgumentTypeError(f"{said!r}: channels count from 1")
    return int(said)


def _device(said: str | None) -> int | str | None:
    return int(said) if said is not None and said.isdecimal() else said


def _nothing() -> contextlib.AbstractContextManager[None]:
    return contextlib.nullcontext()
