"""A visit through a pretend sound card that plays into a known room."""

from __future__ import annotations

import builtins
from dataclasses import dataclass, field, replace

import numpy as np
import pytest
from scipy.signal import fftconvolve

from roomcheck.facts import Fact, fact
from roomcheck.measure import Added, Recorded, Sweep, Take, Walk, list_devices, measure, walk
from roomcheck.measure.card.card import PortAudioCard, _Run
from roomcheck.measure.faults import CardError

RATE_HZ = 48_000


@pytest.fixture(scope="module")
def short():
    return Sweep(low_hz=40, high_hz=18_000, seconds=3, rate_hz=RATE_HZ)


@dataclass
class PretendCard:
    """Plays into a known room; does what `script` says, take by take."""

    room: np.ndarray
    script: list[str] = field(default_factory=list)
    peaks: list[float] = field(default_factory=list)

    def play_and_record(self, samples, rate_hz):
        self.peaks.append(float(np.abs(samples).max()))
        what = self.script.pop(0) if self.script else "fine"
        if what == "unplugged":
            raise CardError(
                where="sound card", found="it stopped", needed="a card", todo="Plug it in."
            )
        lag = np.zeros(7001 + 1000 * len(self.peaks))
        heard = np.concatenate([lag, fftconvolve(samples, self.room)])
        heard += 1e-4 * np.random.default_rng(len(self.peaks)).standard_normal(len(heard))
        if what == "muted":
            heard *= 0
        if what == "clipped":
            heard = np.clip(50 * heard, -1, 1)
        faults = (fact(Take.INPUT_LOST, after_s=1.2),) if what == "overflow" else ()
        return Recorded(heard[:, None], faults)


class Person:
    def __init__(self, *answers):
        self.answers, self.asked, self.told = list(answers), [], []

    def ask(self, question, choices):
        self.asked.append((question, choices))
        answer = self.answers.pop(0) if self.answers else choices[0]
        assert answer in choices
        return answer

    def tell(self, text):
        self.told.append(text)


def test_a_visit_runs_through_and_its_takes_are_those_of_the_room(job, short, helpers):
    card, person = PretendCard(helpers.make_room(0.4, seed=1)), Person()
    done = walk(job, "before", card, short, ask=person.ask, tell=person.tell, level_dbfs=-20)
    assert not done.missing
    assert not done.stopped
    assert [t.take for t in done.takes] == ["takes/before/S1-P1.wav", "takes/before/S1-P2.wav"]
    assert max(card.peaks) == pytest.approx(0.1, rel=1e-3)  # -20 dB, never more
    title, speaker, microphone, _ = person.asked[0][0]
    assert (title["source"], title["microphone"]) == ("S1", "P1")
    assert (speaker["name"], microphone["name"]) == ("S1", "P1")
    assert (speaker["wall"], speaker["corner"]) == ("south", "west")
    assert (speaker["along_m"], speaker["out_m"]) == pytest.approx((1.0, 0.9))
    for found in measure(job, "before"):
        h = found.response.samples[np.argmax(np.abs(found.response.samples)) :][: len(card.room)]
        true = card.room[: len(h)]
        assert (
            np.sum(h * true) / np.linalg.norm(h) / np.linalg.norm(true) > 0.85
        )  # the sweep ends at 18 kHz
        assert np.sum(h * true) / np.sum(true**2) == pytest.approx(0.1 * 18 / 24, rel=0.15)


def test_what_goes_wrong_is_said_repeated_and_never_lost(job, short, helpers):
    card = PretendCard(
        helpers.make_room(0.4), ["unplugged", "muted", "clipped", "overflow", "fine"]
    )
    person = Person("record", "repeat", "repeat", "repeat", "repeat", "keep", "stop")
    done = walk(job, "before", card, short, ask=person.ask, tell=person.tell)
    problems = [e["text"] for e in person.told if isinstance(e, Fact) and e.kind is Walk.PROBLEM]
    assert len(problems) == 2
    assert "Plug it in" in problems[0]
    assert "exactly zero" in problems[1]
    reasons = [take.check.reasons for take in person.told if isinstance(take, Added)]
    assert [kinds[0].kind for kinds in reasons[:2]] == [Take.CLIPPED, Take.INPUT_LOST]
    assert reasons[2] == ()
    assert done.missing == (("S1", "P2"),)
    assert done.stopped
    assert [t.check.keep for t in done.takes] == [False, False, True]


