"""The measurement report: what ISO 3382-2 asks to be reported, with the verdict in front."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from roomcheck import __version__
from roomcheck.analyse import Analysis, BandMean, DecayWarning, MeanRemark, Reason
from roomcheck.facts import Fact, Kind
from roomcheck.geometry import Point
from roomcheck.job import Job
from roomcheck.judge import BandVerdict, Judged, Verdict
from roomcheck.measure import Measurement
from roomcheck.report.figures.figures import TELEPHONE_IN, decays_svg
from roomcheck.report.pages.findings import finding_blocks, verdict_box
from roomcheck.report.pages.low_end import decay_curves, low_end
from roomcheck.report.pages.parts import blocks, plan_picture, rights, room_facts, visit_facts
from roomcheck.report.pages.reflections import what_answers
from roomcheck.report.pages.speech_and_noise import speech_and_noise
from roomcheck.report.pages.standard_report import item_by_item, quality_blocks, quality_of
from roomcheck.report.render.blocks import (
    Block,
    Bullets,
    Document,
    Facts,
    Heading,
    Picture,
    Table,
    Text,
)
from roomcheck.units import band_name
from roomcheck.words import (
    NONE,
    Reader,
    bands_sentences,
    decibels,
    left_out,
    length,
    limits,
    mean_name,
    plus_minus,
    say,
    seconds,
    sentences,
)


def measurement_report(
    job: Job, analysis: Analysis, verdict: Verdict | None = None, takes: Sequence[Measurement] = ()
) -> Document:
    """The report of one visit; without a verdict it only states numbers, without its takes it shows
    no curves."""
    reader = Reader(who="client", units=job.units)
    visit = job.visit(analysis.visit)
    date = visit.date if visit else NONE
    weak = quality_of(job, analysis).weak
    box = (verdict_box(verdict, reader, weak=weak),) if verdict else ()
    notes = sentences(analysis.notes, Reader(who="acoustician", units=job.units))
    return Document(
        name=f"measurement-{analysis.visit}",
        title=say("measurement_title"),
        subtitle=say("measurement_sub", title=job.title, visit=say(analysis.visit), date=date),
        blocks=blocks(
            box,
            quality_blocks(job, analysis),
            decays_picture(job, analysis, verdict),
            findings_titled(verdict, reader),
            Heading(text=say("per_octave")),
            decay_tables(analysis, verdict),
            decay_curves(job, analysis, takes),
            low_end(job, analysis, takes),
            what_answers(job, analysis, takes),
            speech_and_noise(analysis),
            _target(analysis, verdict, reader),
            Heading(text=say("where")),
            plan_picture(job),
            _positions(job),
            Heading(text=say("conditions")),
            Facts(pairs=_conditions(job, analysis)),
            reasons_and_lacks(job, analysis),
            item_by_item(job, analysis, verdict),
            Heading(text=say("method_title")),
            Text(body=" ".join((say("method", version=__version__), *notes))),
            _each_pair(analysis),
        ),
    )


def decays_picture(job: Job, analysis: Analysis, verdict: Verdict | None) -> Picture:
    """The octaves against their limits, as a picture that says its numbers."""
    values = ", ".join(
        f"{band_name(b.band_hz)} {seconds(b.t20_s, *_ends(verdict, b.band_hz))} s"
        for b in analysis.octaves
        if b.t20_s
    )
    use = verdict.target.title if verdict else job.use
    return Picture(
        svg=decays_svg(analysis, verdict),
        narrow=decays_svg(analysis, verdict, TELEPHONE_IN),
        alt=say("alt_decays", values=values),
        caption=say("cap_decays", use=lower(use)),
    )


def lower(text: str) -> str:
    """A title in the middle of a sentence: its first letter small, unless it is a name in
    capitals."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def _ends(verdict: Verdict | None, band_hz: float) -> tuple[float | None, float | None]:
    judged = _verdict_of(verdict, band_hz)
    return (judged.low_s, judged.high_s) if judged else (None, None)


def _verdict_of(verdict: Verdict | None, band_hz: float) -> BandVerdict | None:
    bands = verdict.bands if verdict else ()
    return next((band for band in bands if band.band_hz == band_hz), None)


def findings_titled(verdict: Verdict | None, reader: Reader) -> tuple[Block, ...]:
    """What is wrong, each with its evidence and what helps."""
    if verdict is None or not verdict.findings:
        return ()
    each = (finding_blocks(finding, reader) for finding in verdict.findings)
    return blocks(Heading(text=say("found_title")), *each)


