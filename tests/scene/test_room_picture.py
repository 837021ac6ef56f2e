"""The still picture of a room: held against rays, and read back as a drawing."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import numpy as np

import hidden_lines
from roomcheck.geometry import Rectangle, Room
from roomcheck.job import Placement
from roomcheck.report import room_picture
from roomcheck.report.figures.room_picture import paper_of, seen_lines, strokes_and_cover
from roomcheck.scene import best_view

SVG = "{http://www.w3.org/2000/svg}"


def hung(name: str, piece: str, face: str, *place: float) -> Placement:
    return Placement(name=name, piece=piece, face=face, place=Rectangle(*place))


L_SHAPE = Room(
    corners=((0, 0), (6, 0), (6, 2.6), (3.4, 2.6), (3.4, 5), (0, 5)),
    height_m=2.7,
    wall_names=("south", "east", "inner north", "inner east", "north", "west"),
)
PIECES = [
    hung("A1", "block diffuser", "south", 2.0, 0.8, 0.6096, 1.2192),
    hung("A2", "well diffuser", "south", 3.5, 0.8, 0.6096, 1.2192),
    hung("A3", "4 in ceiling cloud", "ceiling", 1.1, 2.6, 1.2192, 1.2192),
    hung("A4", "corner trap", "west", 0.0, 0.7, 0.6096, 1.2192),
    hung("A5", "4 in panel", "west", 3.2, 0.8, 0.6096, 1.2192),
    hung("A6", "felt tile", "inner east", 0.6, 0.8, 0.6096, 0.6096),
]


def test_no_hidden_line_is_drawn_and_none_that_is_seen_is_missing():
    found = hidden_lines.run(10, seed=1)
    assert found.hidden_drawn == found.seen_missing == 0
    assert min(found.drawn, found.left_out) > 5000
    assert found.unjudged < 0.002 * (found.drawn + found.left_out)


def test_the_rays_notice_a_drawing_that_hides_too_little_or_too_much():
    scene = hidden_lines.random_scene(7)
    view = best_view(scene)
    strokes, cover = strokes_and_cover(scene, paper_of(scene, view))
    lines = np.concatenate([stroke.lines for stroke in strokes])
    whole = np.concatenate([d.lines for d in seen_lines(view, strokes, cover)])
    lesser = np.concatenate([d.lines for d in seen_lines(view, strokes, cover[:1])])
    assert len(lines) > 100
    rng = np.random.default_rng(3)
    places = lines[:, 0] + rng.uniform(0.1, 0.9, (len(lines), 1)) * (lines[:, 1] - lines[:, 0])
    hides, shows = hidden_lines.rays(
        np.array(view.eye), places, hidden_lines.solid_triangles(scene, view)
    )
    assert (hidden_lines._on_any(places, lesser) & hides).sum() > 10
    assert (~hidden_lines._on_any(places, whole[::2]) & shows).sum() > 10


def test_names_of_pieces_all_stand_there_and_no_two_boxes_overlap(shop_job):
    from matplotlib.textpath import TextPath

    svg = room_picture(replace(shop_job, room=L_SHAPE, patches=(), framing=()), PIECES, paths=True)
    tree = ElementTree.fromstring(svg)
    width, height = (float(x) for x in tree.get("viewBox").split()[2:])
    boxes = []
    for text in tree.iter(f"{SVG}text"):
        letter = float(text.get("font-size"))
        box = TextPath((0, 0), text.text, size=letter).get_extents()
        middle, base = float(text.get("x")), float(text.get("y"))
        boxes.append((middle - box.width / 2, base - box.y1, middle + box.width / 2, base - box.y0))
    texts = [text.text for text in tree.iter(f"{SVG}text")]
    assert {piece.name for piece in PIECES} <= set(texts)
    for a, b in combinations(boxes, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
    assert all(a >= 0 and b >= 0 and c <= width and d <= height for a, b, c, d in boxes)


def test_the_picture_fits_its_page_and_is_the_same_every_time(shop_job):
    job = replace(shop_job, room=L_SHAPE, patches=(), framing=())
    svg = room_picture(job, PIECES, width_pt=300, height_pt=200)
    tree = ElementTree.fromstring(svg)
    width, height = (float(x) for x in tree.get("viewBox").split()[2:])
    assert width <= 300.01 and height <= 200.01
    assert width > 299 or height > 199  # one of both is taken whole
    for path in (path for path in tree.iter(f"{SVG}path") if path.get("class")):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", path.get("d"))]
        assert all(-1 <= n <= 301 for n in numbers)
    assert svg == room_picture(job, PIECES, width_pt=300, height_pt=200)


def test_what_a_person_named_cannot_become_part_of_the_drawing(shop_job):
    walls = ('<script>"&', "east", "north", "west")
    room = Room.box(5, 4, 2.5, walls)
    svg = room_picture(replace(shop_job, room=room, patches=(), framing=()), [])
    assert "<script" not in svg
    ElementTree.fromstring(svg)


def test_pieces_that_are_too_many_for_names_of_their_own_are_named_by_their_wall(shop_job):
    pieces = [hung(f"A{i + 1}", "felt tile", "south", 0.65 * i, 0.8, 0.6, 0.6) for i in range(9)]
    pieces += [hung("A10", "4 in panel", "west", 0.5, 0.8, 0.6, 1.2)]
    job = replace(shop_job, room=Room.box(6, 4, 2.6), patches=(), framing=())

    def names(width_pt):
        svg = room_picture(job, pieces, width_pt=width_pt, height_pt=width_pt)
        return {text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")}

    assert {piece.name for piece in pieces} <= names(468)
    assert {"A1 to A9", "A10"} <= names(100) and "A5" not in names(100)
