"""From an empty folder to a kept promise and a learned lesson by clicks and keys alone: both visits
are played and recorded through PortAudio, in a made-up room before and after the work."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from roomcheck.analyse import decays
from roomcheck.chain import open_job
from roomcheck.job import read_shop
from roomcheck.measure import ImpulseResponse
from roomcheck.verify import Kept
from roomcheck.words import NONE

from ..measure.virtual_card import RATE_HZ, VirtualCard, missing
from .conftest import opened, until

OCTAVES = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
SEEDS = range(10)
"""Of the noise that a made-up room rings with; of these, those that ring as long as they should."""


@pytest.fixture(scope="module")
def card():
    if missing():
        pytest.skip(missing())
    with tempfile.TemporaryDirectory(prefix="rc-") as folder:
        card = VirtualCard(Path(folder))
        try:
            card.start()
            yield card
        finally:
            card.stop()


def part(hz, t_s, seed):
    """One octave of noise that dies away by 60 dB in `t_s`."""
    frames = int(1.6 * RATE_HZ)
    noise = np.random.default_rng(100 * seed + hz).standard_normal(frames)
    high = min(hz * 2**0.5, 0.49 * RATE_HZ)
    band = butter(4, (hz / 2**0.5, high), "bandpass", fs=RATE_HZ, output="sos")
    return sosfilt(band, noise) * 10 ** (-3 * np.arange(frames) / RATE_HZ / t_s)


def room(times, seeds):
    """A response whose octaves ring with these times, after the way of the direct sound."""
    tail = sum(part(hz, times[hz], seeds[hz]) for hz in OCTAVES)
    tail[0] += np.sqrt(np.sum(tail**2))
    return np.concatenate([np.zeros(340), tail / np.sqrt(np.sum(tail**2))])


def rooms(times, places):
    """One response for each place: in each octave the noise whose own decay, analysed without sound
    card and page, is nearest to what is wanted."""
    own = {}
    for seed in SEEDS:
        response = room(times, dict.fromkeys(OCTAVES, seed))
        for band in decays(ImpulseResponse(samples=response, rate_hz=RATE_HZ)):
            own[round(band.band_hz), seed] = band.t20_s or 9.0
    best = {
        hz: sorted(SEEDS, key=lambda seed: abs(own.get((hz, seed), 9.0) - times[hz]))
        for hz in OCTAVES
    }
    return [room(times, {hz: best[hz][place] for hz in OCTAVES}) for place in range(places)]


def begin(window, server):
    """A new job, its three places, and the air of the day."""
    window.goto(server.address)
    window.get_by_label("What is the room called?").fill("Front room")
    window.get_by_label("Who is the client?").fill("Client A")
    window.get_by_label("What is it used as?").select_option("meeting room")
    for label, size in (("long", "4.6 m"), ("wide", "3.8 m"), ("high", "2.6 m")):
        window.get_by_label(label, exact=True).fill(size)
    window.get_by_role("button", name="Begin").click()
    for name in ("loudspeaker", "microphone", "microphone"):
        window.wait_for_selector("#note", state="attached")
        window.evaluate("document.getElementById('note').textContent = ''")
        window.get_by_role("button", name=f"Add a {name} place").click()
        until(window, "document.getElementById('note').textContent === 'Saved.'")


def record(window, card, responses):
    """Record at every place, each with the response of its own."""
    window.get_by_label("seconds to step back").fill("0")
    for number, response in enumerate(responses, 1):
        card.be_room(response, noise=1e-4)
        window.get_by_role("button", name="Record S1 to P").click()
        counted = f"document.querySelectorAll('[data-part=takes] .good').length === {number}"
        until(window, counted, 900)


def decided(window, server):
    """Look at what is wrong, take the plan that is proposed, and have its offer signed."""
    window.goto(f"{server.root}/job/front-room/findings")
    window.wait_for_selector(".verdict")
    window.get_by_role("link", name="Next: choose a plan").click()
    window.wait_for_selector("#effect .octaves")
    window.get_by_role("link", name="Offer this plan").click()
    window.wait_for_selector("iframe.sheet")
    window.get_by_label("Name of the person who accepts it").fill("Client A")
    window.get_by_label("accepted today").check()
    window.get_by_role("button", name="Sign", exact=True).click()
    window.wait_for_selector("text=Signed by Client A")


def again(window, server, card, responses):
    """The second visit at the stored places, everything else as it was."""
    window.goto(f"{server.root}/job/front-room/proof")
    assert window.locator("h2:has-text('Where, by tape') + ul li").count() == 3
    window.get_by_label("temperature today").fill("21 C")
    window.get_by_label("humidity today").fill("45")
    window.get_by_role("button", name="The rest is as it was").click()
    cells = "[...document.querySelectorAll('[data-part=as-before] td')]"
    until(window, f"!{cells}.some(cell => cell.textContent === '{NONE}')")
    window.get_by_role("link", name="Begin the second visit").click()
    record(window, card, responses)


def test_from_an_empty_folder_to_a_kept_promise_and_a_lesson(card, tmp_path, chromium):
    window = chromium.new_context(viewport={"width": 1280, "height": 900}).new_page()
    window.set_default_timeout(120_000)
    folder = tmp_path / "front-room"
    with opened(tmp_path, card.environment) as server:
        begin(window, server)
        window.goto(f"{server.root}/job/front-room/visit")
        window.get_by_label("temperature").fill("21 C")
        window.get_by_label("humidity").fill("45")
        window.get_by_role("button", name="Save the conditions").click()
        until(window, "document.querySelector('#c-humidity').value === '45 %'")
        bare = dict.fromkeys(OCTAVES, 0.95)
        record(window, card, [room(bare, dict.fromkeys(OCTAVES, seed)) for seed in (50, 51)])
        decided(window, server)
        promise = open_job(folder).agreement.plan.promise
        wanted = {round(band.band_hz): (band.low_s + band.high_s) / 2 for band in promise.bands}
        assert wanted
        middle = sum(wanted.values()) / len(wanted)
        built = rooms({hz: wanted.get(hz, middle) for hz in OCTAVES}, 2)
        again(window, server, card, built)
        window.goto(f"{server.root}/job/front-room/proof")
        window.wait_for_selector(".verdict")
        assert "Promise kept" in window.inner_text(".verdict")
        window.get_by_role("button", name="Set the certificate").click()
        window.get_by_role("link", name="to print and sign").wait_for()
        window.wait_for_selector("[data-player] [data-play]")
        window.get_by_role("button", name="See what it would learn").click()
        window.get_by_role("button", name="Teach my shop's file").click()
        window.wait_for_selector("text=Your shop's file has learned this.")
    window.context.close()
    verification = open_job(folder).verification
    assert verification.kept is Kept.KEPT
    assert (folder / "documents" / "before-and-after.pdf").read_bytes().startswith(b"%PDF")
    (lesson,) = read_shop(tmp_path / "shop.toml").lessons
    assert lesson.job == "front-room"
    hung = {piece.piece for piece in open_job(folder).agreement.plan.pieces}
    assert {share.piece for share in lesson.shares} == hung
    learned = {piece.name for piece in read_shop(tmp_path / "shop.toml").stock if piece.learned}
    assert learned == hung
