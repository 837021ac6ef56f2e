"""No two things that a report says of one room contradict each other, over random rooms."""

from __future__ import annotations

import dataclasses
import math
import os
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from statistics import fmean
from typing import Any

import numpy as np
import pytest

from roomcheck.analyse import Analysis, analyse
from roomcheck.geometry import Point, Room
from roomcheck.job import Job, Position, Visit, read_shop
from roomcheck.judge import FindingKind, Outcome, Remedy, Verdict, judge
from roomcheck.measure.signal.signals import ImpulseResponse, Measurement, TakeCheck
from roomcheck.report import text_of
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.words import Reader, finding_notice, finding_title, verdict_sentence

SHOP = read_shop(Path(str(files("roomcheck.job") / "shop_metric.toml")))
ROOMS = int(os.environ.get("ROOMCHECK_VERDICTS", "4"))
"""Random rooms; ROOMCHECK_VERDICTS=100 takes a hundred."""
RATE_HZ = 24_000
C_M_S = 343.0
USES = ("voice booth", "podcast room", "meeting room", "classroom", "amplified rehearsal room",
        "control room", "home cinema", "cafe", "lecture room DIN A2")  # fmt: skip
SMALL = ("voice booth", "podcast room", "amplified rehearsal room", "control room", "home cinema")
SIZES_M = {
    True: ((2.0, 5.5), (2.0, 4.5), (2.2, 3.2)),
    False: ((4.2, 9.0), (4.0, 7.0), (3.0, 4.0)),
}
"""Length, width and height of rooms for small uses, and of others. [m]"""
GOOD_STI = 0.60
"""From here the document calls speech good (IEC 60268-16, as a meter's manual has it)."""
SAME_ARRIVAL_S = 2e-4
SAME_NOTE = 2 ** (1 / 12)

CLIENT = Reader("client")


def a_room(seed: int) -> tuple[Job, Analysis, Verdict]:
    """A box of any use, measured: walls that throw back more or less, a decay behind them."""
    rng = np.random.default_rng([19, seed])
    use = USES[seed % len(USES)]
    room = Room.box(*(float(rng.uniform(low, high)) for low, high in SIZES_M[use in SMALL]))
    job = _job(rng, room, use)
    decays_s = np.exp(rng.uniform(math.log(0.15), math.log(1.8))) * np.exp(
        rng.normal(0, 0.2, 8) + np.linspace(rng.normal(0, 0.3), rng.normal(0, 0.3), 8)
    )
    takes = [
        _take(rng, job, source, microphone, decays_s)
        for source in job.sources
        for microphone in job.microphones
    ]
    analysis = analyse(takes, job=job, visit="before")
    return job, analysis, judge(analysis, job)


def _job(rng: np.random.Generator, room: Room, use: str) -> Job:
    sizes = _sizes_m(room)

    def spot(name: str) -> Position:
        return Position(name=name, point=Point(*(float(rng.uniform(0.2, 0.8)) * s for s in sizes)))

    empty = {field.name: () for field in dataclasses.fields(Job)}
    texts = dict.fromkeys(("client", "title", "complaint"), "made up")
    visit = Visit(name="before", date="2026-05-04", temperature_c=20.0, humidity_pct=50.0)
    named: dict[str, Any] = {
        **{field.name: field.default for field in dataclasses.fields(Job)
           if field.default is not dataclasses.MISSING},
        **{name: value for name, value in empty.items() if name in _LISTS},
        **texts,
        "use": use,
        "folder": Path(),
        "made_up": True,
        "own_target": None,
        "units": "metric",
        "paper": "a4",
        "currency": "€",
        "budget": None,
        "seat": "P1",
        "shop": SHOP,
        "room": room,
        "materials": tuple((face.name, "painted brick") for face in room.faces),
        "sources": tuple(spot(f"S{i}") for i in range(1, int(rng.integers(2, 4)))),
        "microphones": tuple(spot(f"P{i}") for i in range(1, int(rng.integers(3, 5)))),
        "visits": (visit,),
    }  # fmt: skip
    return Job(**named)


def _sizes_m(room: Room) -> tuple[float, float, float]:
    """Length, width, height of a box. [m]"""
    from roomcheck.analyse import size_of

    size = size_of(room)
    assert size is not None
    return size


_LISTS = {
    field.name
    for field in dataclasses.fields(Job)
    if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
}


