"""A photograph of a wall marked in a real browser: by mouse, finger and keys; what is measured on it
becomes the job's, and what is no photograph is refused."""

from __future__ import annotations

import io
import struct
import tomllib
import zlib

import numpy as np
import pytest

from roomcheck.job import Edit, edit_job, load_job
from roomcheck.measure import Camera, Frame, kept_photos, pixels_of

from .conftest import make_room, opened, until

WIDE, TALL = 1600, 1200
WINDOW = (2.4, 0.95, 1.0, 1.1)
"""Left, bottom, width and height on the north wall. [m]"""


def camera(face):
    """Somebody 4.5 m before the middle of the wall, at eye height, with a level camera."""
    turn = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))
    shift = (-face.width_m / 2, 1.4, 4.5)
    return Camera(Frame(WIDE, TALL), turn, shift, 1250.0, 0.0, (0.0, 0.0))


def photograph(face, path):
    """A white wall on grey with a blue window; its camera."""
    from PIL import Image, ImageDraw

    seen = camera(face)
    picture = Image.new("RGB", (WIDE, TALL), (110, 110, 110))
    left, bottom, width, height = WINDOW
    for place, colour in (
        ((0, 0, face.width_m, face.height_m), "white"),
        ((left, bottom, width, height), "#88a8d8"),
    ):
        corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * place[2:] + place[:2]
        ImageDraw.Draw(picture).polygon(
            [tuple(point) for point in pixels_of(seen, corners).tolist()], fill=colour
        )
    exif = Image.Exif()
    exif[0x0110] = "made-up camera"
    picture.save(path, quality=92, exif=exif)
    return seen


@pytest.fixture
def jobs(tmp_path):
    folder = tmp_path / "jobs"
    folder.mkdir()
    make_room(folder / "room-a", places=False)
    door = {"name": "door", "face": "north", "material": "solid wooden door", "left": "6 in"}
    sizes = {"bottom": "0 in", "width": "3 ft", "height": "6 ft 8 in", "opening": True}
    edit_job(folder / "room-a", [Edit(("patch", "door"), door | sizes)])
    return folder


@pytest.fixture
def server(jobs):
    with opened(jobs) as server:
        yield server


def said(window):
    return window.inner_text("[data-part=said]")


def touch(window, seen, place, finger=False):
    """Put the next mark at a place of the wall, by mouse or by finger."""
    x, y = pixels_of(seen, np.array([place]))[0]
    box = window.locator(".pins").bounding_box()
    at = box["x"] + x / WIDE * box["width"], box["y"] + y / TALL * box["height"]
    before = window.locator(".pin").count()
    if finger:
        window.touchscreen.tap(*at)
    else:
        window.mouse.click(*at)
    until(window, f"document.querySelectorAll('.pin').length === {before + 1}")


def brought_in(window, server, path):
    window.goto(server.address)
    window.goto(f"{server.root}/job/room-a/room?face=north")
    window.get_by_role("link", name="Its photograph").click()
    window.get_by_label("The photograph: take it").set_input_files(str(path))
    window.get_by_role("button", name="Bring it in").click()
    window.wait_for_selector(".pins")
    until(window, "document.querySelector('.picture img').complete")
    window.locator(".picture").scroll_into_view_if_needed()


def corners_of(face):
    return [(0, face.height_m), (face.width_m, face.height_m), (face.width_m, 0), (0, 0)]