def test_the_second_visit_walks_the_pairs_that_were_chosen(job, short, helpers):
    more = replace(job.microphones[1], name="P3")
    three = replace(job, microphones=(*job.microphones, more), pairs_after=2)
    for visit, pairs in (("before", 3), ("after", 2)):
        card, person = PretendCard(helpers.make_room(0.4)), Person()
        done = walk(three, visit, card, short, ask=person.ask, tell=person.tell)
        assert len(done.takes) == len(card.peaks) == pairs and not done.missing
        assert {title[0]["count"] for title, choices in person.asked if "skip" in choices} == {
            pairs
        }


def test_a_stopped_visit_goes_on_where_it_stopped(job, short, helpers):
    card = PretendCard(helpers.make_room(0.4))
    walk(job, "before", card, short, ask=Person("record", "keep", "stop").ask, tell=lambda _: None)
    assert len(card.peaks) == 1
    person = Person()
    done = walk(job, "before", card, short, ask=person.ask, tell=person.tell)
    assert len(card.peaks) == 2
    assert person.told[0].kind is Walk.PAIR_DONE
    assert [t.microphone for t in done.takes] == ["P2"]
    assert not done.missing


def test_a_keyboard_interrupt_loses_no_finished_take(job, short, helpers):
    def ask(question, choices):
        if choices[0] == "keep":
            raise KeyboardInterrupt
        return choices[0]

    with pytest.raises(KeyboardInterrupt):
        walk(
            job, "before", PretendCard(helpers.make_room(0.4)), short, ask=ask, tell=lambda _: None
        )
    assert [m.take for m in measure(job, "before")] == ["takes/before/S1-P1.wav"]


def test_skipping_leaves_a_gap_and_says_so(job, short, helpers):
    person = Person("skip", "record", "keep")
    done = walk(
        job, "before", PretendCard(helpers.make_room(0.4)), short, ask=person.ask, tell=person.tell
    )
    assert done.missing == (("S1", "P1"),)
    assert not done.stopped


def test_keeping_against_advice_is_remembered(job, short, helpers):
    person = Person("record", "keep", "stop")
    card = PretendCard(helpers.make_room(0.4), ["clipped"])
    walk(job, "before", card, short, ask=person.ask, tell=person.tell)
    (found,) = measure(job, "before")
    assert found.check.keep
    assert found.check.overruled[0].kind is Take.CLIPPED


@pytest.mark.parametrize("platform", ["win32", "darwin", "linux"])
def test_without_portaudio_it_says_what_to_install(monkeypatch, platform):
    # `import sounddevice` raises OSError, not ImportError, where the library is missing: common
    # practice, its docs.
    plain = builtins.__import__

    def missing(name, *args, **kwargs):
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
        return plain(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", missing)
    monkeypatch.setattr("sys.platform", platform)
    first = {"win32": "pip install", "darwin": "pip install", "linux": "libportaudio2"}[platform]
    for do in (list_devices, lambda: PortAudioCard().play_and_record(np.zeros(100), RATE_HZ)):
        with pytest.raises(CardError) as caught:
            do()
        here, _, others = caught.value.todo.partition("On other systems")
        assert first in here
        assert sum(system in others for system in ("Windows: ", "macOS: ", "Linux: ")) == 2


@dataclass
class Status:
    input_overflow: bool = False
    output_underflow: bool = False


def test_the_two_streams_lose_nothing_and_report_only_after_the_pre_roll():
    signal = np.arange(3 * 48_000, dtype=np.float32)[:, None]
    run = _Run(signal, 1, 48_000)
    out, heard = np.zeros((1000, 1), dtype=np.float32), []
    while run.heard_frames < len(run.heard):
        late = run.heard_frames == 96_000
        run.play(out, 1000, None, Status(output_underflow=run.played_frames < 10_000))
        heard.append(out.copy())
        run.hear(out, 1000, None, Status(input_overflow=late))
    assert np.array_equal(run.heard[: len(signal)], signal)
    assert not run.heard[len(signal) :].any()
    assert run.faults == [fact(Take.INPUT_LOST, after_s=pytest.approx(1.0, abs=0.05))]


@dataclass
class Stream:
    active: bool


def test_a_card_that_stops_is_noticed():
    run = _Run(np.zeros((48_000, 1), dtype=np.float32), 1, 48_000)
    with pytest.raises(CardError, match="it stopped after"):
        run.wait(Stream(False), Stream(True))
