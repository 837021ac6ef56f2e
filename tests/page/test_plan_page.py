"""Pieces placed by hand: refused where a hard rule is against it, never priced there; every state
kept, in the browser and through the page's own handlers."""

from __future__ import annotations

import random
import shutil
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import urlencode

import anyio
import pytest
from starlette.requests import Request

from roomcheck.chain import open_job
from roomcheck.errors import RoomcheckError
from roomcheck.facts import fact
from roomcheck.geometry import Rectangle
from roomcheck.job import Edit, LayoutAct, Placement, edit_job, keep_layout, load_job, read_layouts
from roomcheck.page.base.folder import Folder
from roomcheck.page.base.guard import Keys
from roomcheck.page.planning.planner import Planner
from roomcheck.page.server import Server

from ..recommend import layout_check
from .conftest import make_room, opened, until

STARTED = fact(LayoutAct.STARTED, number=1)


def ask(server, what, **form):
    """One request to the plan's own handler, as the page sends it."""

    async def receive():
        return {"type": "http.request", "body": urlencode(form).encode(), "more_body": False}

    headers = [(b"content-type", b"application/x-www-form-urlencoded")]
    scope = {
        "type": "http",
        "method": "POST",
        "path": f"/job/room-a/plan/{what}",
        "path_params": {"name": "room-a", "what": what},
        "query_string": b"",
        "headers": headers,
    }
    answer = server.plans.attempt if what == "try" else server.plans.change
    # In a thread of its own: a browser that another test opened keeps a loop running in this one.
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(anyio.run, answer, Request(scope, receive)).result()


def test_a_look_is_chosen_for_a_kind_of_piece_and_taken_back(server, tmp_path):
    folder = make_room(tmp_path / "room-a")
    for value, chosen in (("walnut", "walnut"), ("black", "black"), ("", None)):
        ask(server, "look", piece="block diffuser", value=value)
        look = load_job(folder).look_of("block diffuser")
        assert (look and look.name) == chosen
    with pytest.raises(RoomcheckError, match="shows stain or paint"):
        ask(server, "look", piece="block diffuser", value="navy")
    assert load_job(folder).looks == ()


@pytest.fixture
def server(tmp_path, monkeypatch):
    """The handlers without a process that reads the room: hard rules need none."""
    monkeypatch.setattr(Planner, "up_to_date", lambda _self: None)
    return Server(Folder(tmp_path), Keys(port=1))


def furnish(folder, chance):
    """Doors, windows, outlets and studs at random places of the room's walls."""
    for number in range(chance.randint(1, 3)):
        face = chance.choice(["north", "south", "east", "west"])
        own = {
            "name": f"door {number}",
            "face": face,
            "material": "solid wooden door",
            "left": f"{chance.randint(1, 80)} in",
            "bottom": "0 in",
            "width": "32 in",
            "height": "80 in",
            "opening": "yes",
            "clearance": "3 in",
        }
        edit_job(folder, [Edit(("patch",), own)])
    own = {
        "name": "outlet",
        "kind": "outlet",
        "face": chance.choice(["north", "south"]),
        "left": f"{chance.randint(1, 120)} in",
        "bottom": "12 in",
        "width": "3 in",
        "height": "5 in",
        "clearance": "4 in",
    }
    edit_job(folder, [Edit(("keep_clear",), own)])


