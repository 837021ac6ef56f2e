"""The measurement held against ISO 3382-2: its quality for page one, and the standard's list of
what a report states, item by item with the answer or the deviation.

The list is ISO 3382-2:2008, clause 9, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from roomcheck.analyse import Analysis, GradeLack
from roomcheck.job import Job, Visit
from roomcheck.judge import Verdict
from roomcheck.report.pages.parts import room_facts
from roomcheck.report.render.blocks import Block, Facts, Heading, Table, Text
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.units import band_name
from roomcheck.words import Reader, counted, joined, say, sentences, temperature, volume

REPORTED_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
"""Octaves that the standard wants for engineering and precision; the survey needs fewer."""
_TOO_NEAR = (GradeLack.NEAR_SURFACE, GradeLack.NEAR_MICROPHONE, GradeLack.NEAR_SOURCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Quality:
    """How far a measurement carries."""

    least_db: float | None
    """Least decay above the noise, octaves 125 Hz to 4 kHz, the noisiest pair [dB]."""
    least_at_hz: float | None
    """The octave of it [Hz]."""
    pairs: int
    silent_hz: tuple[float, ...]
    """Octaves of these without a value [Hz]."""
    deviations: tuple[str, ...]
    """From ISO 3382-2, in words."""
    weak: bool
    """Whether the verdict rests on too little."""


def quality_of(job: Job, analysis: Analysis) -> Quality:
    """Range, pairs and deviations of one visit."""
    ranges = [
        (band.range_db, band.band_hz)
        for position in analysis.positions
        for band in position.octaves
        if band.range_db is not None and band.band_hz in REPORTED_HZ
    ]
    least_db, least_at_hz = min(ranges, default=(None, None))
    silent = tuple(
        hz
        for hz in REPORTED_HZ
        if not analysis.is_modal(hz) and ((band := analysis.octave(hz)) is None or not band.t20)
    )
    short = least_db is not None and least_db < iso.T20_RANGE_DB
    return Quality(
        least_db=least_db,
        least_at_hz=least_at_hz,
        pairs=len({(p.source, p.microphone) for p in analysis.positions}),
        silent_hz=silent,
        deviations=tuple(_deviations(job, analysis, silent)),
        weak=analysis.grade == "none" or bool(silent) or short,
    )


def _deviations(job: Job, analysis: Analysis, silent: tuple[float, ...]) -> Iterator[str]:
    visit = job.visit(analysis.visit)
    if visit is None or not visit.omnidirectional:
        yield say("dev_source")
    if analysis.grade == "none":
        yield say("dev_pairs")
    if any(lack.kind in _TOO_NEAR for lack in analysis.lacking):
        yield say("dev_near")
    if silent:
        yield say("dev_octaves", bands=joined([band_name(hz) for hz in silent]))
    if visit is None:
        yield say("dev_conditions")
    elif not visit.equipment:
        yield say("dev_equipment")
    if not analysis.signals:
        yield say("dev_signal")


def quality_blocks(job: Job, analysis: Analysis) -> tuple[Block, ...]:
    """How good the measurement is and what may be concluded, for page one."""
    quality = quality_of(job, analysis)
    grade = say("grade_none") if analysis.grade == "none" else analysis.grade
    facts = [(say("quality_pairs"), counted(quality.pairs, "pair"))]
    if quality.least_db is not None and quality.least_at_hz is not None:
        says = say(
            "quality_range_says",
            db=f"{quality.least_db:.0f}",
            band=band_name(quality.least_at_hz),
            needed=f"{iso.T20_RANGE_DB:.0f}",
        )
        facts.append((say("quality_range"), says))
    facts += [
        (say("grade"), grade),
        (say("deviations"), "; ".join(quality.deviations) or say("deviations_none")),
        (say("quality_means"), say("quality_weak" if quality.weak else "quality_fine")),
    ]
    return (Heading(text=say("quality_title")), Facts(pairs=tuple(facts)))


def item_by_item(job: Job, analysis: Analysis, verdict: Verdict | None) -> tuple[Block, ...]:
    """The statement of accordance, then the standard's list."""
    quality = quality_of(job, analysis)
    items = tuple(_items(job, analysis, quality))
    table = Table(
        heads=(say("head_asked"), say("head_stated")),
        rows=items,
        align=("left", "left"),
        wide=1,
        note=say("note_items"),
    )
    return (
        Heading(text=say("items_title")),
        Text(body=accordance(analysis, quality)),
        table,
    )


def accordance(analysis: Analysis, quality: Quality) -> str:
    """Whether the measurement is after the standard, and in what it is not."""
    if analysis.grade == "none":
        return say("accord_none", deviations="; ".join(quality.deviations))
    if not quality.deviations:
        return say("accord_whole", grade=analysis.grade)
    return say("accord_except", grade=analysis.grade, deviations="; ".join(quality.deviations))


def _items(job: Job, analysis: Analysis, quality: Quality) -> Iterator[tuple[str, str]]:
    visit = job.visit(analysis.visit)
    facts = dict(room_facts(job))
    missing = say("item_missing")
    yield say("item_room"), ", ".join(filter(None, (job.title, job.client, job.client_address)))
    yield say("item_plan"), say("item_plan_says")
    yield say("item_shape"), _shape(job, facts[say("room")])
    yield say("volume"), volume(job.room.volume_m3, job)
    yield say("item_state"), f"{facts[say('materials')]}. {facts[say('furniture')]}"
    yield say("item_people"), str(visit.people) if visit else missing
    yield say("item_air"), _air(job, visit) if visit else missing
    yield say("item_source"), _source(visit)
    yield say("item_equipment"), (visit.equipment if visit else "") or missing
    yield say("item_serials"), (visit.serials if visit else "") or missing
    signals = "; ".join(sentences(analysis.signals, Reader("acoustician")))
    yield say("signal"), signals or missing
    yield say("item_method"), say("item_method_says")
    yield say("item_grade"), analysis.grade if analysis.grade != "none" else say("grade_none")
    yield say("item_places"), _places(analysis)
    yield say("item_range"), say("item_range_says")
    yield say("item_average"), say("item_average_says", pairs=quality.pairs)
    yield say("item_results"), _results(quality)
    yield say("item_unsure"), say("item_unsure_says")
    yield say("item_noise"), say("item_noise_yes" if analysis.noise else "noise_not_measured")
    shop = ", ".join(filter(None, (job.shop.name, job.shop.address)))
    yield say("measured_by"), shop or missing
    yield say("date"), visit.date if visit else missing


def _air(job: Job, visit: Visit) -> str:
    return f"{temperature(visit.temperature_c, job)}, {visit.humidity_pct:.0f} %"


def _shape(job: Job, sizes: str) -> str:
    """What the plan is, and its sizes."""
    if job.room.is_box:
        return say("item_shape_box", sizes=sizes)
    return say("item_shape_other", corners=len(job.room.corners), sizes=sizes)


def _results(quality: Quality) -> str:
    """Where they stand, and which of those that are asked for are not there."""
    if not quality.silent_hz:
        return say("item_results_say")
    bands = joined([band_name(hz) for hz in quality.silent_hz])
    return f"{say('item_results_say')} {say('item_results_lack', bands=bands)}"


def _source(visit: Visit | None) -> str:
    omnidirectional = visit is not None and visit.omnidirectional
    return say("item_source_all_round" if omnidirectional else "item_source_directed")


def _places(analysis: Analysis) -> str:
    places = {(p.source, p.microphone) for p in analysis.positions}
    return say(
        "measured_at",
        sources=len({source for source, _ in places}),
        microphones=len({microphone for _, microphone in places}),
        pairs=len(places),
    )
