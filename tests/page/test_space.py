"""The room in space in a real browser, held against the still drawing of the same scene."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import os
import re
import shutil
import tarfile
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.image import imread

import roomcheck.demo
from roomcheck.page.places.space import space_json

from .conftest import CHROMIUM, opened, until

STATIC = Path(roomcheck.__file__).parent / "page" / "static"
VENDOR = STATIC / "vendor"
DRAW = """async ([scene, wide, high, focal]) => {
  const three = await import('/static/vendor/three/three.module.js');
  const { build, still, cutAway } = await import('/static/space.js');
  const built = build(three, scene);
  cutAway(built, scene, scene.view.eye, false, focal ?? Infinity);
  const flat = new three.MeshBasicMaterial({ color: 0xffffff });
  built.world.overrideMaterial = flat;
  built.room.visible = built.marks.visible = built.paths.visible = built.edges.visible = false;
  const renderer = new three.WebGLRenderer({ antialias: false, preserveDrawingBuffer: true });
  renderer.setSize(wide, high, false);
  renderer.setClearColor(0x000000, 1);
  const camera = still(three, scene.view, wide / high);
  camera.updateProjectionMatrix();
  renderer.render(built.world, camera);
  const gl = renderer.getContext(), seen = new Uint8Array(4 * wide * high);
  gl.readPixels(0, 0, wide, high, gl.RGBA, gl.UNSIGNED_BYTE, seen);
  const rows = [];
  for (let y = high - 1; y >= 0; y -= 1) {
    let row = '';
    for (let x = 0; x < wide; x += 1) row += seen[4 * (y * wide + x)] > 127 ? '1' : '0';
    rows.push(row);
  }
  renderer.dispose();
  return rows;
}"""


@pytest.fixture(scope="module")
def browser(playwright_here):
    drawn = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
    browser = playwright_here.chromium.launch(executable_path=CHROMIUM, args=drawn)
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    folder = tmp_path_factory.mktemp("space") / "story-room"
    shutil.copytree(Path(roomcheck.demo.__file__).parent / "story-room", folder)
    with opened(folder) as server:
        yield server


def window_of(browser: Any, server: Any, wide: int = 1280, high: int = 900) -> Any:
    window = browser.new_context(viewport={"width": wide, "height": high}).new_page()
    window.set_default_timeout(60_000)
    window.goto(server.address)
    window.goto(f"{server.root}/job/story-room/room")
    return window


def mixed_job(folder: Path):
    """A room with a diffuser, a panel on its side, a trap in a corner and a cloud."""
    from roomcheck.chain import Chain, open_job
    from roomcheck.geometry import Rectangle
    from roomcheck.job import Placement

    chain: Chain = open_job(folder)
    places = [
        ("A1", "block diffuser", "west", (1.2, 0.8, 0.6096, 1.2192)),
        ("A2", "2 in panel", "north", (1.0, 1.2, 1.2192, 0.6096)),
        ("A3", "corner trap", "north", (0.0, 0.3, 0.6096, 1.2192)),
        ("A4", "4 in ceiling cloud", "ceiling", (1.0, 1.0, 1.2192, 1.2192)),
        ("A5", "well diffuser", "north", (2.9, 0.8, 0.6096, 1.2192)),
    ]
    pieces = [
        Placement(name=name, piece=piece, face=face, place=Rectangle(*place))
        for name, piece, face, place in places
    ]
    return chain.job, pieces


SHOWN = """async (scene) => {
  const three = await import('/static/vendor/three/three.module.js');
  const { build } = await import('/static/space.js');
  const found = {};
  for (const kind of build(three, scene).kinds) {
    const colours = kind.near.map((one) => one.material.color.getHexString());
    for (const { piece } of kind.standing) found[piece.name] = colours;
  }
  return found;
}"""


def test_the_browser_shows_what_was_chosen_and_the_rest_as_usual(browser, server, monkeypatch):
    from roomcheck.chain import Chain
    from roomcheck.job import ChosenLook, ShopLook
    from roomcheck.page.places import space

    job, pieces = mixed_job(server.folder)
    monkeypatch.setattr(space, "_pieces", lambda *_: pieces)
    cloth = ShopLook(name="red", kind="cloth", colour="#a03020")
    paint = ShopLook(name="blue", kind="paint", colour="#203080")
    looks = (ChosenLook(look=cloth), ChosenLook(look=paint, piece="block diffuser"))
    plain, chosen = (
        json.loads(space_json(Chain(job=replace(job, looks=each)), "")) for each in ((), looks)
    )
    window = window_of(browser, server)
    before, after = window.evaluate(SHOWN, plain), window.evaluate(SHOWN, chosen)
    assert set(after["A1"]) == {"203080"} and set(after["A2"]) == {"a03020"}
    assert after["A5"] == before["A5"] and before["A2"] == ["8fa0a8"]


@pytest.mark.parametrize("afar", [False, True], ids=["near", "as from afar"])
def test_both_renderers_show_the_same_silhouettes(browser, server, monkeypatch, afar):
    """Outlines of the still drawing against the edge of what the browser fills, same camera."""
    from roomcheck.chain import open_job
    from roomcheck.page.places import space
    from roomcheck.report.figures.room_picture import paper_of, room_drawn
    from roomcheck.scene import HALF_ANGLE_DEG, best_view, scene

    job, pieces = mixed_job(server.folder)
    monkeypatch.setattr(space, "_pieces", lambda *_: pieces)
    plain = json.loads(space_json(open_job(server.folder), ""))
    wide, high = 1200, 900
    window = window_of(browser, server)
    rows = window.evaluate(DRAW, [plain, wide, high, 1.0 if afar else None])
    mask = np.array([[sign == "1" for sign in row] for row in rows])
    assert 0.02 < mask.mean() < 0.6

    built = scene(job, pieces)
    view = best_view(built)
    lines = room_drawn(built, paper_of(built, view))
    focal = high / 2 / np.tan(np.radians(HALF_ANGLE_DEG))
    share = np.linspace(0, 1, 60)[:, None]
    drawn = np.zeros_like(mask)
    ends = next(each.lines for each in lines if each.pen == "piece")
    parts = next(each.lines for each in lines if each.pen == "part")
    for line in np.concatenate([ends, parts]):
        flat = focal * view.project(line[0] + share * (line[1] - line[0]))
        x = np.clip(np.floor(wide / 2 + flat[:, 0]), 0, wide - 1).astype(int)
        y = np.clip(np.floor(high / 2 - flat[:, 1]), 0, high - 1).astype(int)
        drawn[y, x] = True
    # Every edge of what is filled has a line within two pixels; every line lies on what is filled.
    inner = mask.copy()
    for axis in (0, 1):
        for step in (1, -1):
            inner &= np.roll(mask, step, axis)
    edge = mask & ~inner
    assert edge.sum() > 500
    # As from afar, sides within a piece are left out: less than a block, 38 mm, may be missing.
    middle = np.mean([surface.axes.origin for surface in built.surfaces], axis=0)
    block = focal * 0.0381 / np.linalg.norm(np.array(view.eye) - middle)
    assert not (edge & ~grown(drawn, 2)).any()
    assert not (drawn & ~grown(mask, 2 + (int(block) if afar else 0))).any()


def grown(mask: np.ndarray, pixels: int) -> np.ndarray:
    for _ in range(pixels):
        mask = mask | np.roll(mask, 1, 0) | np.roll(mask, -1, 0)
        mask = mask | np.roll(mask, 1, 1) | np.roll(mask, -1, 1)
    return mask


@pytest.mark.parametrize("size", [(1280, 900), (390, 800)], ids=["wide", "telephone"])
def test_one_turns_the_room_walks_in_and_sits_down(browser, server, size):
    window = window_of(browser, server, *size)
    wrong: list[str] = []
    window.on("pageerror", lambda error: wrong.append(str(error)))
    window.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    window.locator(".space").scroll_into_view_if_needed()
    until(window, "document.querySelector('.space.drawn') !== null")
    assert window.locator(".space img").is_hidden()
    canvas = window.locator(".space canvas")
    looks = {"whole": shot(window)}
    for name in ("Walk in", "At the seat"):
        window.click(f".space button:text('{name}')")
        looks[name] = shot(window)
        assert window.get_attribute(".space", "data-at") == "inside"
    canvas.focus()
    window.keyboard.press("ArrowUp")
    looks["a step"] = shot(window)
    canvas.focus()
    window.keyboard.press("ArrowLeft")
    looks["turned"] = shot(window)
    window.click(".space .pad button[aria-label='Back']")
    looks["a step back"] = shot(window)
    window.select_option(".space select", "south")
    looks["south"] = shot(window)
    box = canvas.bounding_box()
    window.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    window.mouse.down()
    window.mouse.move(box["x"] + box["width"] / 4, box["y"] + box["height"] / 2, steps=4)
    window.mouse.up()
    looks["dragged"] = shot(window)
    canvas.focus()
    window.keyboard.press("Home")
    assert changed(shot(window), looks["whole"]) < 0.005
    for one, other in combinations(looks.values(), 2):
        assert changed(one, other) > 0.01
    assert window.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not wrong
    window.context.close()


EXPOSED = """async (bodies) => {
  const { exposed } = await import('/static/space.js');
  const all = [...exposed(bodies).values()].flat();
  const area = ({ from, to }) => (to[0] - from[0]) * (to[1] - from[1]);
  const sums = [0, 0, 0];
  for (const side of all) sums[side.axis] += area(side);
  return [all.length, ...sums];
}"""


def test_nothing_is_drawn_that_a_neighbour_covers_and_nothing_is_missing(browser, server):
    """Blocks of many heights: the fronts are the whole face, and between two neighbours stands the
    difference of their heights, as a sum over all pairs says it."""
    rng = np.random.default_rng(5)
    heights = 0.0254 * rng.integers(1, 6, (12, 8))
    cell = 0.0381
    bodies = [
        {
            "part": "block",
            "look": "end grain",
            "at_m": [cell * column, cell * row, 0.0],
            "size_m": [cell, cell, float(high)],
            "wedge": False,
        }
        for (row, column), high in np.ndenumerate(heights)
    ]
    count, across, up, out = window_of(browser, server).evaluate(EXPOSED, bodies)
    padded = np.pad(heights, 1)
    assert across == pytest.approx(cell * np.abs(np.diff(padded[1:-1], axis=1)).sum())
    assert up == pytest.approx(cell * np.abs(np.diff(padded[:, 1:-1], axis=0)).sum())
    assert out == pytest.approx(heights.size * cell**2)
    steps = np.count_nonzero(np.diff(padded[1:-1], axis=1))
    steps += np.count_nonzero(np.diff(padded[:, 1:-1], axis=0))
    assert count == heights.size + steps < 6 * heights.size


def changed(one: np.ndarray, other: np.ndarray) -> float:
    """Share of the picture that differs."""
    same = (min(one.shape[0], other.shape[0]), min(one.shape[1], other.shape[1]))
    far = np.abs(one[: same[0], : same[1]] - other[: same[0], : same[1]]).max(axis=2)
    return float((far > 0.1).mean())


def shot(window: Any) -> np.ndarray:
    """What is seen now: (rows, columns, 4)."""
    window.evaluate("document.activeElement.blur()")  # no ring round what has the focus
    window.wait_for_timeout(250)
    return imread(io.BytesIO(window.locator(".space .stage").screenshot()))


def test_without_a_script_or_webgl_the_still_drawing_stands_there(browser, server):
    cookie = window_of(browser, server).context.storage_state()
    for scripts in (True, False):
        context = browser.new_context(java_script_enabled=scripts, storage_state=cookie)
        if scripts:
            context.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
        window = context.new_page()
        window.goto(f"{server.root}/job/story-room/room")
        picture = window.locator(".space img")
        picture.scroll_into_view_if_needed()
        window.wait_for_timeout(1500)
        assert picture.is_visible()
        answer = window.request.get(f"{server.root}/job/story-room/space.svg")
        ElementTree.fromstring(answer.text())
        assert "Near walls are left out" in window.inner_text(".space figcaption")
        context.close()


# --- what is shipped from elsewhere


def test_scripts_from_elsewhere_are_those_of_the_list_and_no_other():
    listed = json.loads((VENDOR / "list.json").read_text(encoding="utf-8"))
    known = {"list.json", *(name for package in listed for name in package["files"])}
    there = {path.relative_to(VENDOR).as_posix() for path in VENDOR.rglob("*") if path.is_file()}
    assert {name for name in there if not name.endswith(".d.ts")} == known
    for package in listed:
        assert re.fullmatch(r"\d+\.\d+\.\d+", package["version"]) and package["licence"]
        assert any(name.endswith("LICENSE") for name in package["files"])
        for name, file in package["files"].items():
            digest = hashlib.sha512((VENDOR / name).read_bytes()).digest()
            assert file["sha512"] == "sha512-" + base64.b64encode(digest).decode(), name


@pytest.mark.skipif("THREE_TARBALL" not in os.environ, reason="no THREE_TARBALL from npm pack")
def test_they_are_unchanged_from_the_registry():
    tarball = Path(os.environ["THREE_TARBALL"])
    package = json.loads((VENDOR / "list.json").read_text(encoding="utf-8"))[0]
    digest = base64.b64encode(hashlib.sha512(tarball.read_bytes()).digest()).decode()
    assert package["integrity"] == f"sha512-{digest}"
    with tarfile.open(tarball) as packed:
        for name, file in package["files"].items():
            kept = packed.extractfile(f"package/{file['in_package']}")
            assert kept is not None and kept.read() == (VENDOR / name).read_bytes()


def test_no_page_asks_for_anything_from_elsewhere():
    own = [*STATIC.glob("*.js"), *STATIC.glob("*.css"), *(STATIC.parent / "templates").iterdir()]
    for path in own:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"(?:src|href|import|url)\W{1,3}(?:https?:)?//", text), path.name
