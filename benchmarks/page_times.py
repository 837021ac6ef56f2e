"""How fast the page answers: processor time of the server, and frames counted in a real browser.

    python benchmarks/page_times.py            needs playwright and a chromium
    python benchmarks/page_times.py --load     how long people wait while others work; needs neither

On the demo's made-up job, in a browser without a graphics card. Processor time is that of the
server and of what it started, read from the system's own table; a frame counts when the browser was
ready to draw it. It is no timed test: nothing fails here.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import numpy as np

TOP = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TOP))

from roomcheck.chain import open_job  # noqa: E402
from roomcheck.demo import demo  # noqa: E402
from roomcheck.job import Edit, edit_job, load_job  # noqa: E402
from tests.page.conftest import CHROMIUM, Opened, opened  # noqa: E402

TICKS = os.sysconf("SC_CLK_TCK")
NAME = "story-room"
BUSY, SIGNED = "busy-room", "signed-room"
"""Under load: where a plan is worked out anew, and where pieces are hung."""
LOOKED_AT = ("room?face=south", "findings", "visit", "room?face=north", "plan", "room")
Asked = tuple[str, str, str]
"""Method, path, and what a form says."""


def processor_s(process: int) -> float:
    """Processor time of a process, and of all that it started, ended or not. [s]"""
    used = 0.0
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            text = path.read_text()
            values = text.rpartition(")")[2].split()
            if path.parent.name == str(process):
                used += sum(map(int, values[11:15])) / TICKS
            elif values[1] == str(process):
                used += sum(map(int, values[11:13])) / TICKS
    return used


@contextlib.contextmanager
def used_by(server: Opened) -> Iterator[list[float]]:
    """Processor time of the server during a block, as the list's only member. [s]"""
    before, spent = processor_s(server.process.pid), list[float]()
    yield spent
    spent.append(processor_s(server.process.pid) - before)


def first_page(folder: Path) -> tuple[float, float]:
    """From the command to the first page: processor time and time on the clock. [s]"""
    import http.client

    start = time.monotonic()
    with opened(folder) as server:
        line = http.client.HTTPConnection("127.0.0.1", server.port)
        line.request("GET", f"/key/{server.key}")
        answer = line.getresponse()
        answer.read()
        cookie = (answer.getheader("set-cookie") or "").partition(";")[0]
        line.request("GET", "/", headers={"Cookie": cookie})
        line.getresponse().read()
        return processor_s(server.process.pid), time.monotonic() - start


def answers(server: Opened, window: Any) -> Iterator[tuple[str, float]]:
    """Processor time of the server for each page that needs no computing. [s]"""
    for title, path in (
        ("jobs", "/"),
        ("room", f"/job/{NAME}/room?face=south"),
        ("visit", f"/job/{NAME}/visit"),
        ("findings", f"/job/{NAME}/findings"),
        ("plan", f"/job/{NAME}/plan"),
    ):
        window.request.get(server.root + path)
        time.sleep(1)
        with used_by(server) as spent:
            for _ in range(20):
                window.request.get(server.root + path)
        yield title, spent[0] / 20


STEP = "document.querySelector('[data-step]')?.textContent ?? ''"
L_CORNERS = [
    ["0 in", "0 in"], ["174 in", "0 in"], ["174 in", "142 in"],
    ["34 in", "142 in"], ["34 in", "108 in"], ["0 in", "108 in"],
]  # fmt: skip
DRAG = """async ([selector, seconds]) => {
  const part = document.querySelector(selector);
  part.scrollIntoView({ block: "center" });
  await new Promise(done => setTimeout(done, 300));
  const box = part.getBoundingClientRect();
  const x = box.x + box.width / 2, y = box.y + box.height / 2;
  const at = (kind, dx) => part.dispatchEvent(new PointerEvent(kind, {
    bubbles: true, cancelable: true, button: 0, pointerId: 1, clientX: x + dx, clientY: y }));
  at("pointerdown", 0);
  const frames = [], start = performance.now();
  await new Promise(done => {
    const frame = now => {
      frames.push(now);
      at("pointermove", 40 * Math.sin((now - start) / 300));
      if (now - start < 1000 * seconds) requestAnimationFrame(frame); else done(null);
    };
    requestAnimationFrame(frame);
  });
  at("pointermove", 0);
  at("pointerup", 0);
  return frames.slice(1).map((one, i) => one - frames[i]);
}"""


