"""No text of a plan or an elevation covers another or leaves its sheet, whatever the room."""

from __future__ import annotations

import os
import random
from dataclasses import replace
from functools import lru_cache
from xml.etree import ElementTree

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.textpath import TextPath
from matplotlib.transforms import Bbox

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Placement, Position
from roomcheck.recommend import ReflectionChange
from roomcheck.report.figures import drawings
from roomcheck.report.figures.room_names import LETTERS_MM, name_svg, room_names
from roomcheck.report.figures.room_picture import HEIGHT_PT, WIDTH_PT, paper_of, seen_marks
from roomcheck.report.pages.parts import TELEPHONE_MM, TELEPHONE_PT
from roomcheck.scene import best_view, scene

FEW = 40
ROOMS = int(os.environ.get("ROOMCHECK_ROOMS", f"{FEW}"))
"""300 take two minutes."""
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


def test_no_name_covers_another_or_is_cut_in_random_rooms(story, tmp_path, sheets, record_property):
    job, _ = story(tmp_path)
    named = drawn = texts_drawn = 0
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
        texts_drawn += sum(len(texts) for texts, *_ in sheets)
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
    for what, count in (("plans", 2 * ROOMS), ("plan_texts", texts_drawn), ("plan_faults", 0)):
        record_property(what, count)
    record_property("plan_named", f"{100 * named / drawn:.1f} %")


SPACES = (
    {"width_pt": 195.0, "height_pt": 195.0, "letters_mm": LETTERS_MM},
    {"width_pt": TELEPHONE_PT, "height_pt": TELEPHONE_PT, "letters_mm": (TELEPHONE_MM,) * 2},
    {"width_pt": WIDTH_PT, "height_pt": HEIGHT_PT, "letters_mm": LETTERS_MM},
)
"""Page one, a telephone, a page's width."""


def test_no_name_in_a_room_in_space_covers_another_or_is_cut(story, tmp_path, record_property):
    job, _ = story(tmp_path)
    unnamed = texts_drawn = there = 0
    rooms = ROOMS if ROOMS > FEW else ROOMS // 2
    for seed in range(rooms):
        rng = random.Random(seed)
        one = random_job(job, rng)
        pieces = random_pieces(one, rng)
        built = scene(one, pieces)
        view = best_view(built)
        for size in SPACES:
            letters_mm = size["letters_mm"]
            wide, high = size["width_pt"], size["height_pt"]
            paper = paper_of(built, view, width_pt=wide, height_pt=high)
            placed, left_out = room_names(built, paper, seen_marks(built, paper), letters_mm)
            boxes = [box for name in placed for box in letters_boxes(name_svg(paper, name))]
            texts_drawn += len(boxes)
            there += len(pieces)
            for i, (name, box) in enumerate(boxes):
                assert box.x0 > 0 and box.y0 > 0, (seed, name)
                assert box.x1 < paper.width_pt and box.y1 < paper.height_pt, (seed, name)
                for other, its in boxes[i + 1 :]:
                    assert not box.overlaps(its), (seed, name, other)
            named = {piece for text, _ in boxes for piece in spelled_out(text)}
            said = {piece for text in left_out for piece in spelled_out(text)}
            assert named | said >= {piece.name for piece in pieces}, seed
            unnamed += len(said)
    assert unnamed == 0
    counts = (("spaces", 3 * rooms), ("space_texts", texts_drawn), ("space_faults", 0))
    for what, count in counts:
        record_property(what, count)
    record_property("space_named", f"{100 * (1 - unnamed / there):.1f} %")


def letters_boxes(svg: str) -> list[tuple[str, Bbox]]:
    """Each line of a name and the box of its letters, by another program's font. [pt]"""
    return [letters_box(text) for text in ElementTree.fromstring(f"<svg>{svg}</svg>").iter("text")]


def letters_box(text: ElementTree.Element) -> tuple[str, Bbox]:
    box, size = outline_of(text.text), float(text.get("font-size")) / 100
    left, base = float(text.get("x")) - size * box.width / 2, float(text.get("y"))
    right = left + size * box.width
    return text.text, Bbox([[left, base - size * box.y1], [right, base - size * box.y0]])


@lru_cache
def outline_of(text: str) -> Bbox:
    """Box of a text's letters where they are 100 high."""
    return TextPath((0, 0), text, size=100).get_extents()


def spelled_out(text: str) -> list[str]:
    """Every piece that a list names: A1 to A3, A5.

    >>> spelled_out("A1 to A3, A5")
    ['A1', 'A2', 'A3', 'A5']
    """
    names = []
    for part in text.rstrip(",").split(", "):
        first, _, last = part.partition(" to ")
        names += [first]
        if last:
            names = names[:-1] + [f"A{i}" for i in range(int(first[1:]), int(last[1:]) + 1)]
    return names
