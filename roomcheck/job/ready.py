"""What a job is ready for, and what is missing for which stage."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from typing import Literal

from roomcheck.facts import Fact, Kind, fact
from roomcheck.geometry import distance_m
from roomcheck.job.model.job import Job, VisitName
from roomcheck.job.model.kinds import FramingKind, ShopMaterial
from roomcheck.job.read.takes import TakeFile, VisitFiles, visit_files
from roomcheck.job.write.signed import Signed, change_paths, read_changes, read_signed, signed_path
from roomcheck.standards import OutsideScope, UnknownUse, target_for
from roomcheck.standards.iso_3382_2_2008 import GRADES

Stage = Literal["measure", "analyse", "recommend", "build and quote", "verify", "report"]
Pair = tuple[str, str]

SURVEY_PAIRS = 2
ENGINEERING_PAIRS = 6
_OFF_SURFACES_M = 1.0
_APART_M = 2.0
_SLACK_M = 1e-3


class Missing(Kind):
    """What stands in the way of a stage."""

    NO_SOURCE = "no_source"
    NO_MICROPHONE = "no_microphone"
    FEW_PAIRS = "few_pairs"
    BELOW_GRADE = "below_grade"
    NO_CONDITIONS = "no_conditions"
    UNKNOWN_USE = "unknown_use"
    OUTSIDE_SCOPE = "outside_scope"
    NO_RECORDINGS = "no_recordings"
    NOT_SIGNED = "not_signed"


class Hint(Kind):
    """What would make a stage better."""

    SURVEY_ONLY = "survey_only"
    NEAR_SURFACE = "near_surface"
    NEAR_EACH_OTHER = "near_each_other"
    NO_SEAT = "no_seat"
    PAIRS_ABSENT = "pairs_absent"
    NO_BUDGET = "no_budget"
    NO_OPENING = "no_opening"
    NOTHING_KEPT_CLEAR = "nothing_kept_clear"
    NO_FRAMING = "no_framing"
    FRAMING_UNKNOWN = "framing_unknown"
    SHEATHING_UNKNOWN = "sheathing_unknown"
    MATERIAL_UNKNOWN = "material_unknown"
    PLANNING_VALUES = "planning_values"
    PAIRS_CHOSEN = "pairs_chosen"
    FEWER_THAN_SIGNED = "fewer_than_signed"
    NOT_MEASURED_AFTER = "not_measured_after"
    NOT_MEASURED_BEFORE = "not_measured_before"
    NO_COMPLAINT = "no_complaint"
    NO_CERTIFICATE = "no_certificate"
    STRAYS = "strays"
    UNREADABLE_TAKE = "unreadable_take"
    RECORDINGS_GONE = "recordings_gone"
    SAME_RECORDING = "same_recording"
    CHANGED_BY_HAND = "changed_by_hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """Whether a job is ready for one stage."""

    stage: Stage
    missing: tuple[Fact[Missing], ...]
    """What stands in the way; empty where the job is ready."""
    notes: tuple[Fact[Hint], ...] = ()
    """What would make it better."""

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
    ----------
    ISO 3382-2:2008: number of positions by grade (survey 2 pairs, engineering 6), microphones half
    a wavelength apart (usually 2 m) and a quarter of one off every surface (usually 1 m); from
    memory.
    """
    files = [visit_files(job.folder, visit) for visit in ("before", "after")]
    before, after = (_pairs_in(job, one) for one in files)
    analyse = _analyse(job, before, "before")
    recommend = Readiness(stage="recommend", missing=analyse.missing, notes=_recommend_notes(job))
    return (
        _measure(job),
        replace(analyse, notes=(*analyse.notes, *_folder_notes(job, files))),
        recommend,
        Readiness(stage="build and quote", missing=analyse.missing, notes=_build_notes(job)),
        _verify(job, before, after),
        Readiness(stage="report", missing=analyse.missing, notes=_report_notes(job, after)),
    )


def takes(job: Job, visit: VisitName) -> tuple[Pair, ...]:
    """(source, microphone) of every recording of a visit, by the facts beside it."""
    return _pairs_in(job, visit_files(job.folder, visit))


def _pairs_in(job: Job, files: VisitFiles) -> tuple[Pair, ...]:
    found = {(t.facts.source, t.facts.microphone) for t in files.takes}
    return tuple(pair for pair in job.pairs if pair in found)


