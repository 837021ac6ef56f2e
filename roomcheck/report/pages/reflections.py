"""The report's section on reflections: what answers at the seat, and from where."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.analyse import Analysis, PositionReflections, Reflection
from roomcheck.geometry import Point
from roomcheck.job import Job
from roomcheck.judge import limit_for
from roomcheck.measure import Measurement
from roomcheck.report.figures.drawings import scale_text
from roomcheck.report.figures.figure_reflections import arrivals_svg, paths_svg, points_svg
from roomcheck.report.pages.parts import blocks, two_by_two
from roomcheck.report.render.blocks import Block, Heading, Picture, Table
from roomcheck.words import reflection_text, say

MOST, PAIRS, FACES = 8, 2, 4
SECONDS, LONGEST_S = 0.025, 0.06

Row = tuple[PositionReflections, tuple[tuple[int, Reflection], ...]]


def what_answers(job: Job, analysis: Analysis, takes: Sequence[Measurement]) -> tuple[Block, ...]:
    """Curves, table and drawings for the seat (the first microphone where none is named); nothing
    without arrivals."""
    rows = _rows(job, analysis)
    if not rows:
        return ()
    curves = [_curve(job, analysis.visit, row, takes) for row in rows]
    return blocks(
        Heading(text=say("reflections_title")),
        *(curve for curve in curves if curve is not None),
        reflections_table(job, rows),
        _paths(job, rows),
        two_by_two(_points(job, rows)),
    )


def _rows(job: Job, analysis: Analysis) -> tuple[Row, ...]:
    heard = [row for row in analysis.reflections if row.reflections]
    if not heard:
        return ()
    seat = job.seat if any(row.microphone == job.seat for row in heard) else heard[0].microphone
    found: list[Row] = []
    number = 1
    for row in [row for row in heard if row.microphone == seat][:PAIRS]:
        loudest = sorted(
            sorted(row.reflections, key=lambda r: -r.level_db)[:MOST], key=lambda r: r.delay_s
        )
        found.append((row, tuple(enumerate(loudest, number))))
        number += len(loudest)
    return tuple(found)


def _curve(job: Job, visit: str, row: Row, takes: Sequence[Measurement]) -> Picture | None:
    from roomcheck.analyse import energy_time

    pair, numbered = row
    take = next((m for m in takes if m.take == pair.take), None)
    seconds = min(max(SECONDS, numbered[-1][1].delay_s + 0.002), LONGEST_S)
    curve = (
        energy_time(take, job=job, visit=visit, seconds=seconds, heard=pair.reflections)
        if take is not None
        else None
    )
    if curve is None:
        return None
    values = "; ".join(
        f"{n}: {1000 * r.delay_s:.1f} ms, {r.level_db:.0f} dB, {reflection_text(job, r)}"
        for n, r in numbered
    )
    ends = {"source": pair.source, "microphone": pair.microphone}
    return Picture(
        svg=arrivals_svg(curve, numbered, limit_for(job.use), seconds),
        alt=say("alt_reflections", values=values, **ends),
        caption=say("cap_reflections", **ends),
    )


def reflections_table(job: Job, rows: Sequence[Row]) -> Table:
    """Numbered reflections with the surface that sent each."""
    heads = ("head_number", "head_pair", "head_delay", "head_level", "head_surface")
    lines = tuple(
        (
            str(n),
            f"{pair.source}, {pair.microphone}",
            f"{1000 * r.delay_s:.1f}",
            f"{r.level_db:.0f}".replace("-", "−"),
            reflection_text(job, r),
        )
        for pair, numbered in rows
        for n, r in numbered
    )
    return Table(
        heads=tuple(say(h) for h in heads),
        rows=lines,
        align=("left", "left", "right", "right", "left"),
        wide=4,
        note=say("note_reflections"),
    )


def _paths(job: Job, rows: Sequence[Row]) -> Picture:
    places: dict[str, Point] = {p.name: p.point for p in (*job.sources, *job.microphones)}
    pairs = [(places[pair.source], places[pair.microphone], numbered) for pair, numbered in rows]
    svg, scale = paths_svg(job, pairs)
    return Picture(
        svg=svg, alt=say("cap_paths"), caption=f"{say('cap_paths')} {scale_text(job, scale)}"
    )


def _points(job: Job, rows: Sequence[Row]) -> tuple[Picture, ...]:
    """The faces that send the loudest reflections of first order, loudest first."""
    by_face: dict[str, list[tuple[int, Reflection]]] = {}
    for _, numbered in rows:
        for n, r in numbered:
            if r.causes and r.causes[0].order == 1:
                by_face.setdefault(r.causes[0].faces[0], []).append((n, r))
    loudest = sorted(by_face, key=lambda name: -max(r.level_db for _, r in by_face[name]))[:FACES]
    pictures = []
    for name in loudest:
        svg, scale = points_svg(job, job.room.face(name), by_face[name])
        things = "; ".join(f"{n}: {reflection_text(job, r)}" for n, r in by_face[name])
        caption = say("cap_points", face=name)
        pictures.append(
            Picture(
                svg=svg, alt=f"{caption} {things}", caption=f"{caption} {scale_text(job, scale)}"
            )
        )
    return tuple(pictures)