def decay_tables(
    analysis: Analysis, verdict: Verdict | None, *, thirds: bool = False
) -> tuple[Table, Table]:
    """T20 of every band against its limits, and the other decays and clarity."""
    heads = ("head_band", "head_t20", "head_95", "head_limits", "head_verdict")
    more = (
        *("head_t30", "head_edt", "head_c50", "head_c80", "head_d50", "head_ts", "head_n"),
        "head_shape",
    )
    means = analysis.thirds if thirds else analysis.octaves
    # Limits are those of octaves.
    judged_by = None if thirds else verdict
    rows = [_judged_row(mean, judged_by, analysis.is_modal(mean.band_hz)) for mean in means]
    mean_row = _mean_row(judged_by)
    return (
        Table(
            heads=tuple(map(say, heads)),
            rows=(*rows, *mean_row),
            align=("left", "right", "right", "right", "left"),
            wide=4,
            strong=tuple(range(len(rows), len(rows) + len(mean_row))),
        ),
        Table(
            heads=(say("head_band"), *map(say, more)),
            rows=tuple(map(_more_row, means)),
            align=rights(len(more)),
            wide=0,
            note=say("note_bands"),
        ),
    )


def _mean_row(verdict: Verdict | None) -> tuple[tuple[str, ...], ...]:
    """The mean over the middle bands, where the target judges one."""
    if verdict is None or verdict.mid.value_s is None:
        return ()
    mid = verdict.mid
    return (_row(mean_name(mid.bands_hz), mid.value_s, mid.u_s, mid),)


def _judged_row(mean: BandMean, verdict: Verdict | None, modal: bool) -> tuple[str, ...]:
    judged = _verdict_of(verdict, mean.band_hz)
    row = _row(band_name(mean.band_hz), mean.t20_s, mean.t20_u_s, judged)
    if modal and verdict is None:
        return (*row[:-1], say("outcome_modal"))
    return row


def _row(name: str, value: float | None, u: float | None, judged: Judged | None) -> tuple[str, ...]:
    ends = (judged.low_s, judged.high_s) if judged else (None, None)
    outcome = say(f"outcome_{judged.outcome}") if judged else NONE
    return name, seconds(value, *ends), plus_minus(u), limits(*ends, value), outcome


def _more_row(mean: BandMean) -> tuple[str, ...]:
    t30, edt, c50, c80 = (
        estimate.value if estimate else None
        for estimate in (mean.t30, mean.edt, mean.c50, mean.c80)
    )
    d50 = f"{mean.d50.value:.2f}" if mean.d50 else NONE
    ts_ms = f"{1000 * mean.ts.value:.0f}" if mean.ts else NONE
    clarity = (decibels(c50), decibels(c80), d50, ts_ms)
    times = (seconds(t30), seconds(edt))
    return (band_name(mean.band_hz), *times, *clarity, str(mean.positions), _shape(mean))


_SHAPES: dict[Kind, str] = {
    MeanRemark.TAKES_DIFFER: "shape_takes_differ",
    DecayWarning.FAR_APART: "shape_two_slopes",
    DecayWarning.DISTURBED: "shape_disturbed",
    Reason.DISTURBED: "shape_disturbed",
    Reason.OTHERS_BROKEN: "shape_disturbed",
    DecayWarning.TWO_SLOPES: "shape_two_slopes",
    Reason.NOT_A_LINE: "shape_crooked",
    DecayWarning.NOT_STRAIGHT: "shape_crooked",
    DecayWarning.BENDS: "shape_bends",
}
"""What of a band's decay is said in the table itself, the gravest first."""


def _shape(mean: BandMean) -> str:
    """What the decays of a band look like, in a word or two."""
    present: dict[Kind, Fact[Any]] = {one_fact.kind: one_fact for one_fact in mean.facts}
    kind = next((kind for kind in _SHAPES if kind in present), None)
    if kind is None:
        return say("shape_straight") if mean.t20 else NONE
    return say(_SHAPES[kind], **_slopes(present[kind]))


def _slopes(of_band: Fact[Any]) -> dict[str, str]:
    """Both times of a decay with two slopes."""
    if of_band.kind not in (DecayWarning.TWO_SLOPES, DecayWarning.FAR_APART):
        return {}
    return {"early": f"{of_band['early_s']:.2f}", "late": f"{of_band['late_s']:.2f}"}


