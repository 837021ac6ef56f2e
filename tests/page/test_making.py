"""The shop and the walls of a job, as a carpenter with sawdust on the glass uses them."""

from __future__ import annotations

import io
import re
import shutil
from pathlib import Path

import pytest

from roomcheck.chain import open_job
from roomcheck.job import Behind, load_job, read_done, read_shop
from roomcheck.page.making.hanging import hanging_page
from roomcheck.page.making.shop import shop_page
from roomcheck.workshop import Refusal

from .conftest import TOP, opened, until

STORY = TOP / "roomcheck" / "demo" / "story-room"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The demo's signed job with its build sheet kept."""
    folder = tmp_path_factory.mktemp("making") / "jobs" / "room-a"
    shutil.copytree(STORY, folder)
    open_job(folder).sheet  # noqa: B018
    return folder


@pytest.fixture
def folder(made, tmp_path):
    return Path(shutil.copytree(made, tmp_path / "jobs" / "room-a"))


@pytest.fixture
def server(folder):
    with opened(folder.parent) as server:
        yield server


def small_ones(window):
    """Targets of the page that a glove misses: under 44 px either way, hidden ones left out."""
    return window.evaluate(
        "[...document.querySelectorAll('main button, main a.button, main nav a, main summary, "
        "main input:not([type=hidden]), main select')].filter(e => e.checkVisibility()).map(e => "
        "[e.textContent.trim().slice(0, 30), e.getBoundingClientRect()]).filter(([, r]) => "
        "r.height < 44 || r.width < 44).map(([t, r]) => `${t} ${r.width} x ${r.height}`)"
    )


def test_buying_and_cutting_are_ticked_and_taken_back(window, folder, server):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/shop?list=buy")
    window.get_by_text("Who are you?").click()
    window.get_by_label("your name").fill("Sam")
    window.get_by_role("button", name="That is me").click()
    until(window, "document.body.textContent.includes('You are Sam')")
    assert "Wool and cloth" in window.inner_text("main")
    window.get_by_role("button", name="wood glue").click()
    window.wait_for_selector("button[aria-pressed=true]")
    (tick,) = read_done(folder).ticks
    assert (tick.list, tick.by) == ("buy", "Sam")
    assert tick.item.startswith("wood glue")
    window.get_by_role("button", name="wood glue").click()
    window.wait_for_selector("button[aria-pressed=true]", state="detached")
    assert read_done(folder).ticks == ()

    window.goto(f"{server.root}/job/room-a/shop?list=cut")
    sheet = open_job(folder).sheet
    first = window.inner_text(".ticket")
    assert re.search(r"setting 1 of (\d+)", first), first
    assert first.startswith(sheet.setups[0].stock)
    size = window.evaluate(
        "parseFloat(getComputedStyle(document.querySelector('.figure strong')).fontSize)"
    )
    assert size >= 40  # at arm's length
    assert small_ones(window) == []
    window.get_by_role("button", name="Cut: next setting").click()
    until(window, "document.querySelector('.ticket').innerText.includes('setting 2 of')")
    assert [t.list for t in read_done(folder).ticks] == ["stop"]
    window.get_by_role("link", name="Back one").click()
    window.wait_for_selector("text=Cut by Sam")
    window.get_by_role("button", name="Not done after all").click()
    until(window, "!document.body.textContent.includes('Cut by Sam')")
    assert read_done(folder).ticks == ()
    assert window.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


def test_hours_run_beside_the_planned_ones_and_one_question_takes_them_up(window, folder, server):
    agreed = open_job(folder).agreed
    count = sum(piece.piece == "4 in panel" for piece in agreed.plan.pieces)
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/shop?list=hours")
    window.get_by_role("button", name="Start the clock: frame, 4 in panel", exact=True).click()
    window.wait_for_selector("[data-since]")
    until(window, "/^0:0/.test(document.querySelector('[data-since]').textContent)")
    window.get_by_label("hours, if the clock was forgotten").fill(f"{90 * count} min")
    window.get_by_role("button", name="Stop").click()
    window.wait_for_selector("[data-since]", state="detached")
    for work in ("core", "fabric"):
        window.get_by_label("Or type them").select_option(f"4 in panel|{work}")
        window.get_by_label("hours, such as").fill(f"{30 * count} min")
        window.get_by_role("button", name="Note them").click()
        until(
            window, f"document.querySelectorAll('li form').length >= {2 if work == 'core' else 3}"
        )
    assert not (folder.parent / "shop.toml").exists()  # nothing is written until it is asked
    window.get_by_role("button", name="Yes, write 2.50 h").click()
    until(window, "document.getElementById('note').textContent.includes('2.5 h from now on')")
    assert read_shop(folder.parent / "shop.toml").piece("4 in panel").build_hours * 2 == 5
    assert small_ones(window) == []


