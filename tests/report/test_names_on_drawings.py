"""No text of a plan or an elevation covers another or leaves its sheet, whatever the room."""

from __future__ import annotations

import os
import random
from dataclasses import replace

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Placement, Position
from roomcheck.recommend import ReflectionChange
from roomcheck.report.figures import drawings

ROOMS = int(os.environ.get("ROOMCHECK_ROOMS", "40"))
"""300 take a minute."""
LONG = ("Back row windows towards the yard", "Whiteboard left of the door", "door", "heater")


def rectangle(rng: random.Random, wide: float, high: float, most: float) -> Rectangle:
    w, h = rng.uniform(0.2, min(most, wide)), rng.uniform(0.2, min(most, high))
    return Rectangle(rng.uniform(0, wide - w), rng.uniform(0, high - h), w, h)


def random_job(job, rng: random.Random):
    """A box with up to four patches, three zones, ten positions, and up to 42 pieces in rows."""
    room = Room.box(rng.uniform(2, 10), rng.uniform(2, 8), rng.uniform(2.1, 3.6))
    faces = [face for face in room.faces if face.kind == "wall"]
    patches = []
    for name in LONG[: rng.randint(0, 4)]:
        face = rng.choice(faces)
        place = rectangle(rng, face.width_m, face.height_m, 2.5)
        patches.append(replace(job.patches[0], name=name, face=face.name, place=place))
    zones = []
    for i in range(rng.randint(0, 3)):
        face = rng.choice(faces)
        place = rectangle(rng, face.width_m, face.height_m, 0.3)
        zones.append(replace(job.keep_clear[0], name=f"outlet {i}", face=face.name, place=place))

    def positions(letter: str, most: int) -> tuple[Position, ...]:
        return tuple(
            Position(
                name=f"{letter}{i}",
                point=Point(
                    rng.uniform(0.3, room.corners[2][0] - 0.3),
                    rng.uniform(0.3, room.corners[2][1] - 0.3),
                    1.2,
                ),
            )
            for i in range(1, rng.randint(2, most) + 1)
        )

    return replace(
        job,
        room=room,
        patches=tuple(patches),
        keep_clear=tuple(zones),
        framing=(),
        furnishings=(),
        sources=positions("S", 4),
        microphones=positions("P", 6),
    )


def random_pieces(job, rng: random.Random) -> list[Placement]:
    panel = next(one for one in job.shop.stock if one.kind == "panel")
    pieces: list[Placement] = []
    for _ in range(rng.randint(1, 42)):
        face = rng.choice([f for f in job.room.faces if f.kind != "floor"])
        if face.width_m < 0.6 or face.height_m < 1.2:
            continue
        place = Rectangle(
            rng.uniform(0, face.width_m - 0.6), rng.uniform(0, face.height_m - 1.2), 0.6, 1.2
        )
        taken = (p.place.grown(0.02) for p in pieces if p.face == face.name)
        if not any(meet(place, other) for other in taken):
            name = f"A{len(pieces) + 1}"
            pieces.append(
                Placement(name=name, piece=panel.name, face=face.name, place=place, reasons=())
            )
    return pieces


def meet(a: Rectangle, b: Rectangle) -> bool:
    return a.u_m < b.right_m and b.u_m < a.right_m and a.v_m < b.top_m and b.v_m < a.top_m


def bounce(rng: random.Random, face, source: str) -> ReflectionChange:
    return ReflectionChange(
        source=source,
        seat="P1",
        face=face.name,
        u_m=rng.uniform(0, face.width_m),
        v_m=rng.uniform(0, face.height_m),
        delay_s=0.004,
        before_db=-4.0,
        after_db=-14.0,
        limit_db=-10.0,
    )


@pytest.fixture
def sheets(monkeypatch):
    """The texts of every sheet that is drawn, with their boxes as the renderer sees them [pixel],
    and the sheet's own size."""
    found = []

    def collect(figure) -> str:
        renderer = FigureCanvasAgg(figure).get_renderer()
        texts = []
        for text in figure.texts:
            text.set_bbox(None)
            if text.get_text():
                texts.append((text.get_text(), text.get_window_extent(renderer)))
        found.append((texts, figure.bbox.width, figure.bbox.height, figure.dpi))
        return "<svg/>"

    monkeypatch.setattr(drawings, "svg_of", collect)
    return found


def test_no_name_covers_another_or_is_cut_in_random_rooms(story, tmp_path, sheets):
    job, _ = story(tmp_path)
    named = drawn = 0
    for seed in range(ROOMS):
        rng = random.Random(seed)
        one = random_job(job, rng)
        pieces = random_pieces(one, rng)
        sheets.clear()
        drawings.plan_svg(one, pieces)
        face = rng.choice([f for f in one.room.faces if f.kind == "wall"])
        marks = drawings.bounces(face, [bounce(rng, face, s.name) for s in one.sources[:2]])
        here = [piece for piece in pieces if piece.face == face.name]
        drawings.elevation_svg(one, face, here, framing=bool(seed % 2), marks=marks)
        for texts, wide, high, dpi in sheets:
            # A third of a millimetre: letters' own outlines are never so wide as their steps.
            slack = dpi / 25.4 / 3
            for i, (name, box) in enumerate(texts):
                assert box.x0 > -slack and box.x1 < wide + slack, (seed, name)
                assert box.y0 > -slack and box.y1 < high + slack, (seed, name)
                for other, its in texts[i + 1 :]:
                    across = min(box.x1, its.x1) - max(box.x0, its.x0)
                    up = min(box.y1, its.y1) - max(box.y0, its.y0)
                    assert across < slack or up < slack, (seed, name, other)
        plan = {name for name, _ in sheets[0][0]}
        wanted = {p.name for p in (*one.sources, *one.microphones, *pieces)}
        named += len(wanted & plan)
        drawn += len(wanted)
    # What finds no room on a crowded plan stands on its wall's own drawing.
    assert named / drawn > 0.97
