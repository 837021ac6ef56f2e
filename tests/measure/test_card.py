"""The card behind PortAudio, with a sound system of our own in its place: what is played comes back after a known
time, half as loud."""

from __future__ import annotations

import math
import threading
from types import SimpleNamespace

import numpy as np
import pytest

from roomcheck.facts import fact
from roomcheck.measure.card import card as cards
from roomcheck.measure.card import meter as meters
from roomcheck.measure.card.card import LAG_S, PRE_ROLL_S, PortAudioCard, list_devices
from roomcheck.measure.card.meter import meter
from roomcheck.measure.card.portaudio import within
from roomcheck.measure.faults import CardError
from roomcheck.measure.kinds import Take, Unusable

RATE_HZ = 48_000
BLOCK, LATE = 480, 1200
FINE = SimpleNamespace(input_overflow=False, output_underflow=False)
LOST = SimpleNamespace(input_overflow=True, output_underflow=True)


class System:
    """A sound system: its devices, the rates at which they open, and a cable from the output's
    column `wired` to every input."""

    class PortAudioError(Exception):
        pass

    def __init__(
        self, *, rates=(44_100, 48_000), wired=0, ends_after=None, lost_at=(), devices=None
    ):
        self.rates, self.wired, self.ends_after, self.lost_at = rates, wired, ends_after, lost_at
        self.devices = [
            {"name": "card", "hostapi": 0, "max_input_channels": 2, "max_output_channels": 2}
        ] if devices is None else devices  # fmt: skip
        self.default = SimpleNamespace(device=(0, 0))
        self.ear = self.mouth = None
        self.closed = 0

    def query_devices(self, device=None, kind=None):
        return self.devices if kind is None else self.devices[0]

    def query_hostapis(self):
        return [{"name": "made up"}]

    def _terminate(self):
        pass

    _initialize = _terminate

    def check_input_settings(self, *, device, channels, samplerate):
        if samplerate not in self.rates:
            raise self.PortAudioError("Invalid sample rate [PaErrorCode -9997]")

    check_output_settings = check_input_settings

    def InputStream(self, **how):  # noqa: N802 - as sounddevice names it
        self.check_input_settings(device=0, channels=1, samplerate=how["samplerate"])
        self.ear = Stream(self, how)
        return self.ear

    def OutputStream(self, **how):  # noqa: N802
        self.mouth = Stream(self, how)
        return self.mouth


class Stream:
    def __init__(self, system, how):
        self.system, self.how, self.active = system, how, False

    def start(self):
        self.active = True
        if self is self.system.mouth:
            threading.Thread(target=self.run, daemon=True).start()

    def run(self):
        system, done = self.system, 0
        on_the_way = np.zeros(LATE)
        while self.active and system.ear.active:
            out = np.full((BLOCK, self.how["channels"]), np.nan, dtype=np.float32)
            status = LOST if done in system.lost_at else FINE
            self.how["callback"](out, BLOCK, None, status)
            on_the_way = np.concatenate([on_the_way, 0.5 * out[:, system.wired]])
            back = np.repeat(on_the_way[:BLOCK, None], system.ear.how["channels"], axis=1)
            on_the_way = on_the_way[BLOCK:]
            system.ear.how["callback"](back.astype(np.float32), BLOCK, None, status)
            done += BLOCK
            if system.ends_after is not None and done >= system.ends_after:
                self.active = False

    def abort(self, ignore_errors):
        self.active = False

    def close(self, ignore_errors):
        self.system.closed += 1


@pytest.fixture
def put(monkeypatch):
    def put(system):
        for module in (cards, meters):
            monkeypatch.setattr(module, "portaudio", lambda: system)
        return system

    return put


