"""Check the drawn plan for what a person has to look at: warnings, never approvals.

Worked out from the drawn rectangles alone, so that it also sees what a person pinned.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

from roomcheck.facts import Value, fact
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, KeepClear, Placement
from roomcheck.recommend.places.clear import LEADING_M, PROJECTS_M, refused
from roomcheck.recommend.places.space import TINY_M
from roomcheck.recommend.reasons import CheckSubject, PlanCaution
from roomcheck.recommend.results import Check

DOORSTEP_M = 0.05
"""An opening that begins lower is a door. [m]"""

HAIR_M = 1e-3
"""Distances that are short by less are kept. [m]"""

ITEM_KG, PER_AREA_KG_M2, STUD_KG = 34.0, 24.4, 22.7
"""From which an engineer has to say yes: 75 lb an item, 5 lb a square foot of wall (common
practice); and from which one stud's share is named: 50 lb. [kg] [kg/m2] [kg]"""

CLOUD_M = 1.22
"""A cloud wider than 4 ft is generally taken as an obstruction that needs sprinklers below it
(common practice). [m]"""

SUBJECTS: dict[CheckSubject, tuple[str, ...]] = {
    CheckSubject.SPRINKLERS: ("sprinkler", "smoke detector", "heat detector", "alarm"),
    CheckSubject.VENTS: ("supply vent", "return vent"),
    CheckSubject.HEATERS: ("radiator", "heater", "light"),
    CheckSubject.DOORS: ("door swing", "exit sign", "hatch"),
    CheckSubject.OUTLETS: ("outlet", "switch", "thermostat", "electrical panel"),
    CheckSubject.IN_SIGHT: ("whiteboard", "screen", "picture", "shelf", "furniture", "other"),
}
"""Kinds of things to keep clear of, by what a check of them is about."""

ASKED = (CheckSubject.SPRINKLERS, CheckSubject.VENTS, CheckSubject.OUTLETS)
"""Subjects that every room has something of: a job that names nothing of them was not looked at."""

USUAL_M = {
    "sprinkler": 0.457,
    "smoke detector": 0.914,
    "heat detector": 0.914,
    "alarm": 0.914,
    "supply vent": 0.305,
    "return vent": 0.152,
    "radiator": 0.152,
    "heater": 0.152,
    "light": 0.076,
    "electrical panel": 0.457,
}
"""Distances to a piece below which it is named even where the job asks for less (common practice).
[m]"""


def checks(job: Job, pieces: Sequence[Placement]) -> tuple[Check, ...]:
    """Return everything on a drawn plan that asks for a second look.

    Parameters
    ----------
    job : Job
    pieces : sequence of Placement

    Returns
    -------
    tuple of Check
        By subject, in the order in which people walk round a room; empty where nothing hangs.
    """
    if not pieces:
        return ()
    groups = (
        _egress,
        _zones,
        _openings,
        _rules,
        _weights,
        _overhead,
        _papers,
        _unknown,
    )
    return tuple(check for group in groups for check in group(job, pieces))


def _check(
    subject: CheckSubject, kind: PlanCaution, pieces: Iterable[str] = (), **values: Value
) -> Check:
    return Check(subject=subject, caution=fact(kind, **values), pieces=tuple(pieces))