def frames(window: Any, address: str, selector: str) -> list[float]:
    """Milliseconds between the frames while something is dragged to and fro for three seconds."""
    window.goto(address)
    window.wait_for_selector(selector)
    found: list[float] = window.evaluate(DRAG, [selector, 3])
    return found


def placed_by_hand(server: Opened, window: Any, name: str) -> tuple[float, float]:
    """Processor time of what a piece would do elsewhere, and of the whole answer once it hangs
    there, all processes together. [s]"""
    import re

    address = f"{server.root}/job/{name}/plan"
    window.goto(address)
    window.wait_for_selector("#effect .octaves", timeout=240_000)
    time.sleep(3)
    piece = window.locator("svg a[data-way^='piece.']").first
    name_of = re.sub("piece.", "", piece.get_attribute("data-way") or "")
    drawn = window.locator("[data-base]")
    form = {
        "base": drawn.get_attribute("data-base"),
        "face": drawn.get_attribute("data-face"),
        "name": name_of,
        "u": piece.get_attribute("data-u"),
        "v": piece.get_attribute("data-v"),
    }
    own = {"Origin": server.root, "X-Part": "1"}
    with used_by(server) as tried:
        for _ in range(30):
            assert window.request.post(f"{address}/try", form=form, headers=own).ok
    with used_by(server) as spent:
        for inches in (1, -1, 2, -2, 3, -3, 4, -4):  # the first height at which it may hang
            there = form | {"v": str(float(form["v"]) + inches * 0.0254)}
            if window.request.post(f"{address}/move", form=there, headers=own).ok:
                break
        else:
            raise RuntimeError(f"{name}: no height takes {name_of}")
        window.goto(address)
        window.wait_for_selector(".card[aria-current]:has-text('with tax')", timeout=60_000)
        window.wait_for_selector(".card[aria-current]:has-text('As you placed it')")
    return tried[0] / 30, spent[0]


def cut_corner(folder: Path) -> None:
    """Make the demo's room an L: a polygon, with the same takes."""
    edits = [
        Edit(("room", "length"), None),
        Edit(("room", "width"), None),
        Edit(("room", "corners"), [*L_CORNERS]),
        Edit(("room", "walls"), ["south", "east", "north", "side", "nook", "west"]),
    ]
    edit_job(folder, edits)


def fresh_analysis(server: Opened, window: Any, folder: Path) -> tuple[float, int]:
    """Processor time of analysing the six takes anew, and how many steps were told. [s]"""
    from playwright.sync_api import Error

    shutil.rmtree(folder / "results", ignore_errors=True)
    window.goto(f"{server.root}/job/{NAME}/visit")
    time.sleep(4)
    with used_by(server) as spent:
        window.goto(f"{server.root}/job/{NAME}/findings")
        told = set()
        for _ in range(600):
            with contextlib.suppress(Error):  # the page is being exchanged for the finished one
                told.add(window.evaluate(STEP))
                if window.locator(".verdict").count():
                    break
            time.sleep(0.05)
    return spent[0], len(told - {""})


def verdicts_s(folder: Path) -> list[float]:
    """Processor time from each sweep's end to its verdict, over a whole visit after the work; the
    question whether it is of its place is answered too. [s]"""
    from scipy.signal import fftconvolve

    from roomcheck.analyse import looking
    from roomcheck.measure import Added, Recorded, Sweep, walk

    job = load_job(folder)
    rng, ended, judged = np.random.default_rng(5), list[float](), list[float]()
    n = 48_000
    room = rng.standard_normal(n) * np.exp(-6.9 * np.arange(n) / 30_000)
    room[0] = 3.0

    class Card:
        """A pretend card that plays into a made-up room."""

        def play_and_record(self, samples: Any, rate_hz: int) -> Recorded:
            played = samples if samples.ndim == 1 else samples[:, 0]
            heard = fftconvolve(np.concatenate([np.zeros(24_000), played]), room)
            heard = 0.1 * heard + 1e-5 * rng.standard_normal(len(heard))
            ended.append(time.process_time())
            return Recorded(samples=heard[:, None], faults=())

    def tell(event: object) -> None:
        if isinstance(event, Added):
            judged.append(time.process_time() - ended[-1])

    walk(
        job,
        "after",
        Card(),
        Sweep(low_hz=40, high_hz=20_000, seconds=10, rate_hz=48_000),
        ask=lambda _facts, choices: next(c for c in ("keep", "record", "skip") if c in choices),
        tell=tell,
        level_dbfs=-24.0,
        look=looking(job),
    )
    return judged


