"""A room typed in a real browser: by clicks, keys and fingers, never losing a letter."""

from __future__ import annotations

import pytest

from roomcheck.job import load_job

from .conftest import make_room, opened, until


@pytest.fixture
def jobs(tmp_path):
    folder = tmp_path / "jobs"
    folder.mkdir()
    return folder


@pytest.fixture
def server(jobs):
    with opened(jobs) as server:
        yield server


@pytest.fixture
def room(jobs):
    return make_room(jobs / "room-a", places=False)


def saved(window):
    until(window, "document.getElementById('note').textContent === 'Saved.'")


def type_into(window, label, text):
    """Type into a field by its label, as a person does."""
    window.evaluate("document.getElementById('note').textContent = ''")
    field = window.get_by_label(label, exact=True).first
    field.fill(text)
    field.press("Tab")


def test_a_new_job_in_an_empty_folder(server, jobs, window):
    window.goto(server.address)
    assert "Begin the first one" in window.inner_text("main")
    window.get_by_label("What is the room called?").fill("Café, front room")
    window.get_by_label("Who is the client?").fill("Client A")
    window.get_by_label("What is it used as?").select_option("cafe")
    window.get_by_label("long", exact=True).fill("13'4")
    window.get_by_label("wide", exact=True).fill("11 ft 6")
    window.get_by_label("high", exact=True).fill("8 elephants")
    window.get_by_role("button", name="Begin").click()
    assert window.get_by_label("long", exact=True).input_value() == "13'4"
    assert "elephants" in window.inner_text("#wrong-height")
    window.get_by_label("high", exact=True).fill("9' 1\"")
    window.get_by_role("button", name="Begin").click()
    window.wait_for_url("**/job/cafe-front-room/room*")
    job = load_job(jobs / "cafe-front-room")
    assert job.room.face("floor").width_m == pytest.approx(13 * 0.3048 + 4 * 0.0254)
    assert job.room.height_m == pytest.approx(9 * 0.3048 + 0.0254)


def test_a_size_is_saved_as_it_is_typed_and_what_cannot_be_stays_in_the_field(server, room, window):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room")
    type_into(window, "Length", "16 ft 3 1/2 in")
    saved(window)
    assert load_job(room).room.face("floor").width_m == pytest.approx(16 * 0.3048 + 3.5 * 0.0254)
    assert "16'-3 1/2\"" in window.inner_text("[data-part=facts]")
    before = (room / "job.toml").read_text("utf-8")
    type_into(window, "Height", "8 apples")
    window.wait_for_selector("[data-wrong='room.height']:not([hidden])")
    assert "apples" in window.inner_text("[data-wrong='room.height']")
    assert (room / "job.toml").read_text("utf-8") == before
    window.reload()
    window.get_by_role("button", name="You typed").click()
    assert window.get_by_label("Height", exact=True).input_value() == "8 apples"


def test_things_come_on_a_wall_move_and_go_and_undo_brings_them_back(server, room, window):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room?face=north")
    window.get_by_role("button", name="door", exact=True).click()
    window.wait_for_selector("details[data-thing='patch.door']")
    assert load_job(room).patches[0].face == "north"
    door = window.locator("svg [data-way='patch.door'] .thing")
    door.scroll_into_view_if_needed()
    box = door.bounding_box()
    window.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    window.mouse.down()
    window.mouse.move(box["x"] + box["width"] / 2 + 60, box["y"] + box["height"] / 2, steps=5)
    window.mouse.up()
    until(window, "document.getElementById('note').textContent === 'Moved.'")
    moved = load_job(room).patches[0].place
    assert moved.u_m > 0.4
    assert moved.u_m / 0.0254 == pytest.approx(round(moved.u_m / 0.0254))
    window.locator("svg a[data-way='patch.door']").focus()
    window.keyboard.press("ArrowRight")
    until(
        window,
        f"Math.abs(document.querySelector('svg a[data-way]').dataset.u - {moved.u_m + 0.0254}) < 1e-3",
    )
    if not window.get_by_role("button", name="Take door out").is_visible():
        window.get_by_text("door", exact=True).first.click()
    window.get_by_role("button", name="Take door out").click()
    window.wait_for_selector("details[data-thing='patch.door']", state="detached")
    assert load_job(room).patches == ()
    window.get_by_role("button", name="Undo").click()
    window.wait_for_selector("details[data-thing='patch.door']")
    assert load_job(room).patches[0].place.u_m == pytest.approx(moved.u_m + 0.0254)