def _folder_notes(job: Job, visits: Sequence[VisitFiles]) -> tuple[Fact[Hint], ...]:
    """What lies in the job's folder and counts for nothing."""
    notes, strays = [], strays_of(job.folder)
    for files in visits:
        strays += [*files.strays]
        for path, problem in files.unreadable:
            why = " ".join(str(problem).split())
            file = path.relative_to(job.folder).as_posix()
            notes.append(fact(Hint.UNREADABLE_TAKE, file=file, why=why))
    if strays:
        names = tuple(path.relative_to(job.folder).as_posix() for path in strays)
        notes.append(fact(Hint.STRAYS, files=names))
    return (*notes, *_recording_notes(job, visits))


def _recording_notes(job: Job, visits: Sequence[VisitFiles]) -> list[Fact[Hint]]:
    """Takes whose recording is gone, and recordings that both visits have, which none can."""

    def named(take: TakeFile) -> str:
        return take.path.relative_to(job.folder).as_posix()

    notes = []
    gone = tuple(named(t) for files in visits for t in files.takes if t.recording is None)
    if gone:
        notes.append(fact(Hint.RECORDINGS_GONE, files=gone))
    before, after = ({t.facts.sha256: named(t) for t in files.takes} for files in visits)
    both = tuple(f"{name} = {after[sha]}" for sha, name in before.items() if sha in after)
    if both:
        notes.append(fact(Hint.SAME_RECORDING, files=both))
    return notes


def strays_of(folder: Path) -> list[Path]:
    """Copies of the job's own files under other names, as folders that are kept the same on two
    machines leave them where both wrote: they count for nothing."""
    own = {folder / "job.toml", folder / "shop.toml"}
    own |= {signed_path(folder), *change_paths(folder)}
    there = [*folder.glob("*.toml*"), *(folder / "signed").glob("*.toml*")]
    return sorted(path for path in there if path not in own)


def _named(pairs: Iterable[Pair]) -> tuple[str, ...]:
    return tuple(f"{source}-{microphone}" for source, microphone in pairs)


def _measure(job: Job) -> Readiness:
    missing: list[Fact[Missing]] = []
    if not job.sources:
        missing.append(fact(Missing.NO_SOURCE))
    if not job.microphones:
        missing.append(fact(Missing.NO_MICROPHONE))
    pairs = len(job.pairs)
    if not missing and pairs < SURVEY_PAIRS:
        missing.append(fact(Missing.FEW_PAIRS, pairs=pairs, needed=SURVEY_PAIRS))
    grade = next(grade for grade in GRADES if grade.name == job.grade)
    short = pairs < grade.combinations or len(job.sources) < grade.sources
    if not missing and short:
        missing.append(
            fact(
                Missing.BELOW_GRADE,
                pairs=pairs,
                sources=len(job.sources),
                grade=grade.name,
                needed_pairs=grade.combinations,
                needed_sources=grade.sources,
            )
        )
    if job.visit("before") is None:
        missing.append(fact(Missing.NO_CONDITIONS, visit="before"))
    return Readiness(stage="measure", missing=tuple(missing), notes=_position_notes(job, pairs))


def _position_notes(job: Job, pairs: int) -> tuple[Fact[Hint], ...]:
    notes = []
    engineering = pairs >= ENGINEERING_PAIRS and len(job.sources) >= 2
    if pairs >= SURVEY_PAIRS and not engineering:
        notes.append(fact(Hint.SURVEY_ONLY, pairs=pairs))
    for position in (*job.sources, *job.microphones):
        off_m = job.room.distance_to_surface_m(position.point)
        if off_m < _OFF_SURFACES_M - _SLACK_M:
            notes.append(
                fact(Hint.NEAR_SURFACE, name=position.name, off_m=off_m, least_m=_OFF_SURFACES_M)
            )
    for a, b in combinations(job.microphones, 2):
        apart_m = distance_m(a.point, b.point)
        if apart_m < _APART_M - _SLACK_M:
            notes.append(
                fact(
                    Hint.NEAR_EACH_OTHER,
                    names=(a.name, b.name),
                    apart_m=apart_m,
                    least_m=_APART_M,
                )
            )
    if job.microphones and job.seat is None:
        notes.append(fact(Hint.NO_SEAT))
    return tuple(notes)


def _no_target(job: Job) -> list[Fact[Missing]]:
    """Why the room's use gives no target, said before a visit rather than after it."""
    try:
        target_for(job.use, job.room.volume_m3, job.own_target)
    except UnknownUse as problem:
        return [fact(Missing.UNKNOWN_USE, use=problem.use, near=problem.near)]
    except OutsideScope as problem:
        outside = fact(
            Missing.OUTSIDE_SCOPE,
            document=problem.document,
            volume_m3=problem.volume_m3,
            low_m3=problem.low_m3,
            high_m3=problem.high_m3,
        )
        return [outside]
    return []