def _take(
    rng: np.random.Generator, job: Job, source: Position, microphone: Position, decays_s: Any
) -> Measurement:
    frames = RATE_HZ * 2
    time_s = np.arange(frames) / RATE_HZ
    hz = np.fft.rfftfreq(frames, 1 / RATE_HZ)
    metres = math.dist(source.point, microphone.point)
    response = np.zeros(frames)
    begun = time_s > metres / C_M_S
    for octave, decay_s in enumerate(decays_s):
        centre = 63 * 2**octave
        mask = np.cos(np.pi / 2 * np.clip(np.abs(np.log2(np.maximum(hz, 1) / centre)), 0, 1))
        noise = np.fft.irfft(mask * np.fft.rfft(rng.standard_normal(frames)), frames)
        # A pulse of unit energy in a diffuse room: c / V a second.
        level = math.sqrt(C_M_S / job.room.volume_m3 / RATE_HZ)
        response += level * begun * noise * 10 ** (-3 * (time_s - metres / C_M_S) / decay_s)
    sizes = _sizes_m(job.room)
    arrivals = [(metres, 1.0)]
    for axis in range(3):
        for wall in (0.0, sizes[axis]):
            image = list(source.point)
            image[axis] = 2 * wall - image[axis]
            arrivals.append((math.dist(image, microphone.point), float(rng.uniform(0.05, 0.9))))
    for path_m, gain in arrivals:
        response[round(path_m / C_M_S * RATE_HZ)] += gain / path_m / math.sqrt(4 * math.pi)
    response += 10 ** rng.uniform(-6, -4.5) * rng.standard_normal(frames)
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0)
    return Measurement(
        source=source.name, microphone=microphone.name, take="a", check=check,
        response=ImpulseResponse(samples=response, rate_hz=RATE_HZ),
    )  # fmt: skip


Said = tuple[Job, Analysis, Verdict, str]
"""What is judged, and the report's own text."""


def _kinds(said: Said) -> set[FindingKind]:
    return {finding.kind for finding in said[2].findings}


def _of(said: Said, kind: FindingKind) -> list[Any]:
    return [finding.measured for finding in said[2].findings if finding.kind is kind]


def _remedies(said: Said) -> set[Remedy]:
    return {remedy.kind for finding in said[2].findings for remedy in finding.remedies}


def _octave(said: Said, band_hz: float) -> Outcome | None:
    return next((b.outcome for b in said[2].bands if b.band_hz == band_hz), None)


def too_live_and_too_dead(said: Said) -> bool:
    return {FindingKind.TOO_LIVE, FindingKind.TOO_DEAD} <= _kinds(said)


def nothing_wrong_with_findings(said: Said) -> bool:
    return bool(said[2].findings) and "Nothing is wrong" in verdict_sentence(said[2], CLIENT)


def the_mean_is_right_and_a_finding_on_it(said: Said) -> bool:
    on_it = {FindingKind.TOO_LIVE, FindingKind.TOO_DEAD} & _kinds(said)
    return bool(on_it) and said[2].mid.outcome is Outcome.WITHIN


def words_that_are_strained_for_and_good(said: Said) -> bool:
    known = [float(p.speech.sti) for p in said[1].positions if p.speech and p.speech.sti]
    good = bool(known) and fmean(known) >= GOOD_STI
    return good and ("strain" in said[3] or "Words get lost" in said[3])


def bring_and_take_away_soft_things(said: Said) -> bool:
    take_away = {Remedy.TAKE_DOWN_SOFT_THINGS, Remedy.TAKE_DOWN_THIN}
    bring = {Remedy.ADD_SOFT_THINGS, Remedy.ADD_ABSORPTION}
    return bool(take_away & _remedies(said)) and bool(bring & _remedies(said))


def thin_panels_for_and_against(said: Said) -> bool:
    return {Remedy.NO_THIN_PANELS, Remedy.PANELS_ON_BARE} <= _remedies(said)


def dull_where_the_treble_is_too_long(said: Said) -> bool:
    return FindingKind.DULL in _kinds(said) and _octave(said, 4000.0) is Outcome.TOO_LONG


def boomy_where_the_bass_is_too_short(said: Said) -> bool:
    short = (Outcome.TOO_SHORT, Outcome.WITHIN)
    return FindingKind.BOOMY in _kinds(said) and _octave(said, 125.0) in short


