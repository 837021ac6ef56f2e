"""What is settled on site before anything is recorded: positions, conditions, level."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, Any

from roomcheck.cli.site.asking import Answers, EndedHere, telling
from roomcheck.cli.terminal import tell
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Position, Visit, amend_job
from roomcheck.typed import TypedError, parse_length, parse_percent, parse_temperature
from roomcheck.words import Reader, length, say

if TYPE_CHECKING:
    from roomcheck.measure import LevelFound, SoundCard, Walk

UNATTENDED_DBFS, ATTENDED_DBFS = -24.0, -6.0
"""The most that is played where no --level says otherwise: with nobody there, and with somebody who
confirms each step up. [dB re full scale]"""


def settle_positions(job: Job, answers: Answers) -> Job:
    """Ask for loudspeaker and microphone places where the job lists none, and write them into
    it."""
    if job.sources and job.microphones:
        return job
    if not answers.asks:
        lacking = " and no ".join(kind for kind, there in _lists(job) if not there)
        raise RoomcheckError(
            f"{job.folder / 'job.toml'}: no {lacking} in it; add them, its comments show how, or "
            "run roomcheck measure without --yes and it asks"
        )
    tell(say("ask_places", axes=_axes(job), such=say(f"such_{job.units}")))
    sources, microphones = list[Position](), list[Position]()
    if not job.sources:
        sources = _positions(job, answers, "S", "ask_loudspeaker", 1.5)
    if not job.microphones:
        microphones = _positions(job, answers, "P", "ask_microphone", 1.2)
    return amend_job(job.folder, sources=sources, microphones=microphones)


def _axes(job: Job) -> str:
    """What x, y and z are, in this room."""
    if not job.room.is_box:
        return say("axes_of_corners")
    south, east, _, west = (face for face in job.room.faces if face.kind == "wall")
    return say(
        "axes_of_box",
        south=south.name,
        west=west.name,
        along=length(south.width_m, job),
        across=length(east.width_m, job),
    )


def _lists(job: Job) -> tuple[tuple[str, bool], ...]:
    return (("[[source]]", bool(job.sources)), ("[[microphone]]", bool(job.microphones)))


def _positions(
    job: Job, answers: Answers, letter: str, question: str, height_m: float
) -> list[Position]:
    from roomcheck.geometry import Point

    found: list[Position] = []
    while True:
        name = f"{letter}{len(found) + 1}"
        first = say(question, name=name, axis="x")
        if found:
            first = say("or_no_more", question=first)
        x = answers.text(first, "", _length_or_empty(found))
        if not x:
            return found
        y = answers.text(say(question, name=name, axis="y"), "", _length_problem)
        usual = length(height_m, job)
        z = answers.text(say(question, name=name, axis="z"), usual, _length_problem)
        point = Point(parse_length(x), parse_length(y), parse_length(z))
        if not job.room.holds(point):
            tell(say("outside_room", name=name))
            continue
        found.append(Position(name=name, point=point))


def _problem(read: Callable[[str], float | Decimal], said: str) -> str | None:
    """What is wrong with an answer; None where it can be read."""
    try:
        read(said)
    except TypedError as problem:
        return str(problem)
    return None


_length_problem = partial(_problem, parse_length)


def _length_or_empty(found: list[Position]) -> Callable[[str], str | None]:
    return lambda said: None if found and not said else _length_problem(said)


def settle_conditions(job: Job, visit: str, args: argparse.Namespace, answers: Answers) -> Job:
    """The visit's conditions, from options, from the job, or by asking; written into the job."""
    old = job.visit(visit)
    said = {
        key: getattr(args, key)
        for key in ("temperature", "humidity", "people", "doors", "hvac", "gain", "notes")
    }
    if old is not None and all(value is None for value in said.values()):
        tell(say("conditions_are", conditions=_told(old)))
        return job
    if old is None and answers.asks:
        _ask_conditions(job, visit, said, answers)
    if old is None and (said["temperature"] is None or said["humidity"] is None):
        return job
    temperature = old.temperature_c if old else 0.0
    humidity = old.humidity_pct if old else 0.0
    if said["temperature"] is not None:
        temperature = _typed("--temperature", said["temperature"], parse_temperature)
    if said["humidity"] is not None:
        humidity = _typed("--humidity", said["humidity"], parse_percent)
    words: dict[str, Any] = {
        key: said[key] if said[key] is not None else getattr(old, key, "") for key in _WORDS
    }
    told = Visit(
        name="after" if visit == "after" else "before",
        date=old.date if old else date.today().isoformat(),
        temperature_c=float(temperature),
        humidity_pct=float(humidity),
        people=_people(said["people"], old),
        settings=old.settings if old else "",
        omnidirectional=old is not None and old.omnidirectional,
        serials=old.serials if old else "",
        **words,
    )
    return amend_job(job.folder, visits=[told])


