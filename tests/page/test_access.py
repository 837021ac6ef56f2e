"""For everyone: axe-core finds nothing on any page, and nothing runs off a narrow screen."""

from __future__ import annotations

import os
import shutil
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from roomcheck.chain import open_job, set_offer
from roomcheck.job import load_job, note_found, note_hours, start_clock
from roomcheck.measure import Marked, keep_photo, pixels_of

from .conftest import TOP, make_room, opened
from .test_photo_page import corners_of, photograph

STORY = TOP / "roomcheck" / "demo" / "story-room"

AXE = os.environ.get("AXE_CORE", "")
"""The path of axe.min.js, as npm has it in the package axe-core."""


@pytest.fixture(scope="module")
def jobs(tmp_path_factory, planned):
    if not Path(AXE).is_file():
        pytest.skip("AXE_CORE does not name axe.min.js")
    folder = tmp_path_factory.mktemp("jobs")
    job = load_job(make_room(folder / "room-a"))
    face = job.room.face("north")
    seen = photograph(face, folder / "wall.jpg")
    pixels = pixels_of(seen, np.array(corners_of(face))).tolist()
    names = ("top left", "top right", "bottom right", "bottom left")
    marks = tuple((tuple(at), name) for at, name in zip(pixels, names, strict=True))
    keep_photo(job, "north", folder / "wall.jpg", Marked(marks=marks))
    built = Path(shutil.copytree(STORY, folder / "built"))
    note_found(built, load_job(built).room, face="north", what="pipe", left="8 in")
    note_hours(built, "2 in panel", "frame", Decimal("0.5"))
    start_clock(built, "2 in panel", "core", by="", now=datetime.now())
    open_job(built).sheet  # noqa: B018
    shutil.copytree(planned, folder / "planned")
    set_offer(open_job(folder / "planned"))
    shutil.copytree(planned, folder / "done")
    shutil.copytree(STORY / "signed", folder / "done" / "signed")
    done = open_job(folder / "done")
    assert done.verification and done.verdict and done.verdict_after and done.lesson
    return folder


PAGES = (
    "/",
    "/shop",
    "/job/room-a/room",
    "/job/room-a/photo?face=south",
    "/job/room-a/photo?face=north&set=thing&name=window",
    "/job/room-a/visit",
    "/job/room-a/findings",
    "/job/room-a/plan",
    "/job/room-a/offer",
    "/job/room-a/proof",
    "/job/planned/plan?face=north",
    "/job/planned/offer",
    "/job/planned/proof",
    "/job/done/offer",
    "/job/done/offer?text=A+shelf&act=none&cost=70",
    "/job/done/proof",
    "/job/room-a/shop",
    "/job/built/shop?list=buy",
    "/job/built/shop?list=cut",
    "/job/built/shop?list=build",
    "/job/built/shop?list=hours",
    "/job/built/hanging?face=north",
    "/phones",
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