@pytest.mark.parametrize("seed", range(6))
def test_what_is_dragged_onto_a_hard_rule_is_refused_and_nothing_is_written(server, tmp_path, seed):
    chance = random.Random(seed)
    folder = make_room(tmp_path / "room-a", places=False)
    furnish(folder, chance)
    job = load_job(folder)
    stock = [p for p in job.shop.stock if p.kind in ("panel", "cloud") and not p.diffuser]
    hung: list[Placement] = []
    for number, piece in enumerate(stock[:3], 1):
        # Where nothing can be yet: off its face. Dragging brings it in.
        place = Rectangle(-5.0, 1.0, piece.width_m, piece.height_m)
        face = "ceiling" if piece.kind == "cloud" else "north"
        hung.append(Placement(name=f"A{number}", piece=piece.name, face=face, place=place))
    layout = keep_layout(folder, STARTED, hung)
    there: dict[str, Placement] = {}
    refused = allowed = 0
    for _ in range(40):
        old = chance.choice(layout.pieces)
        overhead = job.shop.piece(old.piece).kind == "cloud"
        face = job.room.face("ceiling" if overhead else chance.choice(["north", "south", "east"]))
        left = round(chance.uniform(-0.2, face.width_m - old.place.width_m + 0.2) / 0.0254) * 0.0254
        bottom = round(chance.uniform(0.0, face.height_m - old.place.height_m) / 0.0254) * 0.0254
        place = Rectangle(left, bottom, old.place.width_m, old.place.height_m)
        tried = Placement(
            name=old.name, piece=old.piece, face=face.name, place=place, reasons=("x",)
        )
        seen = layout_check.complaints(
            job, (*(p for n, p in there.items() if n != old.name), tried)
        )
        form = {"name": old.name, "face": face.name, "u": left, "v": bottom}
        base = f"state:{layout.number}"
        said = ask(server, "try", base=base, **form).body.decode()
        before = sorted((folder / "layouts").iterdir())
        try:
            ask(server, "move", base=base, **form)
        except RoomcheckError as problem:
            assert f"{old.name} cannot hang there" in str(problem)
            assert f"{old.name} cannot hang there" in said
            assert "$" not in said
            assert sorted((folder / "layouts").iterdir()) == before
            assert seen, str(problem)
            refused += 1
            continue
        assert seen == []
        there[old.name] = tried
        layout = read_layouts(folder)[-1]
        assert {p.name for p in layout.pieces} == {p.name for p in hung}
        allowed += 1
    assert refused and allowed


def test_another_window_that_changed_the_pieces_is_not_overwritten(server, tmp_path):
    folder = make_room(tmp_path / "room-a", places=False)
    piece = next(p for p in load_job(folder).shop.stock if p.kind == "panel")
    ask_for = {"piece": piece.name, "face": "north"}
    keep_layout(folder, STARTED, ())
    ask(server, "add", base="state:1", **ask_for)
    with pytest.raises(RoomcheckError, match="meanwhile"):
        ask(server, "add", base="state:1", **ask_for)
    ask(server, "add", base="state:2", **ask_for)
    ask(server, "remove", base="state:3", name="A1")
    ask(server, "add", base="state:4", **ask_for)
    # A name is never given twice, and the first state can be had again.
    assert [p.name for p in read_layouts(folder)[-1].pieces] == ["A2", "A3"]
    ask(server, "back", state="2")
    newest = read_layouts(folder)[-1]
    assert [p.name for p in newest.pieces] == ["A1"] and newest.number == 6
    ask(server, "pin", base="state:6", name="A1")
    assert read_layouts(folder)[-1].pinned == ("A1",)
    ask(server, "move", base="state:7", name="A1", left="4 ft", bottom="3 ft")
    ask(server, "turn", base="state:8", name="A1")
    old, new = (read_layouts(folder)[i].pieces[0].place for i in (-2, -1))
    assert (old.width_m, old.height_m) == (new.height_m, new.width_m)
    assert old.centre == pytest.approx(new.centre, abs=1e-5)


@pytest.fixture
def jobs(planned, tmp_path):
    shutil.copytree(planned, tmp_path / "jobs" / "room-a")
    return tmp_path / "jobs"


