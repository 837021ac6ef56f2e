"""For everyone: axe-core finds nothing on any page, and nothing runs off a narrow screen."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from roomcheck.job import load_job
from roomcheck.measure import Marked, keep_photo, pixels_of

from .conftest import make_room, opened
from .test_photo_page import corners_of, photograph

AXE = os.environ.get("AXE_CORE", "")
"""The path of axe.min.js, as npm has it in the package axe-core."""


@pytest.fixture(scope="module")
def jobs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("jobs")
    job = load_job(make_room(folder / "room-a"))
    face = job.room.face("north")
    seen = photograph(face, folder / "wall.jpg")
    pixels = pixels_of(seen, np.array(corners_of(face))).tolist()
    names = ("top left", "top right", "bottom right", "bottom left")
    marks = tuple((tuple(at), name) for at, name in zip(pixels, names, strict=True))
    keep_photo(job, "north", folder / "wall.jpg", Marked(marks=marks))
    return folder


PAGES = (
    "/",
    "/shop",
    "/job/room-a/room",
    "/job/room-a/photo?face=south",
    "/job/room-a/photo?face=north&set=thing&name=window",
    "/job/room-a/visit",
    "/job/room-a/findings",
    "/job/nothing/room",
)


def test_axe_finds_nothing_and_nothing_runs_off_the_screen(jobs, chromium, window):
    if not Path(AXE).is_file():
        pytest.skip("AXE_CORE does not name axe.min.js")
    with opened(jobs) as server:
        window.goto(server.address)
        for page in PAGES:
            window.goto(server.root + page)
            for details in window.locator("details").all():
                details.evaluate("one => { one.open = true; }")
            # Chromium's own world for tests: the page's policy does not stand in its way.
            client = window.context.new_cdp_session(window)
            client.send("Runtime.evaluate", {"expression": Path(AXE).read_text("utf-8")})
            answer = client.send(
                "Runtime.evaluate",
                {
                    "expression": "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', "
                    "'wcag22aa', 'best-practice']}).then(r => JSON.stringify(r.violations.map("
                    "v => [v.id, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160))])))",
                    "awaitPromise": True,
                    "returnByValue": True,
                },
            )
            assert answer["result"]["value"] == "[]", page
            wide = window.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, page
