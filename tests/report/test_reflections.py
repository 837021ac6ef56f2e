"""The report's section on reflections: what was heard stands in words, in the table and on the
drawings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from roomcheck.analyse import CandidateImage, Meeting, PositionReflections, Reflection
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.report.pages.reflections import what_answers
from roomcheck.report.render.blocks import Picture, Table


def _visit(story, folder):
    """The story's first pair with one named and one unnamed arrival, and a take that holds both."""
    job, known = story(folder)
    source, microphone = job.sources[0].name, job.microphones[0].name
    face = next(f for f in job.room.faces if f.kind == "wall")
    u, v = face.width_m / 3, 1.1
    x, y, z = face.to_room(u, v)
    meeting = Meeting(face=face.name, u_m=u, v_m=v, x_m=x, y_m=y, z_m=z)
    named = Reflection(
        delay_s=0.005, level_db=-6.0, stands_out_db=15.0,
        causes=(CandidateImage(meetings=(meeting,), due_s=0.005, residual_s=0.0),),
    )  # fmt: skip
    bare = Reflection(delay_s=0.002, level_db=-8.0, stands_out_db=15.0, causes=())
    row = PositionReflections(
        source=source,
        microphone=microphone,
        take="take",
        reflections=(bare, named),
        smear_s=3e-4,
        early_db=-3.0,
    )
    samples = np.zeros(12_000)
    samples[[500, 596, 740]] = 1.0, 0.4, 0.5
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=None)
    take = Measurement(
        source=source, microphone=microphone, take="take", check=check,
        response=ImpulseResponse(samples=samples, rate_hz=48_000),
    )  # fmt: skip
    return replace(job, seat=None), replace(known["before"], reflections=(row,)), take, face


def test_the_section_names_the_surface_everywhere(story, tmp_path):
    job, analysis, take, face = _visit(story, tmp_path)
    section = what_answers(job, analysis, (take,))
    (table,) = [block for block in section if isinstance(block, Table)]
    assert [row[2:4] for row in table.rows] == [("2.0", "−8"), ("5.0", "−6")]
    assert "no wall explains this" in table.rows[0][4] and table.rows[1][4].startswith(face.name)
    pictures = [block for block in section if isinstance(block, Picture)]
    assert len(pictures) == 3  # the curve, the plan, one face
    assert f"2 {face.name}" in pictures[0].svg and "1 ?" in pictures[0].svg
    assert face.name in pictures[2].caption


def test_without_the_takes_there_is_no_curve_and_without_arrivals_no_section(story, tmp_path):
    job, analysis, _, _ = _visit(story, tmp_path)
    assert len([b for b in what_answers(job, analysis, ()) if isinstance(b, Picture)]) == 2
    assert what_answers(job, replace(analysis, reflections=()), ()) == ()