def test_a_piece_is_dragged_refused_moved_by_keys_explained_and_signed(jobs, chromium):
    window = chromium.new_context(viewport={"width": 1280, "height": 900}).new_page()
    window.set_default_timeout(120_000)
    folder = jobs / "room-a"
    with opened(jobs) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/plan?face=east")
        window.wait_for_selector("#effect .octaves")
        piece = window.locator("svg a[data-way^='piece.'] .piece").first
        name = piece.evaluate("one => one.closest('a').dataset.way.replace('piece.', '')")
        door = window.locator("svg a[data-way='patch.door'] .thing, svg [data-way*='door'] .thing")
        piece.scroll_into_view_if_needed()
        box, to = piece.bounding_box(), door.first.bounding_box()
        window.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        window.mouse.down()
        window.mouse.move(to["x"] + to["width"] / 2, to["y"] + to["height"] / 2, steps=8)
        until(window, f"document.querySelector('#effect').textContent.includes('{name} cannot')")
        assert "$" not in window.inner_text("#effect")
        window.mouse.up()
        until(window, "document.querySelector('#note').textContent.includes('Nothing was changed')")
        assert read_layouts(folder) == ()
        until(window, "document.querySelector('#effect .octaves') !== null")
        # Up by an inch with the keys: the studs stay where they are.
        window.locator(f"svg a[data-way='piece.{name}']").focus()
        window.keyboard.press("ArrowUp")
        until(window, "document.querySelector('#note').textContent === 'Moved.'")
        first, moved = read_layouts(folder)
        rise = _place(moved, name).v_m - _place(first, name).v_m
        assert rise == pytest.approx(0.0254, abs=0.013)
        window.wait_for_selector(".card[aria-current] :text('As you placed it')")
        until(
            window, "document.querySelector('.card[aria-current]').textContent.includes('$')", 600
        )
        window.goto(f"{server.root}/job/room-a/plan?why={name}")
        until(
            window, f"document.querySelector('.asked h2')?.textContent.startsWith('{name}:')", 600
        )
        window.get_by_role("link", name="Offer this plan").click()
        window.get_by_label("Name of the person who accepts it").fill("Client A")
        window.get_by_label("accepted today").check()
        window.get_by_role("button", name="Sign").click()
        window.wait_for_selector("text=Signed by Client A")
    window.context.close()
    agreement = open_job(folder).agreement
    hung = {(p.name, p.face, p.place) for p in agreement.plan.pieces}
    assert hung == {(p.name, p.face, p.place) for p in moved.pieces}


def finger(window, points):
    """Draw with a finger, as a touch screen says it."""
    client = window.context.new_cdp_session(window)
    for kind, (x, y) in zip(
        ("touchStart", *["touchMove"] * (len(points) - 1)), points, strict=True
    ):
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    client.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_piece_is_moved_with_a_finger_on_a_narrow_screen(jobs, chromium):
    window = chromium.new_context(
        viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True
    ).new_page()
    window.set_default_timeout(60_000)
    folder = jobs / "room-a"
    with opened(jobs) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/plan?face=east")
        piece = window.locator("svg a[data-way^='piece.'] .piece").first
        piece.scroll_into_view_if_needed()
        name = piece.evaluate("one => one.closest('a').dataset.way.replace('piece.', '')")
        old = float(piece.evaluate("one => one.closest('a').dataset.v"))
        box = piece.bounding_box()
        at = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        per_m = box["height"] / float(piece.get_attribute("height")) * 1000
        stood = window.evaluate("scrollY")
        window.evaluate("addEventListener('pointerup', () => { window.dropped = scrollY; }, true)")
        finger(window, [at, *[(at[0], at[1] - per_m * 0.1 * i / 4) for i in range(1, 5)]])
        until(window, "document.querySelector('#note').textContent === 'Moved.'")
        moved = read_layouts(folder)[-1]
        assert _place(moved, name).v_m - old == pytest.approx(0.1, abs=0.02)
        # A browser that pans under the finger ends its pointer, and scrolls.
        assert window.evaluate("window.dropped") == stood
    window.context.close()


def _place(layout, name):
    return next(p.place for p in layout.pieces if p.name == name)
