"""What is settled on site before anything is recorded: positions, conditions, level."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING

from roomcheck.cli.site.asking import Answers, EndedHere, tell, telling
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Position, Visit, amend_job
from roomcheck.typed import TypedError, parse_length, parse_percent, parse_temperature
from roomcheck.units import format_length
from roomcheck.words import Reader

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
    tell(f"\nWhere things stand. {_axes(job)} Lengths with a unit, such as {_such(job)}.")
    sources = _positions(job, answers, "S", "Loudspeaker", 1.5) if not job.sources else []
    microphones = _positions(job, answers, "P", "Microphone", 1.2) if not job.microphones else []
    return amend_job(job.folder, sources=sources, microphones=microphones)


def _axes(job: Job) -> str:
    """What x, y and z are, in this room."""
    if not job.room.is_box:
        return "x and y are those of the room's corners in job.toml, z goes up from the floor."
    south, east, _, west = (face for face in job.room.faces if face.kind == "wall")
    sizes = (format_length(wall.width_m, job.units) for wall in (south, east))
    return (
        f"Start in the corner of the {south.name} and the {west.name} wall: x goes along the "
        f"{south.name} wall ({next(sizes)}), y along the {west.name} wall ({next(sizes)}), z up "
        "from the floor."
    )


def _such(job: Job) -> str:
    return "7' 2\" or 86 in" if job.units == "imperial" else "2.18 m or 218 cm"


def _lists(job: Job) -> tuple[tuple[str, bool], ...]:
    return (("[[source]]", bool(job.sources)), ("[[microphone]]", bool(job.microphones)))


def _positions(
    job: Job, answers: Answers, letter: str, what: str, height_m: float
) -> list[Position]:
    from roomcheck.geometry import Point

    found: list[Position] = []
    while True:
        name = f"{letter}{len(found) + 1}"
        x = answers.text(
            f"{what} {name}, x{'' if not found else ' (return: no more)'}",
            "",
            _length_or_empty(found),
        )
        if not x:
            return found
        y = answers.text(f"{what} {name}, y", "", _length_problem)
        z = answers.text(f"{what} {name}, z", format_length(height_m, job.units), _length_problem)
        point = Point(parse_length(x), parse_length(y), parse_length(z))
        if not job.room.holds(point):
            tell(f"    {name} would stand outside the room; once more, please.")
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
        tell(
            f"Conditions as job.toml has them: {_told(old)}. Where they are not so, say it: "
            "--temperature 70F, …"
        )
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
    told = Visit(
        name="after" if visit == "after" else "before",
        date=old.date if old else date.today().isoformat(),
        temperature_c=float(temperature),
        humidity_pct=float(humidity),
        people=_people(said["people"], old),
        settings=old.settings if old else "",
        **{key: said[key] if said[key] is not None else getattr(old, key, "") for key in _WORDS},
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
    tell(
        "\nThe conditions, because before and after can only be compared where they are alike. "
        "Return takes what is in brackets; a rough value is better than none."
    )

    def word(key: str) -> str:
        return getattr(other, key) if other is not None else ""

    def people(text: str) -> str | None:
        return None if text.isdigit() else "a whole number, please"

    questions: tuple[tuple[str, str, str, Callable[[str], str | None]], ...] = (
        (
            "temperature",
            "Temperature in the room (70 F, 21 C)",
            "",
            partial(_problem, parse_temperature),
        ),
        (
            "humidity",
            "Relative humidity (45 %)",
            "",
            partial(_problem, parse_percent),
        ),
        (
            "people",
            "People in the room while it records",
            str(other.people) if other else "1",
            people,
        ),
        ("doors", "Doors and windows", word("doors") or "shut", lambda _: None),
        ("hvac", "Heating and ventilation", word("hvac") or "off", lambda _: None),
        ("gain", "Gain and volume, as you marked them", word("gain"), lambda _: None),
    )
    for key, question, default, problem in questions:
        if said[key] is None:
            said[key] = answers.text(question, default, problem)


def _typed(option: str, said: str, read: Callable[[str], float | Decimal]) -> float:
    try:
        return float(read(said))
    except TypedError as problem:
        raise RoomcheckError(f"{option}: {problem}") from problem


def _people(said: str | None, old: Visit | None) -> int:
    if said is None:
        return old.people if old else 1
    if not said.isdigit():
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
    say = telling(reader)
    say(fact(Level.CAUTION))
    if args.as_given:
        seconds = args.seconds or 10.0
        tell(f"Sweep of {seconds:g} s at {ceiling:g} dB re full scale, as given.")
        return ceiling, seconds, None
    first = min(START_DBFS, ceiling)
    tell("\nLevel first. Put loudspeaker and microphone at the first position for it:")
    for place in where:
        say(place)
    asked = (
        "nothing gets louder without your yes"
        if answers.asks
        else f"nothing gets louder than {ceiling:g} dB"
    )
    question = (
        f"A quiet test sweep of 2 s at {first:g} dB (0 dB is the most that the output can give); "
        f"{asked}."
    )
    if answers.choose(question, ("play", "stop")) == "stop":
        raise EndedHere

    def confirm(now_dbfs: float, next_dbfs: float) -> bool:
        choice = answers.choose(
            f"Louder, from {now_dbfs:.0f} to {next_dbfs:.0f} dB?", ("louder", "enough", "stop")
        )
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
        tell=say,
        channel=args.input_channel,
        lengths_s=(args.seconds,) if args.seconds else LENGTHS_S,
    )
    say(found.remark)
    return found.level_dbfs, found.seconds, found
