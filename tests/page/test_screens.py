"""The pages as a person sees them: whole, wide and narrow; kept as pictures on request."""

from __future__ import annotations

import os

import pytest

from roomcheck.demo import demo
from roomcheck.job import load_job

from .conftest import opened

KEPT_IN = os.environ.get("ROOMCHECK_SCREENS", "")
"""A folder for the pictures, such as docs/figures; none are kept where it is not named."""


@pytest.fixture(scope="module")
def jobs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("jobs")
    demo(folder / "story-room")
    return folder


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
            ("offer", "/job/story-room/offer", ".lead"),
            ("proof", "/job/story-room/proof", ".verdict"),
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
                if name == "plan":  # the room in space is drawn once it is looked at
                    window.locator(".space").first.scroll_into_view_if_needed()
                    window.wait_for_selector("canvas", timeout=60_000)
                    window.evaluate("scrollTo(0, 0)")
                window.screenshot(path=f"{KEPT_IN}/page-{name}-{size}.png")
