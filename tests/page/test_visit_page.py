"""A visit through the page: played and recorded through PortAudio in a made-up room, judged, and
what is wrong shown."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

from roomcheck.analyse import decays, noise_level
from roomcheck.chain import open_job
from roomcheck.job import Edit, edit_job, load_job, new_job
from roomcheck.measure import ImpulseResponse, add_noise, noise_takes
from roomcheck.measure.files.played import Played, facts_of, write_toml

from ..measure.conftest import make_room, make_take
from ..measure.virtual_card import VirtualCard, missing
from .conftest import opened, until

ROOM = np.concatenate([np.zeros(340), make_room(0.6, seed=5)])
_NOTED = """() => {
  window.said = "";
  const place = document.querySelector(".sent span");
  const stop = document.querySelector(".sent button");
  new MutationObserver(() => { window.said += `${stop.checkVisibility()} ${place.textContent}\\n`; }).observe(place, { childList: true });
}"""
"""Notes all that the page says of an upload."""

PLACES = {"S1": ("1.0 m", "0.9 m", "1.5 m"), "P1": ("3.1 m", "2.3 m", "1.2 m")}


def made_job(folder: Path) -> Path:
    new_job(
        folder,
        length="4.4 m",
        width="3.6 m",
        height="2.6 m",
        use="podcast room",
        client="Client A",
        title="Podcast room",
    )
    for name, place in PLACES.items():
        kind = "source" if name.startswith("S") else "microphone"
        edit_job(folder, [Edit((kind,), {"name": name, **dict(zip("xyz", place, strict=True))})])
    return folder


@pytest.fixture(scope="module")
def card():
    if missing():
        pytest.skip(missing())
    with tempfile.TemporaryDirectory(prefix="rc-") as folder:
        card = VirtualCard(Path(folder))
        try:
            card.start()
            card.be_room(ROOM, noise=1e-4)
            yield card
        finally:
            card.stop()


def test_a_take_is_recorded_judged_and_shown(card, tmp_path, window):
    folder = made_job(tmp_path / "room-a")
    with opened(folder, card.environment) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/visit")
        assert "0 of 1" in window.inner_text("main .lead")
        window.get_by_label("temperature").fill("21 C")
        window.get_by_label("humidity").fill("45")
        window.get_by_role("button", name="Save the conditions").click()
        until(window, "document.querySelector('#c-humidity').value === '45 %'")
        window.get_by_label("seconds to step back").fill("0")
        window.get_by_role("button", name="Record S1 to P1").click()
        until(window, "document.querySelector('#recorder .said') !== null", 600)
        until(window, "document.querySelector('[data-part=takes] .good') !== null", 600)
        assert "S1 to P1: keep." in window.inner_text("#recorder")
        window.goto(f"{server.root}/job/room-a/findings")
        window.wait_for_selector(".verdict", timeout=120_000)
        shown = window.inner_text(".verdict")
        assert "s" in shown
    job = load_job(folder)
    assert job.visit("before").temperature_c == pytest.approx(21)
    # The room's own response, analysed without sound card, sweep and page.
    own = decays(ImpulseResponse(samples=ROOM, rate_hz=48_000))
    mid = [band.t20_s for band in own if band.band_hz in (500, 1000)]
    assert open_job(folder).before.mid_s == pytest.approx(sum(mid) / 2, rel=0.02)
    takes = sorted(path.name for path in (folder / "takes" / "before").glob("*.wav"))
    assert len(takes) == 1


def test_stop_ends_the_sound_and_keeps_nothing(card, tmp_path, window):
    folder = made_job(tmp_path / "room-a")
    with opened(folder, card.environment) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/visit")
        window.get_by_label("seconds to step back").fill("0")
        window.get_by_role("button", name="Record S1 to P1").click()
        window.get_by_role("button", name="Stop").click()
        until(
            window, "document.querySelector('#recorder').textContent.includes('was stopped')", 600
        )
        until(window, "!document.querySelector('#recorder .stop')", 600)
    assert not list((folder / "takes").glob("*/*.wav"))


def test_a_recording_is_brought_in_and_a_wrong_file_is_refused(tmp_path, window, sweep, room):
    folder = made_job(tmp_path / "room-a")
    good, other = tmp_path / "REC 001.wav", tmp_path / "notes.wav"
    sf.write(good, make_take(sweep, room), sweep.rate_hz)
    other.write_text("no sound", "utf-8")
    (tmp_path / "sweep.toml").write_bytes(write_toml(facts_of(Played(sweep=sweep))).encode())
    with opened(folder) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/visit")
        window.locator("#recording").set_input_files(other)
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelector('#note').textContent.includes('notes.wav')")
        assert not list((folder / "takes").glob("*/*.toml"))
        window.locator("#recording").set_input_files(good)
        window.locator("#sweep").set_input_files(tmp_path / "sweep.toml")
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelector('[data-part=takes] .good') !== null", 600)
        (take,) = (folder / "takes" / "before").glob("*.wav")
        assert take.read_bytes() == good.read_bytes()
        # The same recording once more is asked about, and settled by a tick.
        window.get_by_role("link", name="record again").click()
        window.locator("#recording").set_input_files(good)
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelector('#note').textContent.includes('you are sure')", 600)
        assert len(list((folder / "takes" / "before").glob("*.wav"))) == 1
        window.get_by_label("I am sure of its place").check()
        window.get_by_role("button", name="Bring it in").click()
        until(window, "!document.querySelector('#note').textContent.includes('sure')", 600)
        for _ in range(900):
            if len(list((folder / "takes" / "before").glob("*.wav"))) == 2:
                break
            window.wait_for_timeout(100)
        until(window, "document.querySelector('[data-part=takes] .good') !== null", 600)
        window.get_by_role("button", name="Put it aside").click()
        until(window, "document.querySelector('[data-part=takes] details') !== null", 600)
    assert len(list((folder / "takes" / "set-aside" / "before").glob("*.wav"))) == 1
    assert len(list((folder / "takes" / "before").glob("*.wav"))) == 1


def test_one_recording_of_the_whole_visit_and_a_calibrator_are_brought_in(tmp_path, chromium, room):
    folder = made_job(tmp_path / "room-a")
    edit_job(folder, [Edit(("microphone",), {"name": "P2", "x": "2 m", "y": "2 m", "z": "1.2 m"})])
    window = chromium.new_context().new_page()
    with opened(folder) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/visit")
        with window.expect_download() as download:
            window.get_by_role("link", name="Get the sweep to play").click()
        played, rate = sf.read(download.value.path(), always_2d=True)
        # Played twice, the recorder moved meanwhile; the room is a known response.
        heard = fftconvolve(np.concatenate([played[:, 0], np.zeros(2 * rate)] * 2), room)
        noise = 1e-4 * np.random.default_rng(3).standard_normal(len(heard))
        sf.write(tmp_path / "VISIT.wav", 0.2 * heard / np.abs(heard).max() + noise, rate)
        window.locator("#recording").set_input_files(tmp_path / "VISIT.wav")
        window.get_by_label("What is it?").select_option("whole")
        window.get_by_label("I am sure of its place").check()
        window.evaluate(_NOTED)
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelectorAll('[data-part=takes] .good').length === 2", 600)
        # By the seconds to be gone through: 16 in a hundred to find both playings, 42 to add each.
        assert "false Sent. Listening …" in window.evaluate("said")
        shares = [int(share) for share in re.findall(r"(\d+) % done", window.evaluate("said"))]
        assert {16, 58} <= set(shares) <= {11, 16, 58}
        assert "2 of 2" in window.inner_text("main .lead")
        # A tone of 1 kHz and an RMS of -20 dB: 94 dB of it stand for 114 dB at full scale.
        tone = np.sqrt(2) * 0.1 * np.sin(2 * np.pi * 1000 * np.arange(7 * 48_000) / 48_000)
        sf.write(tmp_path / "TONE.wav", tone, 48_000)
        window.locator("#recording").set_input_files(tmp_path / "TONE.wav")
        window.get_by_label("What is it?").select_option("calibrator")
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelector('#note').textContent.includes('absolute')")
    window.context.close()
    quiet = 1e-3 * np.random.default_rng(4).standard_normal(12 * 48_000)  # RMS of -60 dB
    sf.write(tmp_path / "NOISE.wav", quiet, 48_000)
    add_noise(load_job(folder), tmp_path / "NOISE.wav", visit="before", conditions="all off")
    (noise,) = noise_takes(load_job(folder), "before")
    # White noise of 54 dB up to 24 kHz has 54 - 10 lg(24) dB in a kilohertz; A moves it little.
    assert noise_level(noise).a_weighted_db == pytest.approx(54, abs=3)


def test_a_long_upload_says_how_much_is_there_and_how_long_it_takes_yet(tmp_path, window):
    """Twenty megabytes over a line of four megabytes a second, once stopped and once to the end."""
    folder = made_job(tmp_path / "room-a")
    long = np.random.default_rng(1).integers(-3000, 3000, 10_000_000).astype(np.int16)
    sf.write(tmp_path / "LONG.wav", long, 48_000)
    with opened(folder) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/visit")
        line = window.context.new_cdp_session(window)
        line.send(
            "Network.emulateNetworkConditions",
            {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 4e6},
        )
        window.locator("#recording").set_input_files(tmp_path / "LONG.wav")
        window.get_by_label("What is it?").select_option("noise")
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelector('.sent progress').value > 0.2")
        text = window.inner_text(".sent span")
        found = re.fullmatch(r"Sending: (\d+) % of 20 MB, (\d+) s left", text)
        assert found is not None, text
        # At a steady four megabytes a second: what is left of five seconds, within two.
        assert int(found[2]) == pytest.approx(5 * (1 - int(found[1]) / 100), abs=2)
        assert window.get_by_role("button", name="Bring it in").is_disabled()
        if KEEP := os.environ.get("ROOMCHECK_SCREENS"):
            wide = window.viewport_size["width"]
            window.screenshot(path=f"{KEEP}/page-upload-{wide}.png")
        window.get_by_role("button", name="Stop").click()
        until(window, "document.querySelector('#note').textContent.includes('nothing was brought')")
        assert not list((folder / "takes").rglob("*.wav"))
        # The line stays slow: made fast at once, it might end what was stopped before the browser did.
        window.get_by_role("button", name="Bring it in").click()
        until(window, "document.querySelector('.sent').hidden", 600)
        assert len(list((folder / "takes").rglob("*.wav"))) == 1


@pytest.fixture(scope="module")
def sweep():
    from roomcheck.measure import Sweep

    return Sweep(low_hz=40, high_hz=20_000, seconds=6, rate_hz=48_000)


@pytest.fixture(scope="module")
def room():
    return make_room()


def test_the_level_is_seen_found_and_asked_for_and_the_noise_is_recorded(card, tmp_path, chromium):
    folder = made_job(tmp_path / "room-a")
    window = chromium.new_context().new_page()
    with opened(folder, card.environment) as server:
        window.goto(server.address)
        window.goto(f"{server.root}/job/room-a/visit")
        window.get_by_role("button", name="Show the level").click()
        until(window, "document.querySelector('.meter output').textContent.includes('dB')")
        window.get_by_role("button", name="Find the level").click()
        until(window, "document.querySelector('#recorder .stop') !== null")
        for _ in range(12):
            until(
                window,
                "document.querySelector('#recorder .asks, #recorder:not(:has(.stop))') !== null",
                600,
            )
            louder = window.get_by_role("button", name="louder")
            if not louder.is_visible():
                break
            louder.click()
        until(window, "!document.querySelector('#recorder .stop')", 600)
        heard = window.inner_text("#recorder")
        assert "dB" in heard
        window.get_by_text("Background noise, and how loud it really is").click()
        window.get_by_role("button", name="Record the noise").click()
        until(window, "document.querySelector('#recorder .stop') !== null")
        until(window, "!document.querySelector('#recorder .stop')", 900)
        said = window.inner_text("#recorder")
    window.context.close()
    assert len(noise_takes(load_job(folder), "before")) == 1, said
