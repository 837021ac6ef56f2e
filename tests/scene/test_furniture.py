"""Furniture at its place: in the job, in space, in the drawings; a job without places as before."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest

import roomcheck
from roomcheck.geometry import Rectangle
from roomcheck.job import Edit, FileMistakes, edit_job, load_job, new_job
from roomcheck.report import plan_sketch, room_picture, scene_glb
from roomcheck.report.figures.drawings import plan_svg
from roomcheck.report.figures.room_picture import paper_of, room_drawn, strokes_and_cover
from roomcheck.scene import best_view, furniture_facets, scene

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"
SHELF = {"name": "book shelf", "material": "upholstered chair", "amount": "1"}
PLACE = {"x": "1.0 m", "y": "0.5 m", "length": "1.2 m", "width": "0.4 m", "height": "1.8 m"}


@pytest.fixture
def folder(tmp_path):
    sizes = {"length": "4 m", "width": "3 m", "height": "2.5 m"}
    new_job(tmp_path / "job", use="meeting room", client="Client A", title="Room", **sizes)
    return tmp_path / "job"


def test_a_place_is_typed_whole_and_stands_in_the_room(folder):
    job = edit_job(folder, [Edit(("furnishing",), SHELF | PLACE)])
    (shelf,) = job.furnishings
    assert shelf.place == Rectangle(1.0, 0.5, 1.2, 0.4) and shelf.height_m == 1.8
    for change, said in (
        ({"x": "3.5 m"}, "a wall is in its way"),
        ({"height": "2.6 m"}, "higher than the room"),
        ({"width": None}, "needs `width`"),
        ({"length": "0 m"}, "must be above 0"),
    ):
        edits = [Edit(("furnishing", "book shelf", key), text) for key, text in change.items()]
        with pytest.raises(FileMistakes, match=said):
            edit_job(folder, edits)
    edits = [Edit(("furnishing", "book shelf", key), None) for key in PLACE]
    (shelf,) = edit_job(folder, edits).furnishings
    assert shelf.place is None and shelf.height_m is None


def test_it_does_not_stand_where_the_plan_has_no_floor(folder):
    corners = [["0 m", "0 m"], ["4 m", "0 m"], ["4 m", "1.5 m"], ["2 m", "1.5 m"]]
    corners += [["2 m", "3 m"], ["0 m", "3 m"]]
    walls = ["a", "b", "c", "d", "e", "f"]
    edits = [Edit(("room", "length"), None), Edit(("room", "width"), None)]
    edits += [Edit(("room", "corners"), corners), Edit(("room", "walls"), walls)]
    edit_job(folder, edits)
    with pytest.raises(FileMistakes, match="a wall is in its way"):
        edit_job(folder, [Edit(("furnishing",), SHELF | PLACE | {"y": "1.3 m", "x": "1.5 m"})])


def test_the_scene_has_its_box_and_every_picture_shows_it(folder):
    bare = load_job(folder)
    job = edit_job(folder, [Edit(("furnishing",), SHELF | PLACE)])
    built = scene(job)
    corners = furniture_facets(built.furniture).corners.reshape(-1, 3)
    assert corners.min(axis=0) == pytest.approx([1.0, 0.5, 0.0])
    assert corners.max(axis=0) == pytest.approx([2.2, 0.9, 1.8])
    paper = paper_of(built, best_view(built))
    drawn = next(each for each in room_drawn(built, paper) if each.pen == "furniture")
    places = drawn.lines.reshape(-1, 3)
    # Its upper edges are seen from above, the far lower ones are hidden by it.
    assert np.isclose(places[:, 2], 1.8).any()
    strokes, _ = strokes_and_cover(built, paper)
    glass = next(each for each in strokes if each.pen == "furniture")
    assert len(glass.lines) == 9  # three sides of a box: nine edges
    assert "book shelf" in room_picture(job, ()) and "book shelf" not in room_picture(bare, ())
    assert "book shelf" in plan_svg(job)[0] or "<path" in plan_svg(job)[0]
    assert plan_svg(job)[0] != plan_svg(bare)[0]
    assert 'data-way="furnishing.book shelf"' in plan_sketch(job)
    names = [node["name"] for node in _gltf(scene_glb(built, "Room"))["nodes"]]
    assert "book shelf" in names


def _gltf(data):
    (length,) = struct.unpack_from("<I", data, 12)
    return json.loads(data[20 : 20 + length])


def test_jobs_of_before_load_as_they_were():
    job = load_job(STORY_ROOM)
    assert all(thing.place is None for thing in job.furnishings)
    assert scene(job).furniture == ()