def under_load(server: Opened) -> tuple[dict[str, list[float]], bool]:
    """Seconds on the clock of what a person waits for, while two browsers and a telephone ask at
    once and a plan is worked out anew; and whether it still was at the end. [s]

    One browser drags a piece and looks at the plan, the other goes through the places, and the
    telephone ticks what hangs.
    """
    from concurrent.futures import ThreadPoolExecutor

    answer = _ask(server, "GET", f"/key/{server.key}", {})[1]
    own = {"Cookie": (answer or "").partition(";")[0], "Origin": server.root, "X-Part": "1"}
    plan = _ready(server, f"/job/{NAME}/plan", own)
    hangs = _ready(server, f"/job/{SIGNED}/hanging", own)
    drags, ticks = _dragged(plan), _ticks(hangs)
    _ask(server, "POST", f"/job/{BUSY}/task/plans", own)
    asked: dict[str, list[Asked]] = {
        "drag": [("POST", f"/job/{NAME}/plan/try", one) for one in drags],
        "place": [("GET", f"/job/{NAME}/{place}", "") for place in LOOKED_AT],
        "tick": [("POST", f"/job/{SIGNED}/hanging/tick", one) for one in ticks],
    }

    def person(about: list[Asked]) -> list[float]:
        waited = []
        for i in range(60):
            method, path, form = about[i % len(about)]
            start = time.monotonic()
            status = _ask(server, method, path, own, form)[0]
            waited.append(time.monotonic() - start)
            if status >= 400:
                raise RuntimeError(f"{path}: {status}")
            time.sleep(0.15)  # nobody asks faster
        return waited

    with ThreadPoolExecutor(len(asked)) as pool:
        found = dict(zip(asked, pool.map(person, asked.values()), strict=True))
    running = _ask(server, "GET", f"/job/{BUSY}/plan", own)[2]
    return found, b"data-waits" in running


def _ready(server: Opened, path: str, own: dict[str, str]) -> str:
    """A page, when nothing of it is being worked out any more."""
    for _ in range(200):
        text = _ask(server, "GET", path, own)[2].decode()
        if 'busy"' not in text:
            return text
        time.sleep(0.5)
    raise RuntimeError(f"{path}: never finished")


def _dragged(page: str) -> list[str]:
    """Forms that put the first piece of a plan a little further each time."""
    base, face = (re.search(f'data-{key}="([^"]*)"', page) for key in ("base", "face"))
    piece = re.search(r'<a[^>]*data-way="piece\.([^"]*)"[^>]*>', page)
    assert base and face and piece
    u, v = (re.search(f'data-{key}="([^"]*)"', piece[0]) for key in "uv")
    assert u and v
    there = {"base": base[1], "face": face[1], "name": piece[1], "v": v[1]}
    return [urlencode(there | {"u": f"{float(u[1]) + 0.0254 * i}"}) for i in range(20)]


def _ticks(page: str) -> list[str]:
    """Forms that tick the first thing that hangs, and take the tick away."""
    form = re.search(r'<form[^>]*/hanging/tick".*?</form>', page, re.DOTALL)
    assert form
    fields = dict(re.findall(r'name="([^"]*)" value="([^"]*)"', form[0]))
    return [urlencode(fields | {"on": on}) for on in "10"]


def _ask(
    server: Opened, method: str, path: str, headers: dict[str, str], form: str = ""
) -> tuple[int, str | None, bytes]:
    """One request on a line of its own: status, cookie, body."""
    import http.client

    line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    kind = {"Content-Type": "application/x-www-form-urlencoded"} if form else {}
    body = form.encode() if method == "POST" else None
    line.request(method, path, body=body, headers=headers | kind)
    answer = line.getresponse()
    said = answer.read()
    line.close()
    return answer.status, answer.getheader("set-cookie"), said


