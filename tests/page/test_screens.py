"""The pages as a person sees them: whole, wide and narrow; kept as pictures on request."""

from __future__ import annotations

import os
import shutil

import pytest

from roomcheck.chain import open_job
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


def test_a_plan_is_chosen_and_signed_once(jobs, chromium, tmp_path):
    folder = tmp_path / "jobs" / "room-a"
    shutil.copytree(jobs / "story-room", folder)
    shutil.rmtree(folder / "signed")
    window = chromium.new_context().new_page()
    window.set_default_timeout(180_000)
    with opened(folder.parent) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/plan")
        window.wait_for_selector(".verdict")
        shown = window.locator(".card[aria-current]").inner_text()
        window.get_by_label("Name of the person who accepts it").fill("Client A")
        window.get_by_label("accepted today").check()
        window.get_by_role("button", name="Sign").click()
        window.wait_for_selector("text=Signed by Client A")
        assert window.locator("text=Sign this plan").count() == 0
    window.context.close()
    agreement = open_job(folder).agreement
    assert agreement.signed_by == "Client A"
    assert f"{agreement.quote.total:,.2f}" in shown
