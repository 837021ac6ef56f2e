"""What a job is ready for, and what is missing for which stage."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import distance_m
from roomcheck.job.model.job import Job, VisitName
from roomcheck.job.spots import tape
from roomcheck.job.toml.disk import CannotRead, read_text
from roomcheck.job.write.signed import read_signed
from roomcheck.standards import target_for
from roomcheck.standards.iso_3382_2_2008 import GRADES

Stage = Literal["measure", "analyse", "recommend", "build and quote", "verify", "report"]
Pair = tuple[str, str]

SURVEY_PAIRS = 2
ENGINEERING_PAIRS = 6
_OFF_SURFACES_M = 1.0
_APART_M = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """Whether a job is ready for one stage.

    Attributes
    ----------
    stage : str
    missing : tuple of str
        What stands in the way, and what to do; empty where the job is ready.
    notes : tuple of str
        What would make it better.
    """

    stage: Stage
    missing: tuple[str, ...]
    notes: tuple[str, ...] = ()

    @property
    def ready(self) -> bool:
        return not self.missing


def check_job(job: Job) -> tuple[Readiness, ...]:
    """What a job is ready for.

    Parameters
    ----------
    job : Job
        Its file has no mistakes, or it would not have loaded; the folder's takes and what is signed
        are looked at here.

    Returns
    -------
    tuple of Readiness
        measure, analyse, recommend, build and quote, verify, report, in the order of a job.

    References
    ---------- ISO 3382-2:2008: number of positions by grade (survey 2 pairs, engineering 6),
    microphones half a wavelength apart (usually 2 m) and a quarter of one off every surface
    (usually 1 m); from memory.
    """
    before, after = takes(job, "before"), takes(job, "after")
    analyse = _analyse(job, before, "before")
    recommend = Readiness(stage="recommend", missing=analyse.missing, notes=_recommend_notes(job))
    return (
        _measure(job),
        analyse,
        recommend,
        Readiness(stage="build and quote", missing=analyse.missing, notes=_build_notes(job)),
        _verify(job, before, after),
        Readiness(stage="report", missing=analyse.missing, notes=_report_notes(job, after)),
    )


def takes(job: Job, visit: VisitName) -> tuple[Pair, ...]:
    """(source, microphone) of every recording of a visit, by the facts beside it."""
    found: set[Pair] = set()
    for path in sorted((job.folder / "takes" / visit).glob("*.toml")):
        try:
            facts = tomllib.loads(read_text(path))
        except (CannotRead, ValueError, RecursionError):
            continue
        pair = (str(facts.get("source")), str(facts.get("microphone")))
        if pair in _pairs(job):
            found.add(pair)
    return tuple(pair for pair in _pairs(job) if pair in found)


def _pairs(job: Job) -> tuple[Pair, ...]:
    return tuple((s.name, m.name) for s in job.sources for m in job.microphones)


def _named(pairs: Iterable[Pair]) -> str:
    return ", ".join(f"{source}-{microphone}" for source, microphone in pairs)


def _measure(job: Job) -> Readiness:
    missing = [] if job.sources else ["no source: add a [[source]], where the loudspeaker stands"]
    missing += (
        []
        if job.microphones
        else ["no microphone: add a [[microphone]] for every place to measure at"]
    )
    pairs = len(_pairs(job))
    if not missing and pairs < SURVEY_PAIRS:
        missing = [
            f"{pairs} pair of source and microphone; a survey needs {SURVEY_PAIRS}: add a "
            "[[microphone]]"
        ]
    wanted = next(grade for grade in GRADES if grade.name == job.grade)
    if not missing and (pairs < wanted.combinations or len(job.sources) < wanted.sources):
        missing.append(
            f"{pairs} pairs from {len(job.sources)} sources; {wanted.name} grade, which the job "
            f"wants, needs {wanted.combinations} from {wanted.sources}: add positions"
        )
    if job.visit("before") is None:
        missing.append(
            'no conditions: add a [[visit]] named "before" with date, temperature and humidity'
        )
    return Readiness(stage="measure", missing=tuple(missing), notes=_position_notes(job, pairs))


def _position_notes(job: Job, pairs: int) -> tuple[str, ...]:
    notes = []
    if pairs >= SURVEY_PAIRS and not (pairs >= ENGINEERING_PAIRS and len(job.sources) >= 2):
        notes.append(
            f"{pairs} pairs are a survey; 2 sources x 3 microphones would make it engineering grade"
        )
    for position in (*job.sources, *job.microphones):
        off = job.room.distance_to_surface_m(position.point)
        if off < _OFF_SURFACES_M - 1e-3:
            said, least = tape(off, job.units), tape(_OFF_SURFACES_M, job.units)
            notes.append(
                f"{position.name} stands {said} off a surface; {least} or more where the room "
                "allows"
            )
    for a, b in combinations(job.microphones, 2):
        apart = distance_m(a.point, b.point)
        if apart < _APART_M - 1e-3:
            said, least = tape(apart, job.units), tape(_APART_M, job.units)
            notes.append(
                f"{a.name} and {b.name} are {said} apart; {least} or more where the room allows"
            )
    if job.microphones and job.seat is None:
        notes.append("no `seat`: say which microphone stands where it matters most")
    return tuple(notes)


def _no_target(job: Job) -> list[str]:
    """Why the room's use gives no target, said before a visit rather than after it."""
    try:
        target_for(job.use, job.room.volume_m3, job.own_target)
    except RoomcheckError as problem:
        return [f"no target: {problem}"]
    return []