def test_what_is_found_moves_the_mark_or_stops_the_hole(window, folder, server):
    before = {line.name: line for line in open_job(folder).sheet.hanging}
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/hanging?face=north")
    assert small_ones(window) == []
    line = before["A6"]
    stud_m = line.studs_m[0]
    window.get_by_label("What is behind the wall at A6?").select_option("stud")
    field = window.locator("#l-A6")
    field.fill(f"{1000 * (stud_m + 0.0254):.1f} mm")
    window.get_by_role("button", name="Keep what was found").first.click()
    window.wait_for_selector("text=Found behind this wall", timeout=60_000)
    window.wait_for_selector("[data-part=wall] .findings", timeout=60_000)
    now = {line.name: line for line in open_job(folder).sheet.hanging}["A6"]
    assert now.studs_m[0] == pytest.approx(stud_m + 0.0254, abs=1e-4)
    assert now.load_ratio is not None
    assert now.load_ratio >= load_job(folder).shop.practice.least_ratio  # statics anew
    assert now.load_ratio != line.load_ratio

    window.goto(f"{server.root}/job/room-a/hanging?face=north")
    window.wait_for_selector("#w-A6", state="attached")
    if not window.locator("#w-A6").is_visible():
        window.locator("details.hang summary").first.click()
    window.get_by_label("What is behind the wall at A6?").select_option("cable")
    window.get_by_role("button", name="Keep what was found").first.click()
    window.wait_for_selector("text=Do not hang A6", timeout=60_000)
    assert window.get_by_role("button", name="A6 hangs").count() == 0
    job = load_job(folder)
    assert [one.what for one in job.dangers_of("north")] == [Behind.CABLE]
    (stopped,) = [one for one in open_job(folder).sheet.hanging if one.refused]
    assert {refusal.kind for refusal in stopped.refused} == {Refusal.FOUND_BEHIND}

    window.get_by_label("A licensed person looked").fill("B, licence 12")
    window.get_by_role("button", name="Keep what they say").click()
    window.wait_for_selector("text=Do not hang A6", state="detached", timeout=60_000)
    assert load_job(folder).dangers_of("north") == ()
    record = "\n".join(one.note for one in load_job(folder).found)
    assert "B, licence 12" in record
    assert window.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


def test_a_photograph_is_kept_with_its_wall(window, folder, server):
    from PIL import Image

    held = io.BytesIO()
    Image.new("RGB", (320, 200), "white").save(held, "JPEG")
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/hanging?face=north")
    for name, content, said in (
        ("IMG_1.jpg", held.getvalue(), "kept as north.jpg"),
        ("note.jpg", b"no picture", "no picture"),
    ):
        file = {"name": name, "mimeType": "image/jpeg", "buffer": content}
        window.locator("#photo").set_input_files(file)
        window.get_by_role("button", name="Keep the photograph").click()
        until(window, f"document.getElementById('note').textContent.includes('{said}')")
        window.wait_for_selector("a:has-text('north.jpg')")
        window.wait_for_timeout(1000)  # the page is drawn again, its form empty
    assert (folder / "photos" / "north.jpg").read_bytes() == held.getvalue()


def test_a_signed_job_without_its_sheet_has_it_worked_out(chromium, folder):
    shutil.rmtree(folder / "results")
    window = chromium.new_context(viewport={"width": 390, "height": 800}).new_page()
    with opened(folder.parent) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/hanging")
        window.wait_for_selector(".marks dd", timeout=60_000)
    window.context.close()


def test_a_row_of_blocks_is_glued_one_at_a_time(made):
    job = load_job(made)
    from roomcheck.job import Done
    from roomcheck.workshop import build_pieces

    names = [piece.name for piece in job.shop.stock if piece.kind == "block diffuser"]
    sheet = build_pieces(job, [(names[0], 1)])
    (piece,) = sheet.sheets
    page = shop_page(job, sheet, Done(), "glue")
    assert page.row is not None
    shown = [cell for four in page.row.row.fours for cell in four]
    inches = [f"{height / 0.0254:.0f}" for height in piece.row_map[0]]
    assert shown == inches
    assert all(len(four) == 4 for four in page.row.row.fours[:-1])
    third = shop_page(job, sheet, Done(), "glue", "3").row
    assert third is not None
    assert third.row.number == 3


def test_marks_of_a_wall_are_those_of_the_sheet(made):
    chain = open_job(made)
    done = read_done(made)
    for face in chain.job.room.faces:
        page = hanging_page(chain.job, chain.sheet, done, face.name)
        assert page is not None
        lines = {line.name: line for line in chain.sheet.hanging if line.face == page.face}
        assert {piece.name for piece in page.pieces} == set(lines)
        for piece in page.pieces:
            kinds = [caution.kind for caution in lines[piece.name].cautions]
            shown = (*piece.mark_cautions, *piece.drill_cautions, *piece.lift_cautions)
            assert len(shown) == len(kinds)  # none is lost
