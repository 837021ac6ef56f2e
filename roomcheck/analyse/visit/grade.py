"""Which grade of ISO 3382-2 the positions of a visit reach, and what the next one lacks."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

from roomcheck.analyse.visit.results import Grade, GradeLack, PositionDecays, SourceNote
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.units import SPEED_OF_SOUND_M_S


def grade(
    positions: tuple[PositionDecays, ...],
    job: Job,
    mid_s: float | None,
    speed_m_s: float = SPEED_OF_SOUND_M_S,
    *,
    omnidirectional: bool = False,
) -> tuple[Grade, tuple[Fact[GradeLack], ...]]:
    """The grade, then everything the next one lacks and every position rule that is broken.

    Engineering and precision are not given while a rule is broken; survey is. Precision asks for a
    source that sends alike in all directions (ISO 3382-2:2008, 4.2.1, from memory).

    Parameters
    ----------
    mid_s : float or None
        Mean decay of 500 Hz and 1 kHz, for the distance to the source. [s]
    speed_m_s : float
        Of sound. [m/s]
    omnidirectional : bool
        Whether the job says so of the visit's source.
    """
    sources = {position.source for position in positions}
    microphones = {position.microphone for position in positions}
    pairs = {(position.source, position.microphone) for position in positions}
    broken = broken_rules(pairs, job, mid_s, speed_m_s)
    reached: Grade = "none"
    missing: list[Fact[GradeLack]] = []
    for step in iso.GRADES:
        counted = (
            (GradeLack.TOO_FEW_SOURCES, len(sources), step.sources),
            (GradeLack.TOO_FEW_MICROPHONES, len(microphones), step.microphones),
            (GradeLack.TOO_FEW_PAIRS, len(pairs), step.combinations),
        )
        missing = [
            fact(kind, grade=step.name, needed=needed, there=there)
            for kind, there, needed in counted
            if there < needed
        ]
        if not missing and broken and step.name != "survey":
            missing = [fact(GradeLack.RULES_BROKEN, grade=step.name)]
        if not missing and step.name == "precision" and not omnidirectional:
            missing = [fact(GradeLack.DIRECTED_SOURCE, grade=step.name)]
        if missing:
            break
        reached = step.name
    return reached, (*missing, *broken)


def broken_rules(
    pairs: set[tuple[str, str]],
    job: Job,
    mid_s: float | None,
    speed_m_s: float = SPEED_OF_SOUND_M_S,
) -> tuple[Fact[GradeLack], ...]:
    """Every position that is too near to a surface, to another, or to the source.

    Half a wavelength between microphones and a quarter to a surface: what is nearer serves from a
    higher frequency on, and the fact holds from which. [s], [m/s]
    """
    places = {p.name: p.point for p in (*job.sources, *job.microphones)}
    sources, microphones = sorted({s for s, _ in pairs}), sorted({m for _, m in pairs})
    unknown = [name for name in (*sources, *microphones) if name not in places]
    mics = {name: places[name] for name in microphones if name in places}
    broken = [fact(GradeLack.NO_PLACE, position=name) for name in unknown]
    broken += _near_surfaces(mics, job, speed_m_s)
    broken += _near_each_other(mics, speed_m_s)
    if mid_s is not None:
        least_m = iso.least_source_distance_m(job.room.volume_m3, mid_s, speed_m_s)
        known = [(s, m) for s, m in sorted(pairs) if s in places and m in places]
        broken += _near_sources(known, places, least_m)
    return tuple(broken)


def _near_surfaces(mics: dict[str, Point], job: Job, speed_m_s: float) -> list[Fact[GradeLack]]:
    """A quarter of a wavelength from every surface."""
    near = []
    for name, place in mics.items():
        away_m = job.room.distance_to_surface_m(place)
        if _short(away_m, iso.FROM_SURFACES_M):
            ranges = _serves(away_m, iso.FROM_SURFACES_M, 0.25, speed_m_s)
            near.append(fact(GradeLack.NEAR_SURFACE, position=name, **ranges))
    return near


def _near_each_other(mics: dict[str, Point], speed_m_s: float) -> list[Fact[GradeLack]]:
    """Half a wavelength between microphones."""
    near = []
    for (a, place_a), (b, place_b) in combinations(mics.items(), 2):
        away_m = distance_m(place_a, place_b)
        if _short(away_m, iso.BETWEEN_MICROPHONES_M):
            ranges = _serves(away_m, iso.BETWEEN_MICROPHONES_M, 0.5, speed_m_s)
            near.append(fact(GradeLack.NEAR_MICROPHONE, position=a, other=b, **ranges))
    return near


def _near_sources(
    pairs: list[tuple[str, str]], places: dict[str, Point], least_m: float
) -> list[Fact[GradeLack]]:
    near = []
    for source, microphone in pairs:
        away_m = distance_m(places[source], places[microphone])
        if _short(away_m, least_m):
            near.append(
                fact(
                    GradeLack.NEAR_SOURCE,
                    position=microphone,
                    other=source,
                    away_m=away_m,
                    needed_m=least_m,
                )
            )
    return near


def _short(away_m: float, needed_m: float) -> bool:
    return away_m < needed_m - 1e-9


def _serves(
    away_m: float, needed_m: float, wavelengths: float, speed_m_s: float
) -> dict[str, float | None]:
    """The distance, and the frequency from which it holds so many wavelengths."""
    serves_hz = iso.lowest_hz(away_m, wavelengths, speed_m_s) if away_m > 0 else None
    return {
        "away_m": away_m,
        "needed_m": needed_m,
        "needed_from_hz": iso.lowest_hz(needed_m, wavelengths, speed_m_s),
        "serves_from_hz": serves_hz,
    }


def source_notes(positions: tuple[PositionDecays, ...]) -> tuple[Fact[SourceNote], ...]:
    """What the loudspeaker's direction does to the numbers, and whether several directions were
    averaged.

    Takes of one source and microphone count as directions of that source: the loudspeaker is turned
    between them.
    """
    if not positions:
        return ()
    takes = Counter((position.source, position.microphone) for position in positions)
    least = min(takes.values())
    sources = len({source for source, _ in takes})
    if least >= 3:
        return (fact(SourceNote.DIRECTIONS_AVERAGED, takes=least),)
    if sources > 1:
        return (fact(SourceNote.SOURCES_AVERAGED, sources=sources),)
    return (fact(SourceNote.ONE_DIRECTION),)
