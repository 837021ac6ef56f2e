"""Drawings as files: what stands in them is where the job says, read back by a reader of the test's
own."""

from __future__ import annotations

import dataclasses
from xml.etree import ElementTree

import pytest

from roomcheck.facts import fact
from roomcheck.recommend import (
    Check,
    CheckSubject,
    PieceGain,
    PlanCaution,
    ReflectionChange,
    Tighter,
    TighterNeeds,
)
from roomcheck.report import write_drawings
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.options import options, to_look_at, tolerance
from roomcheck.report.offer.unfolded import unfolded_svg
from roomcheck.words import Reader

READER = Reader("client")

IN = 0.0254


def entities(text: str) -> list[tuple[str, dict[int, str]]]:
    """DXF release 12: a code, then its value, line by line; an entity begins with code 0."""
    lines = text.splitlines()
    assert len(lines) % 2 == 0
    found: list[tuple[str, dict[int, str]]] = []
    for code, value in zip(lines[::2], lines[1::2], strict=True):
        if int(code) == 0:
            found.append((value, {}))
        elif found:
            found[-1][1].setdefault(int(code), value)
    assert found[0][0] == "SECTION" and found[-1][0] == "EOF"
    return found


def layer_lines(text: str, layer: str) -> set[frozenset[tuple[float, float]]]:
    """Ends of the lines on a layer, in the drawing's unit."""
    return {
        frozenset(
            {
                (round(float(d[10]), 3), round(float(d[20]), 3)),
                (round(float(d[11]), 3), round(float(d[21]), 3)),
            }
        )
        for kind, d in entities(text)
        if kind == "LINE" and d[8] == layer
    }


@pytest.mark.parametrize(("units", "per_m"), [("imperial", 1 / IN), ("metric", 1000.0)])
def test_a_face_as_dxf_has_its_pieces_and_studs_where_the_job_says(story, tmp_path, units, per_m):
    job, known = story(tmp_path, units=units)
    plan = dataclasses.replace(known["plan"], reflections=(_bounce(job),))
    files = write_drawings(job, plan, tmp_path / "drawings")
    assert {f.suffix for f in files} == {".svg", ".dxf"}
    assert len(files) == 2 * (len(job.room.faces))  # floor plan, walls, ceiling
    for piece in (p for p in plan.pieces if job.room.face(p.face).kind == "wall"):
        text = (tmp_path / "drawings" / f"wall-{piece.face}.dxf").read_text(encoding="ascii")
        r = piece.place
        bottom = frozenset(
            {(round(x * per_m, 3), round(r.v_m * per_m, 3)) for x in (r.u_m, r.u_m + r.width_m)}
        )
        assert any(_near(bottom, line) for line in layer_lines(text, "PIECES"))
    stand = job.framing[0]
    text = (tmp_path / "drawings" / f"wall-{stand.face}.dxf").read_text(encoding="ascii")
    studs = sorted({x for line in layer_lines(text, "FRAMING") for x, _ in line})
    assert studs[0] == pytest.approx(stand.first_m * per_m, abs=0.002)
    assert studs[1] - studs[0] == pytest.approx(stand.spacing_m * per_m, abs=0.002)
    marks = [d for kind, d in entities(text) if kind == "CIRCLE" and d[8] == "REFLECTIONS"]
    assert float(marks[0][10]) == pytest.approx(1.0 * per_m, abs=0.002)
    words = [d[1] for kind, d in entities(text) if kind == "TEXT"]
    assert any(word.startswith("corner with ") for word in words)


def _near(a: frozenset[tuple[float, float]], b: frozenset[tuple[float, float]]) -> bool:
    p, q = sorted(a), sorted(b)
    return len(p) == len(q) and all(
        abs(x - u) + abs(y - v) < 0.01 for (x, y), (u, v) in zip(p, q, strict=True)
    )


def _bounce(job) -> ReflectionChange:
    return ReflectionChange(
        source="S1",
        seat="P1",
        face=job.framing[0].face,
        u_m=1.0,
        v_m=1.2,
        delay_s=0.004,
        before_db=-4.0,
        after_db=-14.0,
        limit_db=-10.0,
        piece="A1",
    )


def test_three_plans_stand_on_the_options_page(story, tmp_path):
    job, known = story(tmp_path)
    gains = tuple(
        PieceGain(name=f"A{i}", gain_s=g, after_s=0.5 - g * i, heard=g > 0.02)
        for i, g in ((1, 0.1), (2, 0.01))
    )
    plans = [
        dataclasses.replace(plan, gains=gains, unheard_from=2, weeks=4, reflections=(_bounce(job),))
        for plan in known["plans"]
    ]
    offered = Offered(
        job=job,
        before=known["before"],
        verdict=known["verdict"],
        plans=tuple(plans),
        quotes=known["quotes"],
        plan=plans[0],
        quote=known["quotes"][0],
    )
    blocks = options(offered)
    text = " ".join(str(block) for block in blocks)
    for word in ("S1, ", "−4.0", "−14.0 (A1)"):
        assert word in text
    for plan in plans:
        band = next(b for b in plan.prediction.after if b.band_hz == 1000.0)
        assert f"{band.likely_s:.2f} (" in text
        svg = unfolded_svg(job, plan.pieces)
        assert ElementTree.fromstring(svg).tag.endswith("svg")
        assert all(f">{piece.name}<" in svg for piece in plan.pieces)
    alone = dataclasses.replace(offered, plans=(plans[0],), quotes=known["quotes"][:1])
    assert options(alone) == ()


def test_tolerance_and_check_list_are_printed_with_what_they_rest_on(story, tmp_path):
    _, known = story(tmp_path)
    tighter = (
        Tighter(tolerance_pct=10.0, pairs=12, reason=fact(TighterNeeds.GRADE, grade="precision")),
        Tighter(
            tolerance_pct=5.0, pairs=None, reason=fact(TighterNeeds.ROOM_UNCERTAIN, least_pct=9.0)
        ),
    )
    signed = dataclasses.replace(
        known["plan"].promise, tolerance_pct=12.4, grade="survey", tighter=tighter
    )
    text = " ".join(str(block) for block in tolerance(signed, READER))
    for word in (
        "±13 %",
        "survey",
        "±10 % would need 12 pairs",
        "±5 % cannot be promised: the prediction itself is only good to ±9 %",
    ):
        assert word in text
    plan = dataclasses.replace(
        known["plan"],
        checks=(
            Check(
                subject=CheckSubject.VENTS,
                caution=fact(PlanCaution.AS_SIGNED, text="look"),
                pieces=("A1", "A2"),
            ),
        ),
    )
    text = " ".join(str(block) for block in to_look_at(plan, READER))
    assert "Vents: look (A1, A2)" in text and "Nothing here is an approval" in text
    assert to_look_at(known["plan"], READER) == ()