def _egress(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    walks = any(zone.kind == "walkway" for zone in job.keep_clear)
    depths = {p.name: job.shop.piece(p.piece).depth_m for p in pieces if _leads(job, p)}
    deep = {name: depth_m for name, depth_m in depths.items() if depth_m > PROJECTS_M + TINY_M}
    if deep and not walks:
        yield _check(CheckSubject.EGRESS, PlanCaution.PROJECTS, deep, depth_m=max(deep.values()))
    swings = any(zone.kind == "door swing" for zone in job.keep_clear)
    doors = tuple(p.name for p in job.patches if p.opening and p.place.v_m < DOORSTEP_M)
    if doors and not swings:
        yield _check(CheckSubject.DOORS, PlanCaution.NO_SWING_DRAWN, doors=doors)


def _leads(job: Job, placed: Placement) -> bool:
    return (
        job.room.face(placed.face).kind == "wall"
        and LEADING_M[0] < placed.place.v_m <= LEADING_M[1]
    )


def _zones(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    for zone in job.keep_clear:
        usual_m = USUAL_M.get(zone.kind, 0.0)
        least_m = max(zone.clearance_m, usual_m) + zone.within_m - HAIR_M
        near = []
        for placed in pieces:
            apart_m = _apart(job, placed, zone)
            if apart_m is not None and apart_m < least_m:
                near.append((apart_m, placed.name))
        if near:
            near.sort()
            subjects = (subject for subject, kinds in SUBJECTS.items() if zone.kind in kinds)
            yield _check(
                next(subjects, CheckSubject.IN_SIGHT),
                PlanCaution.NEAR,
                (name for _, name in near),
                thing=zone.name,
                apart_m=near[0][0],
            )


def _apart(job: Job, placed: Placement, zone: KeepClear) -> float | None:
    """Distance between the outlines of a piece and a thing on the same face, 0 where they overlap.
    [m]"""
    if placed.face != zone.face:
        return None
    return _between(placed.place, zone.place)


def _between(a: Rectangle, b: Rectangle) -> float:
    beside = max(a.u_m - b.right_m, b.u_m - a.right_m, 0.0)
    over = max(a.v_m - b.top_m, b.v_m - a.top_m, 0.0)
    return float((beside**2 + over**2) ** 0.5)


def _openings(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    for patch in (p for p in job.patches if p.opening):
        here = [p for p in pieces if p.face == patch.face]
        over = [p.name for p in here if p.place.overlap_m2(patch.place) > TINY_M]
        if over:
            yield _check(CheckSubject.DOORS, PlanCaution.OVER_OPENING, over, opening=patch.name)


def _rules(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    """What a person pinned against the planner's own rules."""
    for placed in pieces:
        face, piece = job.room.face(placed.face), job.shop.piece(placed.piece)
        caution = refused(job, piece, face, placed.place)
        if caution is not None:
            yield Check(subject=CheckSubject.EGRESS, caution=caution, pieces=(placed.name,))


def _weights(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    for placed in pieces:
        weight_kg = job.shop.piece(placed.piece).weight_kg
        if weight_kg > ITEM_KG:
            named = (placed.name,)
            yield _check(CheckSubject.WEIGHT, PlanCaution.HEAVY_PIECE, named, weight_kg=weight_kg)
    for face in (f for f in job.room.faces if f.kind == "wall"):
        yield from _wall_weight(job, face, [p for p in pieces if p.face == face.name])


def _wall_weight(job: Job, face: Face, here: Sequence[Placement]) -> Iterable[Check]:
    per_area = sum(job.shop.piece(p.piece).weight_kg for p in here) / face.area_m2
    if per_area > PER_AREA_KG_M2:
        yield _check(
            CheckSubject.WEIGHT,
            PlanCaution.HEAVY_WALL,
            (p.name for p in here),
            face=face.name,
            weight_kg_per_m2=per_area,
        )
    framing = job.framing_of(face.name)
    if framing is None or framing.spacing_m is None or framing.first_m is None:
        return
    spacing_m, first_m = framing.spacing_m, framing.first_m
    loads = _stud_loads(job, spacing_m, first_m, here)
    stud = max(loads, key=lambda number: loads[number][0], default=None)
    if stud is not None and loads[stud][0] > STUD_KG:
        weight_kg, names = loads[stud]
        yield _check(
            CheckSubject.WEIGHT,
            PlanCaution.LOADED_STUD,
            names,
            face=face.name,
            at_m=first_m + stud * spacing_m,
            weight_kg=weight_kg,
        )


def _stud_loads(
    job: Job, spacing_m: float, first_m: float, here: Sequence[Placement]
) -> dict[int, tuple[float, list[str]]]:
    """Weight on each stud, a piece shared evenly by those behind it, with the pieces' names.
    [kg]"""
    loads: dict[int, tuple[float, list[str]]] = {}
    for placed in here:
        piece = job.shop.piece(placed.piece)
        if piece.kind == "corner":
            continue
        left, right = placed.place.u_m - first_m, placed.place.right_m - first_m
        first = max(ceil(left / spacing_m - 1e-9), 0)
        last = int(right / spacing_m + 1e-9)
        studs = range(first, last + 1)
        for stud in studs:
            load_kg, names = loads.get(stud, (0.0, []))
            loads[stud] = (load_kg + piece.weight_kg / len(studs), [*names, placed.name])
    return loads


def _overhead(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    above = [p for p in pieces if job.room.face(p.face).kind == "ceiling"]
    if not above:
        return
    grid = all(job.fixing_of(p.face) == "grid" for p in above)
    kind = PlanCaution.OVERHEAD_GRID if grid else PlanCaution.OVERHEAD_JOISTS
    yield _check(CheckSubject.OVERHEAD, kind, (p.name for p in above))
    wide = [p.name for p in above if min(p.place.width_m, p.place.height_m) > CLOUD_M + HAIR_M]
    if wide and any(zone.kind == "sprinkler" for zone in job.keep_clear):
        yield _check(CheckSubject.SPRINKLERS, PlanCaution.WIDE_CLOUD, wide, widest_m=CLOUD_M)


def _papers(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    bare: dict[str, list[str]] = {}
    for placed in pieces:
        if not job.shop.piece(placed.piece).fire_papers:
            bare.setdefault(placed.piece, []).append(placed.name)
    if bare:
        named = (name for names in bare.values() for name in names)
        yield _check(CheckSubject.FIRE_PAPERS, PlanCaution.NO_FIRE_PAPERS, named, stock=tuple(bare))


def _unknown(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    used = {p.face for p in pieces}
    unframed = [f for f in job.room.faces if f.name in used and job.framing_of(f.name) is None]
    hung_ceiling = all(f.kind == "ceiling" and job.fixing_of(f.name) == "grid" for f in unframed)
    if unframed and not hung_ceiling:
        faces = tuple(face.name for face in unframed)
        yield _check(CheckSubject.WEIGHT, PlanCaution.FRAMING_UNKNOWN, faces=faces)
    noted = {zone.kind for zone in job.keep_clear}
    missing = tuple(subject for subject in ASKED if not noted & set(SUBJECTS[subject]))
    if missing:
        yield _check(CheckSubject.NOT_NOTED, PlanCaution.NOT_NOTED, subjects=missing)