def _analyse(job: Job, recorded: tuple[Pair, ...], visit: VisitName) -> Readiness:
    missing = _no_target(job)
    if job.visit(visit) is None:
        missing.append(fact(Missing.NO_CONDITIONS, visit=visit))
    if not recorded:
        missing.append(fact(Missing.NO_RECORDINGS, visit=visit))
    absent = [pair for pair in job.pairs_at(visit) if pair not in recorded]
    notes: tuple[Fact[Hint], ...] = ()
    if recorded and absent:
        notes = (fact(Hint.PAIRS_ABSENT, pairs=_named(absent)),)
    return Readiness(stage="analyse", missing=tuple(missing), notes=notes)


def _recommend_notes(job: Job) -> tuple[Fact[Hint], ...]:
    notes = []
    if job.budget is None:
        notes.append(fact(Hint.NO_BUDGET))
    if not any(patch.opening for patch in job.patches):
        notes.append(fact(Hint.NO_OPENING))
    if not job.keep_clear:
        notes.append(fact(Hint.NOTHING_KEPT_CLEAR))
    return tuple(notes)


def _build_notes(job: Job) -> tuple[Fact[Hint], ...]:
    screwed = [
        face.name
        for face in job.room.faces
        if face.kind != "floor" and job.fixing_of(face.name) == "screws"
    ]
    bare = tuple(name for name in screwed if job.framing_of(name) is None)
    unknown = tuple(f.face for f in job.framing if f.kind is FramingKind.UNKNOWN)
    thin = tuple(
        f.face for f in job.framing if f.kind is FramingKind.WOOD_STUDS and f.sheathing_m is None
    )
    strange = tuple(
        price.item for price in job.shop.prices if price.material is ShopMaterial.UNKNOWN
    )
    notes = []
    if bare:
        notes.append(fact(Hint.NO_FRAMING, faces=bare))
    if unknown:
        notes.append(fact(Hint.FRAMING_UNKNOWN, faces=unknown))
    if thin:
        notes.append(fact(Hint.SHEATHING_UNKNOWN, faces=thin))
    if strange:
        notes.append(fact(Hint.MATERIAL_UNKNOWN, items=strange))
    if job.shop.made_up:
        notes.append(fact(Hint.PLANNING_VALUES))
    return tuple(notes)


def _verify(job: Job, before: tuple[Pair, ...], after: tuple[Pair, ...]) -> Readiness:
    missing = [*_analyse(job, before, "before").missing, *_analyse(job, after, "after").missing]
    signed = read_signed(job.folder)
    if signed is None:
        missing.append(fact(Missing.NOT_SIGNED))
    missed = [pair for pair in before if pair in job.pairs_at("after") and pair not in after]
    more = [pair for pair in after if pair not in before]
    notes = []
    papers = (*((signed,) if signed else ()), *read_changes(job.folder))
    for paper in papers:
        if paper.by_hand:
            notes.append(fact(Hint.CHANGED_BY_HAND, file=f"signed/{paper.path.name}"))
    notes += _pairs_chosen(job, signed)
    if after and missed:
        notes.append(fact(Hint.NOT_MEASURED_AFTER, pairs=_named(missed)))
    if after and more:
        notes.append(fact(Hint.NOT_MEASURED_BEFORE, pairs=_named(more)))
    return Readiness(stage="verify", missing=tuple(missing), notes=tuple(notes))


def _pairs_chosen(job: Job, signed: Signed | None) -> list[Fact[Hint]]:
    """The pairs of the second visit where their number was chosen, and whether they are fewer than
    signed."""
    if job.pairs_after is None:
        return []
    pairs = job.pairs_at("after")
    notes = [fact(Hint.PAIRS_CHOSEN, pairs=_named(pairs))]
    promise = signed.plain.get("plan", {}).get("promise", {}) if signed else {}
    if len(pairs) < promise.get("positions", 0):
        notes.append(fact(Hint.FEWER_THAN_SIGNED, signed=promise["positions"], chosen=len(pairs)))
    return notes


def _report_notes(job: Job, after: tuple[Pair, ...]) -> tuple[Fact[Hint], ...]:
    notes = []
    if not job.complaint:
        notes.append(fact(Hint.NO_COMPLAINT))
    if not after:
        notes.append(fact(Hint.NO_CERTIFICATE))
    return tuple(notes)