def unclear_in_a_dead_room(said: Said) -> bool:
    return {FindingKind.TOO_DEAD, FindingKind.UNCLEAR_SPEECH} <= _kinds(said) and any(
        measured["everywhere"] for measured in _of(said, FindingKind.UNCLEAR_SPEECH)
    )


def a_note_that_rings_and_is_missing(said: Said) -> bool:
    rings = [measured["frequency_hz"] for measured in _of(said, FindingKind.RINGING_MODE)]
    holes = [hole[2] for m in _of(said, FindingKind.MISSING_NOTE) for hole in m["holes"]]
    return any(max(a, b) / min(a, b) < SAME_NOTE for a in rings for b in holes)


def no_modes_and_one_that_rings(said: Said) -> bool:
    return FindingKind.RINGING_MODE in _kinds(said) and "no room resonance is sure" in said[3]


def a_wall_and_no_wall_at_one_arrival(said: Said) -> bool:
    walls = [FindingKind.EARLY_REFLECTION, FindingKind.SLAP]
    things = [FindingKind.EARLY_OBJECT, FindingKind.HOLLOW]
    by_walls, by_things = (
        [
            (measured["source"], measured["microphone"], measured["delay_s"])
            for kind in kinds
            for measured in _of(said, kind)
        ]
        for kinds in (walls, things)
    )
    return any(
        a[:2] == b[:2] and abs(a[2] - b[2]) < SAME_ARRIVAL_S for a in by_walls for b in by_things
    )


def one_title_twice(said: Said) -> bool:
    titles = [finding_title(f, CLIENT) + finding_notice(f, CLIENT) for f in said[2].findings]
    return len(titles) > len(set(titles))


def noise_that_was_not_measured(said: Said) -> bool:
    return FindingKind.NOISE in _kinds(said) and "noise was not measured" in said[3]


def no_grade_and_in_accordance(said: Said) -> bool:
    return said[1].grade == "none" and "Measured in accordance with" in said[3]


def relied_on_without_a_value(said: Said) -> bool:
    judged = [b.outcome for b in said[2].bands if b.has_limit and 125 <= b.band_hz <= 4000]
    return Outcome.NOT_MEASURED in judged and "may be relied on" in said[3]


def no_deviation_and_some(said: Said) -> bool:
    return "Deviation: " in said[3] and re_none(said[3])


def re_none(text: str) -> bool:
    return "Deviations from ISO 3382-2 none" in text


RULES: tuple[Callable[[Said], bool], ...] = (
    too_live_and_too_dead,
    nothing_wrong_with_findings,
    the_mean_is_right_and_a_finding_on_it,
    words_that_are_strained_for_and_good,
    bring_and_take_away_soft_things,
    thin_panels_for_and_against,
    dull_where_the_treble_is_too_long,
    boomy_where_the_bass_is_too_short,
    unclear_in_a_dead_room,
    a_note_that_rings_and_is_missing,
    no_modes_and_one_that_rings,
    a_wall_and_no_wall_at_one_arrival,
    one_title_twice,
    noise_that_was_not_measured,
    no_grade_and_in_accordance,
    relied_on_without_a_value,
    no_deviation_and_some,
)


def report_text(job: Job, analysis: Analysis, verdict: Verdict) -> str:
    document = measurement_report(job, analysis, verdict)
    return " ".join(text_of(document.blocks, width=10_000).split())


def test_no_two_findings_contradict_each_other(
    monkeypatch: pytest.MonkeyPatch, record_property: Callable[[str, object], None]
) -> None:
    from roomcheck.report.pages import measurement as pages

    monkeypatch.setattr(pages, "decays_svg", lambda *_: "<svg/>")
    kinds: dict[FindingKind, int] = {}
    broken = []
    for seed in range(ROOMS):
        job, analysis, verdict = a_room(seed)
        said = (job, analysis, verdict, report_text(job, analysis, verdict))
        for kind in _kinds(said):
            kinds[kind] = kinds.get(kind, 0) + 1
        broken += [(seed, rule.__name__) for rule in RULES if rule(said)]
    record_property("verdict_rooms", ROOMS)
    record_property("verdict_rules", len(RULES))
    record_property("verdict_kinds", len(kinds))
    record_property("contradictions", len(broken))
    assert not broken
    assert len(kinds) >= 3, kinds