def test_a_window_is_measured_and_becomes_the_jobs(server, jobs, window, tmp_path):
    folder = jobs / "room-a"
    face = load_job(folder).room.face("north")
    seen = photograph(face, tmp_path / "IMG 7.JPG")
    brought_in(window, server, tmp_path / "IMG 7.JPG")
    # Four corners in the order that the form names them.
    for place in corners_of(face):
        touch(window, seen, place)
    until(window, "document.querySelector('[data-part=said]').innerText.includes('Fits')")
    assert "±" in said(window)
    # On a narrow screen a pixel of it is four of the photograph's: the keys set the mark right.
    exact = pixels_of(seen, np.array(corners_of(face)))
    for i, (x, y) in enumerate(exact):
        window.locator(f"#row-{i}").fill(f"{x:.1f},{y:.1f}")
    pin = window.locator(".pin").first
    pin.focus()
    window.keyboard.press("Shift+ArrowRight")
    until(window, f"document.querySelector('#row-0').value.startsWith('{exact[0][0] + 1:.1f},')")
    window.keyboard.press("Shift+ArrowLeft")
    assert window.locator(".loupe").is_visible()
    # Two opposite corners of a window that nobody taped.
    until(window, "document.getElementById('note').textContent === 'Saved.'")
    window.get_by_label("Mark next").select_option("thing")
    window.get_by_label("name of what is measured").fill("window 2")
    window.get_by_role("button", name="Mark it").click()
    window.wait_for_selector("text=5. window 2")
    left, bottom, width, height = WINDOW
    window.locator(".picture").scroll_into_view_if_needed()
    touch(window, seen, (left, bottom + height))
    touch(window, seen, (left + width, bottom))
    until(window, "document.querySelector('[data-part=said]').innerText.includes('not in the job')")
    # Its marks to the pixel, by the field that holds them.
    corners = pixels_of(seen, np.array([(left, bottom + height), (left + width, bottom)]))
    window.locator("#row-4").fill(" ".join(f"{x:.1f},{y:.1f}" for x, y in corners))
    until(window, "document.getElementById('note').textContent === 'Saved.'")
    window.get_by_role("button", name="Put window 2 into the job").click()
    until(window, "document.querySelector('[data-part=said]').innerText.includes('as in the job')")
    found = next(patch for patch in load_job(folder).patches if patch.name == "window 2")
    place = found.place
    assert found.opening and found.face == "north"
    sizes = np.array([place.u_m, place.v_m, place.width_m, place.height_m])
    assert 0 < found.within_m < 0.1
    assert np.abs(sizes - WINDOW).max() <= found.within_m
    straight_is_to_scale(server, window, face)
    # People are asked about; the answer stays with the marks.
    assert kept_photos(load_job(folder))[0].marked.people is None
    window.get_by_role("button", name="No, nobody").click()
    window.wait_for_selector("text=You said no")
    (kept,) = kept_photos(load_job(folder))
    assert kept.marked.people is False and len(kept.marked.marks) == 4
    assert kept.file.read_bytes() == (tmp_path / "IMG 7.JPG").read_bytes()
    # The room's own elevation lies over it on request; and undo takes the window out again.
    window.goto(f"{server.root}/job/room-a/room?face=north")
    assert window.locator("[data-part=wall] image").count() == 0
    window.get_by_role("link", name="Over its photograph").click()
    window.wait_for_selector("[data-part=wall] svg.over image")
    window.get_by_role("button", name="Undo").click()
    window.wait_for_selector("details[data-thing='patch.window 2']", state="detached")
    assert [patch.name for patch in load_job(folder).patches] == ["door"]


def straight_is_to_scale(server, window, face):
    """The straightened photograph lies under the drawing, to the wall's own size."""
    left, bottom, width, height = WINDOW
    assert window.locator(".flat image").count() == 1
    flat = window.request.get(f"{server.root}/job/room-a/photo/straight.jpg?face=north").body()
    from PIL import Image

    with Image.open(io.BytesIO(flat)) as straight:
        assert not straight.getexif()
        ratio = straight.width / straight.height
        pixel = straight.getpixel(
            (
                round((left + width / 2) / face.width_m * straight.width),
                round((1 - (bottom + height / 2) / face.height_m) * straight.height),
            )
        )
    assert ratio == pytest.approx(face.width_m / face.height_m, rel=0.01)
    assert pixel[2] > pixel[0] + 40  # the window is blue


def test_by_finger_by_keys_alone_and_bad_marks_said_at_the_mark(server, jobs, chromium, tmp_path):
    folder = jobs / "room-a"
    face = load_job(folder).room.face("north")
    seen = photograph(face, tmp_path / "wall.jpg")
    context = chromium.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    window = context.new_page()
    window.set_default_timeout(60_000)
    brought_in(window, server, tmp_path / "wall.jpg")
    top_left, top_right, bottom_right, bottom_left = corners_of(face)
    for place in (top_right, top_left, bottom_right):  # the first two exchanged
        touch(window, seen, place, finger=True)
    # The last by keys alone: Enter puts a mark in the middle, arrows take it to its place.
    window.locator("#row-3").press("Enter")
    x, y = pixels_of(seen, np.array([bottom_left]))[0]
    for _ in range(round((WIDE / 2 - x) / 100)):
        window.keyboard.press("Control+ArrowLeft")
    for _ in range(round((y - TALL / 2) / 100)):
        window.keyboard.press("Control+ArrowDown")
    wrong = "[...document.querySelectorAll('[data-row-wrong]')].filter(e => !e.hidden)"
    until(window, f"{wrong}.some(e => e.innerText.includes('changed places'))")
    assert "changed places" in said(window)
    assert window.locator("#row-0").get_attribute("aria-invalid") is not None
    assert not window.locator(".flat").count()
    # Every mark right, and the reason goes.
    for i, place in enumerate(corners_of(face)):
        x, y = pixels_of(seen, np.array([place]))[0]
        window.locator(f"#row-{i}").fill(f"{x:.1f},{y:.1f}")
    until(window, f"{wrong}.length === 0 && document.querySelector('.flat image')")
    window.reload()
    assert "Fits" in said(window)
    assert window.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    context.close()


