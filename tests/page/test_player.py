"""Rooms heard one against the other in a document's page: no gap at a change of room, keys, sizes
for fingers."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf

from roomcheck.report import kept_player, player_html
from roomcheck.report.render.blocks import Document
from roomcheck.report.render.html import html_of
from roomcheck.report.render.letterhead import Letterhead
from roomcheck.report.sound.tracks import player_inside

RATE = 48_000

TAP = """
window.AudioContext = class extends AudioContext {
  constructor() {
    super();
    this.tap = new AnalyserNode(this, { fftSize: 1024 });
    this.tap.connect(super.destination);
    window.heard = this;
  }
  get destination() { return this.tap ?? super.destination; }
};
window.level = () => {
  const now = new Float32Array(1024);
  window.heard.tap.getFloatTimeDomainData(now);
  return Math.sqrt(now.reduce((sum, x) => sum + x * x, 0) / 1024);
};
window.quietest = async (change) => {
  let least = 1;
  change();
  const until = performance.now() + 400;
  while (performance.now() < until) {
    least = Math.min(least, window.level());
    await new Promise((done) => setTimeout(done, 5));
  }
  return least;
};
"""


def tone(amplitude: float, hz: float) -> bytes:
    t = np.arange(2 * RATE) / RATE
    out = io.BytesIO()
    sf.write(out, amplitude * np.sin(2 * np.pi * hz * t), RATE, format="WAV", subtype="PCM_16")
    return out.getvalue()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A tone for a room: the planned one at half its pressure; equally loud, both at a quarter."""
    for kind in ("voice", "claps"):
        for room, amplitude, hz in (
            ("1-before", 0.5, 440.0),
            ("2-after-as-predicted-SIMULATED", 0.25, 660.0),
        ):
            for inside, loud in (("as-loud-as-it-is", amplitude), ("equally-loud", 0.4)):
                path = tmp_path / "listening" / inside / f"{kind}-{room}.wav"
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(tone(loud, hz))
    return tmp_path


def test_equal_loudness_only_ever_takes_off(folder: Path) -> None:
    player = player_inside(folder, "Hear it")
    assert player is not None
    gains = [track.even_gain for track in player.tracks[:2]]
    assert gains == pytest.approx([0.5, 1.0], abs=1e-3)


def test_one_room_is_nothing_to_compare(folder: Path) -> None:
    for path in folder.rglob("*-2-*.wav"):
        path.unlink()
    assert player_inside(folder, "Hear it") is None


def test_kept_files_are_played_from_addresses_of_their_own(folder: Path) -> None:
    player = kept_player(folder, "Hear it", lambda name: f"/job/a/sound/{name}")
    assert player is not None
    assert player.tracks[0].address == (
        "/job/a/sound/listening/as-loud-as-it-is/voice-1-before.wav"
    )
    assert 'src="/job/a/sound/listening' in player_html(player, "p")


def test_rooms_change_without_a_gap(folder: Path, window, tmp_path: Path) -> None:
    player = player_inside(folder, "Hear it")
    assert player is not None
    head = Letterhead(author="A shop", footer="", banner="", paper="a4", day=None)
    document = Document(name="p", title="Hear", subtitle="", blocks=(player,))
    page = tmp_path / "page.html"
    page.write_text(html_of(document, head), "utf-8")
    window.add_init_script(TAP)
    window.goto(page.as_uri())
    window.get_by_role("button", name="Play").click()
    # The root mean square of a sine of 0.5 is 0.354, of 0.25 it is 0.177.
    window.wait_for_function("window.heard && Math.abs(window.level() - 0.354) < 0.02")
    planned = window.get_by_role("radio", name="As planned (simulated)")
    least = window.evaluate("(room) => quietest(() => room.click())", planned.element_handle())
    assert least > 0.1
    window.wait_for_function("Math.abs(window.level() - 0.177) < 0.01")
    planned.focus()
    window.keyboard.press("1")
    window.wait_for_function("Math.abs(window.level() - 0.354) < 0.02")
    window.get_by_role("checkbox").check()
    window.wait_for_function("Math.abs(window.level() - 0.177) < 0.01")
    planned.focus()
    window.keyboard.press(" ")
    window.wait_for_function("window.level() < 0.001")
    assert window.get_by_role("button", name="Play").is_visible()
    for label in window.locator("label, button").all():
        box = label.bounding_box()
        assert box is None or box["height"] >= 44
