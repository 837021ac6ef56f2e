"""A photograph of a wall in the documents: only where nobody is in it, without what the camera
wrote, and to scale under the drawing."""

from __future__ import annotations

import io
import re
import shutil
from base64 import b64decode
from pathlib import Path

import numpy as np
import pytest

import roomcheck
from roomcheck.chain.inputs import all_of
from roomcheck.geometry import Rectangle
from roomcheck.job import Placement, load_job
from roomcheck.measure import Camera, Frame, Marked, keep_photo, kept_photos, mark_photo, pixels_of
from roomcheck.report.figures.drawings import elevation_svg
from roomcheck.report.offer.your_walls import photographs_under, your_walls
from roomcheck.report.render.blocks import Picture
from roomcheck.report.render.html import html_blocks

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"
SPOT = (1.2, 1.5)
"""A black spot on the wall, from the left and up. [m]"""
PIECES = (
    Placement(name="A1", piece="4 in panel", face="north", place=Rectangle(2, 0.8, 0.6, 1.2)),
)


@pytest.fixture
def folder(tmp_path):
    from PIL import Image, ImageDraw

    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    job = load_job(folder)
    face = job.room.face("north")
    turn = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))
    camera = Camera(Frame(2400, 1600), turn, (-face.width_m / 2, 1.4, 4.0), 1600.0, 0.0, (0.0, 0.0))
    picture = Image.new("RGB", (2400, 1600), (240, 240, 240))
    spot = pixels_of(camera, np.array(SPOT) + np.array([(-0.1, 0.1), (0.1, -0.1)]))
    ImageDraw.Draw(picture).rectangle([tuple(x) for x in spot.tolist()], fill=(0, 0, 0))
    exif = Image.Exif()
    exif[0x0110] = "made-up camera"
    exif.get_ifd(0x8825)[1] = "N"
    picture.save(tmp_path / "wall.jpg", exif=exif, quality=92)
    corners = ((0, face.height_m), (face.width_m, face.height_m), (face.width_m, 0), (0, 0))
    names = ("top left", "top right", "bottom right", "bottom left")
    pixels = pixels_of(camera, np.array(corners)).tolist()
    marks = tuple((tuple(at), name) for at, name in zip(pixels, names, strict=True))
    keep_photo(job, "north", tmp_path / "wall.jpg", Marked(marks=marks))
    return folder


def answered(folder, people):
    """The job after somebody said whether people are in the picture."""
    job = load_job(folder)
    (photo,) = kept_photos(job)
    marked = photo.marked
    mark_photo(job, photo, Marked(marked.marks, marked.lines, marked.things, people))
    return load_job(folder)


@pytest.mark.parametrize("people", [None, True])
def test_without_the_answer_or_with_people_nothing_is_shown(folder, people):
    job = load_job(folder) if people is None else answered(folder, people)
    assert your_walls(job, PIECES) == () and photographs_under(job, PIECES) == {}


def test_a_wall_without_a_piece_is_not_shown(folder):
    job = answered(folder, False)
    elsewhere = (
        Placement(name="A1", piece="4 in panel", face="east", place=Rectangle(0.3, 0.8, 0.6, 1.2)),
    )
    assert your_walls(job, elsewhere) == () and photographs_under(job, elsewhere) == {}


def _jpeg(svg):
    found = re.search(r'href="data:image/jpeg;base64,([^"]+)"', svg)
    assert found is not None
    return b64decode(found[1])


def test_the_clients_wall_with_the_plan_on_it_and_nothing_of_the_camera(folder):
    from PIL import Image

    job = answered(folder, False)
    picture = next(block for block in your_walls(job, PIECES) if isinstance(block, Picture))
    assert "a picture of a plan" in picture.caption and "A1" in picture.alt
    data = _jpeg(picture.svg)
    with Image.open(io.BytesIO(data)) as shown:
        assert not shown.getexif() and shown.size == (1600, round(1600 * 1600 / 2400))
        # The panel stands at its place: 2.0 to 2.6 m from the left, its cloth darker than the wall.
        face = job.room.face("north")
        across = 800 + 1600 * 1600 / 2400 / 4.0 * (2.3 - face.width_m / 2)
        up = 1600 * 1600 / 2400 / 2 - 1600 * 1600 / 2400 / 4.0 * (1.4 - 1.4)
        assert max(shown.getpixel((round(across), round(up)))) < 200
    assert b"made-up camera" not in data and b"Exif" not in data
    assert "data:image/jpeg" in html_blocks([picture])


def test_under_the_elevation_the_wall_lies_to_scale(folder):
    from PIL import Image

    job = answered(folder, False)
    face = job.room.face("north")
    under = photographs_under(job, PIECES)["north"]
    svg, scale = elevation_svg(job, face, PIECES, under=under)
    box = re.search(r'<image x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', svg)
    assert box is not None
    _, _, wide, high = (float(number) for number in box.groups())
    # One point is 1/72 in: as long on paper as the wall at the drawing's scale.
    assert wide / 72 * 0.0254 * scale == pytest.approx(face.width_m, rel=1e-3)
    assert high / 72 * 0.0254 * scale == pytest.approx(face.height_m, rel=1e-3)
    with Image.open(io.BytesIO(_jpeg(svg))) as flat:
        grey = np.asarray(flat.convert("L")).astype(float)
    dark = np.argwhere(grey < 160)
    row, column = dark.mean(axis=0) + 0.5
    assert column / grey.shape[1] * face.width_m == pytest.approx(SPOT[0], abs=0.01)
    assert (1 - row / grey.shape[0]) * face.height_m == pytest.approx(SPOT[1], abs=0.01)
    assert "<image" not in elevation_svg(job, face, PIECES)[0]


def test_documents_are_set_again_when_a_photograph_or_its_answer_changes(folder):
    unanswered = all_of(load_job(folder))
    answer = all_of(answered(folder, False))
    assert unanswered != answer
    shutil.rmtree(folder / "photos")
    assert "photos" not in all_of(load_job(folder))