def signal():
    return 0.8 * np.sin(2 * np.pi * 1000 * np.arange(RATE_HZ // 2) / RATE_HZ)


@pytest.mark.parametrize("output", [1, 2])
def test_what_is_played_comes_back_after_a_second_and_the_cards_own_time(put, output):
    system = put(System(wired=output - 1))
    x = signal()
    heard = PortAudioCard(output_channel=output).play_and_record(x, RATE_HZ)
    assert heard.samples.shape == (round((PRE_ROLL_S + 0.5 + LAG_S) * RATE_HZ), 1)
    at = round(PRE_ROLL_S * RATE_HZ) + LATE
    np.testing.assert_allclose(heard.samples[at : at + len(x), 0], 0.5 * x, atol=1e-6)
    assert not heard.samples[:at].any() and not heard.samples[at + len(x) :].any()
    assert heard.faults == () and system.closed == 2


def test_the_other_output_is_silent(put):
    put(System(wired=1))
    stereo = np.stack([signal(), signal()], axis=1)
    assert not PortAudioCard().play_and_record(stereo, RATE_HZ).samples.any()


def test_as_many_inputs_as_asked_are_kept(put):
    system = put(System())
    heard = PortAudioCard(input_channels=2).play_and_record(signal(), RATE_HZ)
    assert heard.samples.shape[1] == 2 and system.ear.how["channels"] == 2


def test_lost_samples_are_told_but_for_the_first_second(put):
    first, late = 20 * BLOCK, 130 * BLOCK
    put(System(lost_at=(first, late)))
    heard = PortAudioCard().play_and_record(signal(), RATE_HZ)
    after_s = (late + BLOCK) / RATE_HZ - PRE_ROLL_S
    assert heard.faults == (
        fact(Take.OUTPUT_RAN_DRY, after_s=after_s),
        fact(Take.INPUT_LOST, after_s=after_s),
    )


def test_a_card_that_goes_in_the_middle_is_told(put):
    system = put(System(ends_after=50 * BLOCK))
    with pytest.raises(CardError, match=r"stopped after 0\.5 s; needed 2\.1 s"):
        PortAudioCard().play_and_record(signal(), RATE_HZ)
    assert system.closed == 2


def test_who_asks_it_to_stop_is_obeyed(put):
    put(System(ends_after=None))
    with pytest.raises(CardError, match="it was stopped"):
        PortAudioCard(stop=lambda: True).play_and_record(np.zeros(60 * RATE_HZ), RATE_HZ)


@pytest.mark.parametrize(
    ("system", "said"),
    [
        (System(rates=(44_100, 96_000)), r"does not run at 48000 Hz, but at 44100, 96000 Hz.*--rate 44100"),
        (System(rates=()), r"it does not open \(Invalid sample rate\)"),
        (System(rates=(), devices=[]), "there is no sound device"),
    ],
)  # fmt: skip
def test_why_a_card_does_not_open(put, system, said):
    put(system)
    if not system.devices:
        system.query_devices = lambda device=None, kind=None: (
            [] if kind is None else (_ for _ in ()).throw(system.PortAudioError("device -1"))
        )
    with pytest.raises(CardError, match=said):
        PortAudioCard().play_and_record(signal(), RATE_HZ)


def test_devices_are_listed_with_their_rates_and_why_one_is_of_no_use(put):
    none = {"name": "none", "hostapi": 0, "max_input_channels": 0, "max_output_channels": 0}
    mic = {"name": "mic", "hostapi": 0, "max_input_channels": 1, "max_output_channels": 0}
    put(System(devices=[mic, none]))
    first, second = list_devices()
    assert (first.records_hz, first.plays_hz, first.why_not) == ((44_100, 48_000), (), None)
    assert first.is_default and not second.is_default and first.system == "made up"
    assert second.why_not == fact(Unusable.NO_CHANNELS)
    put(System(devices=[mic], rates=()))
    assert list_devices()[0].why_not.kind is Unusable.NO_RATE
    put(System(devices=[mic], rates=(88_200,)))
    assert list_devices()[0].why_not.kind is Unusable.ODD_RATES


def test_the_meter_tells_peak_and_rms_since_the_last_look(put):
    """A sine of amplitude 0.5: peak -6.02 dB, RMS 3.01 dB below that."""
    system = put(System())
    with meter(channel=2, rate_hz=RATE_HZ) as look:
        assert look() == (-140.0, -140.0)
        hear = system.ear.how["callback"]
        x = 0.5 * np.sin(2 * np.pi * np.arange(480) / 48)
        for _ in range(3):
            hear(np.stack([np.ones(480), x], axis=1), 480, None, FINE)
        peak, rms = look()
        assert peak == pytest.approx(20 * math.log10(0.5), abs=0.01)
        assert rms == pytest.approx(20 * math.log10(0.5 / math.sqrt(2)), abs=0.01)
        assert look() == (-140.0, -140.0)
        hear(np.stack([np.ones(480), 0 * x], axis=1), 480, None, FINE)
        assert look() == (-140.0, -140.0)
    assert system.closed == 1


def test_an_input_that_does_not_open_is_told(put):
    put(System(rates=(44_100,)))
    with (
        pytest.raises(
            CardError, match=r"input of the system: it does not open .*channel 1 at 48000"
        ),
        meter(rate_hz=RATE_HZ),
    ):
        pass


def test_what_does_not_answer_is_left_behind():
    ended = threading.Event()
    with pytest.raises(CardError, match=r"has not answered for 0\.05 s"):
        within(ended.wait, 0.05)
    ended.set()
    assert within(lambda: 7) == 7
    with pytest.raises(ZeroDivisionError):
        within(lambda: 1 / 0)