def _target(analysis: Analysis, verdict: Verdict | None, reader: Reader) -> tuple[Block, ...]:
    if verdict is None:
        return ()
    target = verdict.target
    name = target.source.rstrip(".").removesuffix(", from memory")
    source = say("target_source", source=name, mark=say(f"mark_{target.mark}"))
    if target.mark == "common practice":
        source = say("source_of", source=name)
    noise = () if analysis.noise else (say("noise_not_measured"),)
    items = (*target.notes, *sentences(verdict.mid.notes, reader), *noise)
    notes: tuple[Block, ...] = (Bullets(items=items),) if items else ()
    return (
        Heading(text=say("target"), level=2),
        Text(lead=f"{target.title}.", body=source),
        *notes,
    )


def _positions(job: Job) -> tuple[Block, ...]:
    if not job.sources and not job.microphones:
        return ()
    rows = [(say("source", name=p.name), *_place(p.point, job)) for p in job.sources]
    for p in job.microphones:
        key = "seat" if p.name == job.seat else "microphone"
        rows.append((say(key, name=p.name), *_place(p.point, job)))
    heads = (say("head_position"), *_axes(job), say("head_above"))
    return (
        Table(heads=heads, rows=tuple(rows), align=("left", "right", "right", "right"), wide=0),
    )


def _axes(job: Job) -> tuple[str, str]:
    if not job.room.is_box:
        return say("head_x", axis="x"), say("head_x", axis="y")
    front, _, _, left = job.room.wall_names
    return say("head_from", wall=left), say("head_from", wall=front)


def _place(point: Point, job: Job) -> tuple[str, ...]:
    return tuple(length(x, job) for x in point)


def _conditions(job: Job, analysis: Analysis) -> tuple[tuple[str, str], ...]:
    visit = job.visit(analysis.visit)
    of_visit = visit_facts(job, visit) if visit else ()
    return (*room_facts(job), *of_visit, *_measured(job, analysis), *_grade(analysis))


def _measured(job: Job, analysis: Analysis) -> tuple[tuple[str, str], ...]:
    """Who measured, with what signal, at how many places: ISO 3382-2 asks for each (clause 9, from
    memory)."""
    places = {(p.source, p.microphone) for p in analysis.positions}
    positions = say(
        "measured_at",
        sources=len({source for source, _ in places}),
        microphones=len({microphone for _, microphone in places}),
        pairs=len(places),
    )
    signals = "; ".join(sentences(analysis.signals, Reader("acoustician")))
    return (
        (say("measured_by"), job.shop.name or say("nothing_noted")),
        (say("signal"), signals or say("nothing_noted")),
        (say("positions_used"), positions),
    )


def _grade(analysis: Analysis) -> tuple[tuple[str, str], ...]:
    grade = say("grade_none") if analysis.grade == "none" else analysis.grade
    if analysis.transition_hz is None:
        return ((say("grade"), grade),)
    transition = say("transition_says", hz=f"{analysis.transition_hz:.0f}")
    return (say("grade"), grade), (say("transition"), transition)


def reasons_and_lacks(job: Job, analysis: Analysis, *, thirds: bool = False) -> tuple[Block, ...]:
    """What the next grade lacks, and why a number is withheld."""
    reader = Reader(who="acoustician", units=job.units)
    means = analysis.thirds if thirds else analysis.octaves
    reasons = bands_sentences(means, reader)
    lacks = (*sentences(analysis.lacking, reader), *left_out(analysis.left_out, reader))
    body: list[Block] = []
    if lacks:
        body += [Heading(text=say("lacks"), level=2), Bullets(items=lacks)]
    if reasons:
        body += [Heading(text=say("not_had"), level=2), Bullets(items=reasons)]
    return tuple(body)


def _each_pair(analysis: Analysis) -> tuple[Block, ...]:
    bands = [mean.band_hz for mean in analysis.octaves]
    rows = []
    for position in analysis.positions:
        t20_s = {band.band_hz: band.t20_s for band in position.octaves}
        pair = f"{position.source}, {position.microphone}"
        rows.append((pair, *(seconds(t20_s.get(hz)) for hz in bands)))
    return (
        Heading(text=say("each_pair"), level=2),
        Table(
            heads=(say("head_pair"), *map(band_name, bands)),
            rows=tuple(rows),
            align=rights(len(bands)),
            wide=0,
            note=say("note_pairs"),
        ),
    )