def load_figures(jobs: Path) -> None:
    """Print how long people wait while others work; `python benchmarks/page_times.py --load`."""
    demo(jobs / SIGNED)
    open_job(jobs / SIGNED).sheet  # noqa: B018 - asking for it keeps it
    for name in (NAME, BUSY):
        shutil.copytree(jobs / SIGNED, jobs / name)
        shutil.rmtree(jobs / name / "signed")
    open_job(jobs / NAME).quotes  # noqa: B018
    with opened(jobs) as server, used_by(server) as spent:
        found, running = under_load(server)
    every = sorted(one for waited in found.values() for one in waited)
    print(
        f"two browsers and a telephone, a plan {'running' if running else 'done by the end'}; "
        f"{spent[0]:.1f} s of processor, {os.getloadavg()[0]:.1f} processes wanted one of "
        f"{os.cpu_count()}"
    )
    for title, waited in (*found.items(), ("all", every)):
        print(f"  {title}: {_spread(sorted(waited))}")


def _spread(waited: list[float]) -> str:
    within = 100 * sum(one <= 0.1 for one in waited) / len(waited)
    return (
        f"{len(waited)} answers, {1000 * waited[len(waited) // 2]:.0f} ms in the middle, 95 % "
        f"within {1000 * waited[int(0.95 * len(waited))]:.0f} ms, {within:.0f} % within 100 ms"
    )


def main() -> None:
    if "--load" in sys.argv:
        with tempfile.TemporaryDirectory() as draft:
            load_figures(Path(draft))
        return
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as draft, sync_playwright() as playwright:
        jobs = Path(draft)
        demo(jobs / NAME)
        used_s, waited_s = first_page(jobs)
        print(f"first page from the command: {used_s:.2f} s of processor, {waited_s:.2f} s waited")
        shutil.copytree(jobs / NAME, jobs / "bare-room")
        shutil.rmtree(jobs / "bare-room" / "takes")
        each = verdicts_s(jobs / "bare-room")
        shutil.rmtree(jobs / "bare-room")
        print(
            f"verdict after the sweep's end, {len(each)} takes: {statistics.mean(each):.2f} s of "
            f"processor on the mean, {max(each):.2f} s at most"
        )
        shutil.copytree(jobs / NAME, jobs / "an-l")
        cut_corner(jobs / "an-l")
        for name in (NAME, "an-l"):  # nothing is signed, so pieces may be placed
            shutil.rmtree(jobs / name / "signed")
        open_job(jobs / "an-l").quotes  # noqa: B018
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for wide, high in ((1280, 900), (390, 800)):
            with opened(jobs) as server:
                context = browser.new_context(viewport={"width": wide, "height": high})
                window = context.new_page()
                window.set_default_timeout(120_000)
                window.goto(server.address)
                print(f"{wide} px")
                if wide > 1000:
                    used_s, steps = fresh_analysis(server, window, jobs / NAME)
                    print(f"  six takes analysed: {used_s:.2f} s of processor, {steps} steps told")
                    for name in (NAME, "an-l"):
                        tried_s, whole_s = placed_by_hand(server, window, name)
                        print(
                            f"  a piece elsewhere, {name}: {1000 * tried_s:.0f} ms of processor, "
                            f"the whole answer {whole_s:.2f} s"
                        )
                    for title, answer_s in answers(server, window):
                        print(f"  {title}: {1000 * answer_s:.0f} ms of processor an answer")
                for title, path, selector in (
                    ("a window on its wall", "room?face=south", "svg a[data-way] .thing"),
                    ("a place in the room", "room", ".place.source polygon"),
                ):
                    between = frames(window, f"{server.root}/job/{NAME}/{path}", selector)
                    slow = sorted(between)[int(0.95 * len(between))]
                    rate = 1000 / statistics.mean(between)
                    print(
                        f"  dragging {title}: {rate:.0f} frames a second, 95 % within {slow:.0f} ms"
                    )
                context.close()
        browser.close()


if __name__ == "__main__":
    main()