def test_furniture_is_given_its_place_is_dragged_and_drawn(server, room, window):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room?face=north")
    window.get_by_role("button", name="Add furniture").click()
    window.get_by_role("button", name="Give furnishing its place on the floor").click()
    window.wait_for_selector("svg [data-way='furnishing.furnishing'] .box")
    stood = load_job(room).furnishings[0]
    # In the middle of 14 by 12 ft, 80 cm each way; to a sixteenth of an inch, as it is written.
    middle = (14 * 0.3048 / 2, 12 * 0.3048 / 2)
    assert stood.place.centre == pytest.approx(middle, abs=0.0016)
    assert stood.height_m == pytest.approx(0.8, abs=0.0016)
    box = window.locator("svg [data-way='furnishing.furnishing'] .box")
    box.scroll_into_view_if_needed()
    at = box.bounding_box()
    window.mouse.move(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
    window.mouse.down()
    window.mouse.move(at["x"] + at["width"] / 2 + 30, at["y"] + at["height"] / 2, steps=5)
    window.mouse.up()
    until(window, "document.getElementById('note').textContent === 'Moved.'")
    assert load_job(room).furnishings[0].place.u_m > stood.place.u_m + 0.05
    picture = window.request.get(f"{server.root}/job/room-a/space.json").json()
    assert [one["name"] for one in picture["furniture"]] == ["furnishing"]
    window.get_by_role("button", name="Take furnishing off the drawings").click()
    window.wait_for_selector("svg [data-way='furnishing.furnishing']", state="detached")
    assert load_job(room).furnishings[0].place is None


def test_two_windows_and_an_editor_see_each_others_changes(server, room, window):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room")
    other = window.context.new_page()
    other.goto(f"{server.root}/job/room-a/room")
    type_into(window, "Height", "9 ft")
    saved(window)
    until(other, "document.getElementById('room-height').value === '9 ft'")
    path = room / "job.toml"
    path.write_text(path.read_text("utf-8").replace('"9 ft"', '"9 ft 6 in"'), "utf-8")
    for one in (window, other):
        until(one, "document.getElementById('room-height').value === '9 ft 6 in'")
    # A window that has not seen a change does not overwrite it.
    other.route("**/events", lambda route: route.abort())
    other.reload()
    type_into(window, "Width", "13 ft")
    saved(window)
    type_into(other, "Width", "11 ft")
    until(other, "document.getElementById('note').textContent.includes('meanwhile')")
    assert load_job(room).room.face("floor").height_m == pytest.approx(13 * 0.3048)
    other.close()


def test_the_server_ends_and_comes_back_and_nothing_typed_is_lost(server, room, window):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room")
    server.end()
    window.wait_for_selector("#gone:not([hidden])")
    type_into(window, "Height", "10 ft")
    window.wait_for_timeout(900)
    server.start()
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room")
    window.get_by_role("button", name="You typed").click()
    until(window, "document.getElementById('note').textContent === 'Saved.'")
    assert load_job(room).room.height_m == pytest.approx(10 * 0.3048)


def test_forms_work_without_scripts(server, room, chromium):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(server.address)
    page.goto(f"{server.root}/job/room-a/room")
    form = page.locator("form", has=page.locator("[value='room.height']"))
    form.locator("[name=value]").fill("9 ft")
    form.get_by_role("button", name="Save").click()
    assert load_job(room).room.height_m == pytest.approx(9 * 0.3048)
    form = page.locator("form", has=page.locator("[value='room.width']"))
    form.locator("[name=value]").fill("ten")
    form.get_by_role("button", name="Save").click()
    assert "ten" in page.locator("[data-wrong='room.width']").inner_text()
    assert page.locator("#room-width").input_value() == "ten"
    context.close()
