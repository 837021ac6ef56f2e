"""The pages as a person sees them: whole, wide and narrow; kept as pictures on request."""

from __future__ import annotations

import os

import numpy as np
import pytest

import room_pictures
from roomcheck.demo import demo
from roomcheck.job import load_job
from roomcheck.measure import Marked, keep_photo, pixels_of

from .conftest import opened

KEPT_IN = os.environ.get("ROOMCHECK_SCREENS", "")
"""A folder for the pictures, such as docs/figures; none are kept where it is not named."""


@pytest.fixture(scope="module")
def jobs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("jobs")
    demo(folder / "story-room")
    photographed(folder / "story-room")
    return folder


def photographed(folder):
    """A made-up photograph of a wall, marked at its corners."""
    from PIL import Image

    job = load_job(folder)
    picture, camera = room_pictures.photographed(job, "north")
    file = folder.parent / "wall.jpg"
    Image.fromarray(picture).save(file, quality=92)
    face = job.room.face("north")
    corners = ((0, face.height_m), (face.width_m, face.height_m), (face.width_m, 0), (0, 0))
    pixels = pixels_of(camera, np.array(corners)).tolist()
    names = ("top left", "top right", "bottom right", "bottom left")
    marks = tuple((tuple(at), name) for at, name in zip(pixels, names, strict=True))
    outlet = next(zone for zone in job.keep_clear if zone.face == "north")
    ends = ((outlet.place.u_m, outlet.place.v_m), (outlet.place.right_m, outlet.place.top_m))
    thing = (outlet.name, tuple(map(tuple, pixels_of(camera, np.array(ends)).tolist())))
    keep_photo(job, "north", file, Marked(marks=marks, things=(thing,), people=False))


def test_every_page_says_one_thing_first_and_offers_one_next_step(jobs, window):
    size = "wide" if window.viewport_size["width"] > 600 else "telephone"
    assert load_job(jobs / "story-room").made_up
    with opened(jobs) as server:
        window.goto(server.address)
        for name, path, first in (
            ("jobs", "/", ".lead"),
            ("room", "/job/story-room/room?face=south", ".lead"),
            ("visit", "/job/story-room/visit", ".lead"),
            ("findings", "/job/story-room/findings", ".verdict"),
            ("plan", "/job/story-room/plan", ".verdict"),
            ("photo", "/job/story-room/photo?face=north", ".lead"),
        ):
            window.goto(server.root + path)
            window.wait_for_selector(first, timeout=120_000)
            assert len(window.inner_text(first)) < 160, name
            if name == "visit":
                window.wait_for_selector("[data-part=takes] .good", timeout=60_000)
            smallest = window.evaluate(
                "Math.min(...[...document.querySelectorAll('.sketch text')].map("
                "t => t.getBoundingClientRect()).filter(r => r.width).map("
                "r => Math.min(r.width, r.height)), 99)"
            )
            assert smallest >= 8, name  # the box of a letter of 12 px
            if KEPT_IN:
                if name == "plan":
                    window.wait_for_selector("canvas", timeout=60_000)
                window.screenshot(path=f"{KEPT_IN}/page-{name}-{size}.png")