def _told(visit: Visit) -> str:
    fahrenheit = visit.temperature_c * 9 / 5 + 32
    words = (("doors", visit.doors), ("ventilation", visit.hvac), ("gain", visit.gain))
    return ", ".join(
        [
            f"{visit.temperature_c:.0f} °C ({fahrenheit:.0f} °F)",
            f"{visit.humidity_pct:.0f} % humidity",
            f"{visit.people} in the room",
            *(f"{name}: {said}" for name, said in words if said),
        ]
    )


_WORDS = ("doors", "hvac", "gain", "notes")


def _ask_conditions(job: Job, visit: str, said: dict[str, str | None], answers: Answers) -> None:
    other = job.visit("before" if visit == "after" else "after")
    tell(say("ask_conditions"))

    for key, problem in _ASKED.items():
        if said[key] is not None:
            continue
        usual = say(f"usual_{key}") if key in _REPEATED else ""
        if other is not None and key in _REPEATED:
            usual = str(getattr(other, key)) or usual
        said[key] = answers.text(say(f"ask_{key}"), usual, problem)


def _no_problem(text: str) -> str | None:
    return None


def _people_problem(text: str) -> str | None:
    return None if text.isdecimal() else say("whole_number")


_ASKED: dict[str, Callable[[str], str | None]] = {
    "temperature": partial(_problem, parse_temperature),
    "humidity": partial(_problem, parse_percent),
    "people": _people_problem,
    "doors": _no_problem,
    "hvac": _no_problem,
    "gain": _no_problem,
}
"""Conditions that are asked for, and what finds fault with an answer."""

_REPEATED = ("people", "doors", "hvac", "gain")
"""Conditions that are likely what they were at the other visit."""


def _typed(option: str, said: str, read: Callable[[str], float | Decimal]) -> float:
    try:
        return float(read(said))
    except TypedError as problem:
        raise RoomcheckError(f"{option}: {problem}") from problem


def _people(said: str | None, old: Visit | None) -> int:
    if said is None:
        return old.people if old else 1
    if not said.isdecimal():
        raise RoomcheckError(f"--people {said!r}: needed a whole number")
    return int(said)


def settle_level(
    card: SoundCard,
    args: argparse.Namespace,
    answers: Answers,
    reader: Reader,
    where: tuple[Fact[Walk], ...],
) -> tuple[float, float, LevelFound | None]:
    """Level and length of the sweep: as given, or quietly first and up to what the noise needs.
    [dB], [s]"""
    from roomcheck.measure import LENGTHS_S, START_DBFS, Level, find_level

    ceiling = (
        args.level if args.level is not None else ATTENDED_DBFS if answers.asks else UNATTENDED_DBFS
    )
    tell_fact = telling(reader)
    tell_fact(fact(Level.CAUTION))
    if args.as_given:
        seconds = args.seconds or 10.0
        tell(say("sweep_as_given", seconds=seconds, level_dbfs=ceiling))
        return ceiling, seconds, None
    first = min(START_DBFS, ceiling)
    tell(say("level_first"))
    for place in where:
        tell_fact(place)
    louder = say("louder_to_ceiling", ceiling_dbfs=ceiling)
    if answers.asks:
        louder = say("louder_by_yes")
    question = say("ask_quiet_sweep", first_dbfs=first, louder=louder)
    if answers.choose(question, ("play", "stop")) == "stop":
        raise EndedHere

    def confirm(now_dbfs: float, next_dbfs: float) -> bool:
        question = say("ask_louder", now_dbfs=now_dbfs, next_dbfs=next_dbfs)
        choice = answers.choose(question, ("louder", "enough", "stop"))
        if choice == "stop":
            raise EndedHere
        return choice == "louder"

    found = find_level(
        card,
        rate_hz=args.rate,
        low_hz=args.low,
        high_hz=args.high,
        ceiling_dbfs=ceiling,
        confirm=confirm,
        tell=tell_fact,
        channel=args.input_channel,
        lengths_s=(args.seconds,) if args.seconds else LENGTHS_S,
    )
    tell_fact(found.remark)
    return found.level_dbfs, found.seconds, found
