"""Chosen colours in the pictures: what has one shows it, everything else stays as it was."""

from __future__ import annotations

import json
import struct
from dataclasses import replace

import numpy as np
import pytest

from roomcheck.geometry import Rectangle
from roomcheck.job import ChosenLook, Placement, ShopLook
from roomcheck.measure import Camera
from roomcheck.measure.photo.results import Frame
from roomcheck.report import on_photo, room_picture, scene_glb
from roomcheck.scene import scene

RED = ShopLook(name="red", kind="cloth", colour="#c04020")
GREY = ShopLook(name="grey", kind="paint", colour="#808080")
LOOKS = (ChosenLook(look=RED), ChosenLook(look=GREY, piece="block diffuser"))
PIECES = (
    Placement(
        name="A1", piece="4 in panel", face="north", place=Rectangle(0.6, 0.8, 0.6096, 1.2192)
    ),
    Placement(
        name="A2", piece="block diffuser", face="north", place=Rectangle(1.6, 0.8, 0.6096, 1.2192)
    ),
    Placement(
        name="A3", piece="felt tile", face="north", place=Rectangle(2.4, 0.8, 0.6096, 0.6096)
    ),
)


@pytest.fixture
def dressed(shop_job):
    return replace(shop_job, looks=LOOKS)


def test_a_shape_has_the_colour_that_was_chosen_and_none_where_nobody_chose(shop_job, dressed):
    shapes = {shape.piece: shape for shape in scene(dressed, PIECES).shapes}
    assert shapes["4 in panel"].colour("cloth") == "#c04020"
    assert {shapes["block diffuser"].colour(look) for look in ("wood", "end grain")} == {"#808080"}
    assert shapes["felt tile"].colours == ()
    plain = scene(shop_job, PIECES)
    assert all(shape.colours == () for shape in plain.shapes)
    bare = tuple(replace(shape, colours=()) for shape in shapes.values())
    assert replace(scene(dressed, PIECES), shapes=bare) == plain


def test_a_photograph_shows_the_chosen_colour_in_its_own_light(shop_job, dressed):
    face = shop_job.room.face("north")
    turn = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))
    # 2 m off, looking at (1.6, 1.4): 500 px a metre on the wall.
    camera = Camera(Frame(1600, 1200), turn, (-1.6, 1.4, 2.0), 1000.0, 0.0, (0.0, 0.0))
    wall = np.full((1200, 1600, 3), 240, dtype=np.uint8)
    plain, drawn = (on_photo(wall, camera, face, scene(job, PIECES)) for job in (shop_job, dressed))
    middle = drawn[560:640, 400:500].reshape(-1, 3).astype(float)
    share = middle / np.array([0xC0, 0x40, 0x20])  # one light on all three of them
    assert np.ptp(share, axis=1).max() < 1 / 0x20 and 0.55 <= share.min() <= share.max() <= 1.02
    diffuser = drawn[560:640, 900:1000].reshape(-1, 3).astype(int)
    assert np.ptp(diffuser, axis=1).max() <= 1  # grey
    assert np.ptp(plain[560:640, 900:1000].reshape(-1, 3).astype(int), axis=1).min() > 20  # wood
    assert (drawn[:, 1250:] == plain[:, 1250:]).all()  # felt, wall


def test_a_file_for_other_programs_has_the_chosen_colour_made_linear(dressed):
    data = scene_glb(scene(dressed, PIECES), "A room")
    (size,) = struct.unpack("<I", data[12:16])
    whole = json.loads(data[20 : 20 + size])
    found = [
        material["pbrMetallicRoughness"]["baseColorFactor"]
        for material in whole["materials"]
        if material["name"] in ("wood", "end grain", "plywood")
    ]
    # sRGB 128 is 0.2159 linear: IEC 61966-2-1, widely tabulated.
    assert found and all(each == pytest.approx([0.2159] * 3 + [1.0], abs=5e-5) for each in found)


def test_the_line_drawing_stays_a_line_drawing(shop_job, dressed):
    assert room_picture(dressed, PIECES) == room_picture(shop_job, PIECES)