def _analyse(job: Job, found: tuple[Pair, ...], visit: VisitName) -> Readiness:
    missing = _no_target(job)
    if job.visit(visit) is None:
        missing.append(
            f'no conditions: add a [[visit]] named "{visit}" with date, temperature and humidity'
        )
    if not found:
        missing.append(
            f"no recordings in takes/{visit}: roomcheck measure, or roomcheck add for each "
            "recording, "
            f'with "--visit {visit}"'
        )
    absent = [pair for pair in _pairs(job) if pair not in found]
    notes = (f"no recording yet at {_named(absent)}",) if found and absent else ()
    return Readiness(stage="analyse", missing=tuple(missing), notes=notes)


def _recommend_notes(job: Job) -> tuple[str, ...]:
    notes = []
    if job.budget is None:
        notes.append("no `budget`: the plan that the budget buys cannot be told from the others")
    if not any(patch.opening for patch in job.patches):
        notes.append(
            "no door or window: add a [[patch]] with `opening = true`, or pieces may be planned "
            "over it"
        )
    if not job.keep_clear:
        notes.append(
            "nothing to keep clear: is there no outlet, switch, vent, sprinkler or detector?"
        )
    return tuple(notes)


def _build_notes(job: Job) -> tuple[str, ...]:
    open_faces = [
        f.name for f in job.room.faces if f.kind != "floor" and job.fixing_of(f.name) == "screws"
    ]
    bare = [name for name in open_faces if job.framing_of(name) is None]
    notes = []
    if bare:
        notes.append(
            f"no [[framing]] for {', '.join(bare)}: screws there cannot be planned onto studs or "
            "joists"
        )
    if job.shop.made_up:
        notes.append(
            "the shop's stock, prices and rates are planning values: put your own into shop.toml"
        )
    return tuple(notes)


def _verify(job: Job, before: tuple[Pair, ...], after: tuple[Pair, ...]) -> Readiness:
    missing = list(_analyse(job, before, "before").missing) + list(
        _analyse(job, after, "after").missing
    )
    if read_signed(job.folder) is None:
        missing.append(
            "nothing is signed: roomcheck quote with --sign keeps plan, promise and price"
        )
    missed = [pair for pair in before if pair not in after]
    more = [pair for pair in after if pair not in before]
    notes = []
    if after and missed:
        notes.append(f"measured before and not after: {_named(missed)}")
    if after and more:
        notes.append(f"measured after and not before, so not compared: {_named(more)}")
    return Readiness(stage="verify", missing=tuple(missing), notes=tuple(notes))


def _report_notes(job: Job, after: tuple[Pair, ...]) -> tuple[str, ...]:
    notes = []
    if not job.complaint:
        notes.append("no `complaint`: the client's own sentence heads the proposal")
    if not after:
        notes.append("no certificate yet: it comes with the second visit")
    return tuple(notes)