def test_forms_mark_without_scripts(server, jobs, chromium, tmp_path):
    folder = jobs / "room-a"
    face = load_job(folder).room.face("north")
    seen = photograph(face, tmp_path / "wall.jpg")
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    brought_in_plain(page, server, tmp_path / "wall.jpg")
    for i, place in enumerate(corners_of(face)):
        x, y = pixels_of(seen, np.array([place]))[0]
        page.locator(f"#row-{i}").fill(f"{x:.1f},{y:.1f}")
    page.get_by_role("button", name="Keep the marks").click()
    assert "Fits" in page.inner_text("[data-part=said]")
    assert len(kept_photos(load_job(folder))[0].marked.marks) == 4
    context.close()


def brought_in_plain(page, server, path):
    page.goto(server.address)
    page.goto(f"{server.root}/job/room-a/photo?face=north")
    page.get_by_label("The photograph: take it").set_input_files(str(path))
    page.get_by_role("button", name="Bring it in").click()
    page.wait_for_selector("#row-3")


def _png(wide, tall):
    """A picture that says it is so large, and holds next to nothing."""

    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", wide, tall, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def _of_kind(kind):
    from PIL import Image

    held = io.BytesIO()
    Image.new("RGB", (40, 30)).save(held, kind)
    return held.getvalue()


HOSTILE = (
    ("bomb.png", _png(40_000, 40_000), "more than a photograph"),
    ("large.png", _png(12_000, 12_000), "more than a photograph"),
    ("text.jpg", b"hello" * 100, "no picture"),
    ("cut.jpg", b"\xff\xd8\xff\xe0\0\x10JFIF", "no picture"),
    ("page.jpg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no picture"),
    ("script.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "no picture"),
    ("moving.jpg", _of_kind("GIF"), "no picture"),
    ("tiff.jpg", _of_kind("TIFF"), "no picture"),
    ("empty.jpg", b"", "no picture"),
)


def test_what_is_no_photograph_is_refused_before_it_is_decoded(server, jobs, chromium):
    context = chromium.new_context()
    page = context.new_page()
    page.goto(server.address)
    for name, data, reason in HOSTILE:
        answer = page.request.post(
            f"{server.root}/job/room-a/photo/add",
            multipart={
                "face": "north",
                "photo": {"name": f"../../{name}", "mimeType": "image/jpeg", "buffer": data},
            },
            headers={"X-Part": "1", "Origin": server.root},
        )
        assert answer.status == 409, name
        assert reason in answer.json()["problem"], name
        assert "/tmp" not in answer.json()["problem"]
        assert not (jobs / "room-a" / "photos").exists()
    context.close()


def test_only_the_jobs_own_photographs_are_served(server, jobs, chromium, tmp_path):
    face = load_job(jobs / "room-a").room.face("north")
    photograph(face, tmp_path / "wall.jpg")
    context = chromium.new_context()
    page = context.new_page()
    page.goto(server.address)
    answer = page.request.post(
        f"{server.root}/job/room-a/photo/add",
        multipart={
            "face": "north",
            "photo": {
                "name": "wall.PNG",
                "mimeType": "image/png",
                "buffer": (tmp_path / "wall.jpg").read_bytes(),
            },
        },
        headers={"X-Part": "1", "Origin": server.root},
    )
    assert answer.ok
    # The name follows the content: it came as PNG and is JPEG.
    assert [path.name for path in sorted((jobs / "room-a" / "photos").iterdir())] == [
        "north.jpg",
        "north.toml",
    ]
    data = tomllib.loads((jobs / "room-a" / "photos" / "north.toml").read_text("utf-8"))
    assert data["mark"] == [] and "people" not in data
    shown = page.request.get(f"{server.root}/job/room-a/photo/picture.jpg?file=north.jpg")
    assert shown.ok and b"made-up camera" not in shown.body()
    for name in ("../job.toml", "north.toml", "/etc/passwd", "..%2fjob.toml", ""):
        answer = page.request.get(f"{server.root}/job/room-a/photo/picture.jpg?file={name}")
        assert answer.status == 409, name
    answer = page.request.get(f"{server.root}/job/room-a/photo/straight.jpg?face=north")
    assert answer.status == 404  # nothing is marked yet
    context.close()
