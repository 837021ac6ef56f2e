"""A real server on this machine, and a real browser."""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from roomcheck.chain import open_job
from roomcheck.demo import demo
from roomcheck.job import Edit, edit_job, new_job

TOP = Path(__file__).resolve().parents[2]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


class Opened:
    """`roomcheck open` as a process of its own."""

    def __init__(self, folder: Path, environment: dict[str, str] | None = None) -> None:
        self.folder = folder
        usual = {**os.environ, "PYTHONPATH": str(TOP), "OPENBLAS_NUM_THREADS": "1"}
        self.environment = environment or usual
        self.port = 0
        self.start()

    def start(self) -> None:
        """Begin, or begin again at the same port."""
        command = [sys.executable, "-m", "roomcheck", "open", str(self.folder)]
        self.process = subprocess.Popen(
            [*command, "--no-browser", "--json", "--port", str(self.port)],
            env=self.environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            raise RuntimeError(self.process.communicate()[1][-2000:])
        self.address: str = json.loads(line)["address"]
        found = re.match(r"http://127\.0\.0\.1:(\d+)/key/(.+)", self.address)
        assert found is not None
        self.port, self.key = int(found[1]), found[2]

    @property
    def root(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def end(self, sign: signal.Signals = signal.SIGINT) -> tuple[int, str]:
        """End it; its exit code and what it said on standard error."""
        self.process.send_signal(sign)
        try:
            said = self.process.communicate(timeout=60)[1]
        except subprocess.TimeoutExpired:
            self.process.kill()
            said = self.process.communicate()[1]
        return self.process.returncode, said


@contextlib.contextmanager
def opened(folder: Path, environment: dict[str, str] | None = None) -> Iterator[Opened]:
    server = Opened(folder, environment)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.end(signal.SIGKILL)
        for stream in (server.process.stdout, server.process.stderr):
            if stream is not None:
                stream.close()


def make_room(folder: Path, *, places: bool = True) -> Path:
    """A meeting room with one loudspeaker and one microphone place; without them on request."""
    new_job(
        folder,
        length="14 ft",
        width="12 ft",
        height="8 ft",
        use="meeting room",
        client="Client A",
        title="Meeting room",
    )
    if places:
        source = {"name": "S1", "x": "4 ft", "y": "4 ft", "z": "4 ft"}
        microphone = {"name": "P1", "x": "9 ft", "y": "8 ft", "z": "4 ft"}
        edit_job(folder, [Edit(("source",), source), Edit(("microphone",), microphone)])
    return folder


@pytest.fixture(scope="session")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The made-up job with its plans and prices, nothing signed: to be copied, not to be changed."""
    folder = tmp_path_factory.mktemp("planned") / "room-a"
    demo(folder)
    shutil.rmtree(folder / "signed")
    assert open_job(folder).quotes
    return folder


@pytest.fixture(scope="session")
def playwright_here() -> Iterator[Any]:
    """What starts browsers, of which a thread can have one; skipped where none is installed."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    with api.sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def chromium(playwright_here: Any) -> Iterator[Any]:
    """A browser; tests that need it are skipped where none is installed."""
    browser = playwright_here.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
    yield browser
    browser.close()


@pytest.fixture(params=[(1280, 900), (390, 800)], ids=["wide", "telephone"])
def window(request: pytest.FixtureRequest, chromium: Any) -> Iterator[Any]:
    """A fresh window, wide or as narrow as a telephone, that fails on any error of its scripts."""
    wide, high = request.param
    context = chromium.new_context(viewport={"width": wide, "height": high})
    page = context.new_page()
    page.set_default_timeout(60_000)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if policy(said) else None)
    yield page
    context.close()
    assert not wrong


def policy(said: Any) -> bool:
    """Whether a line of the browser's console is about the page's own policy or script."""
    return said.type == "error" and "Failed to load resource" not in said.text


def until(page: Any, script: str, patience: int = 200) -> None:
    """Look again and again until an expression is true; the page's policy forbids the browser's own
    way, which builds a function out of a text."""
    for _ in range(patience):
        with contextlib.suppress(Exception):
            if page.evaluate(script):
                return
        page.wait_for_timeout(100)
    raise AssertionError(f"never came true: {script}; said: {page.inner_text('#note')}")
