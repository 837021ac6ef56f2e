"""Files to listen to: what is simulated decays as predicted, equal loudness is equal, and both are
said."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import scipy.signal
import soundfile as sf

import roomcheck
import roomcheck.demo
from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Estimate
from roomcheck.job import Job, load_job
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.predict import BandPrediction, Prediction
from roomcheck.report.sound.carried_on import carried_on, octave_parts
from roomcheck.report.sound.listening import a_weighted_rms, listening_files
from roomcheck.units import OCTAVES_HZ

RATE = 48_000
WAS, WILL = 1.0, 0.5
BANDS = (250.0, 500.0, 1000.0, 2000.0, 4000.0)


@pytest.fixture(scope="module")
def job() -> Job:
    return load_job(Path(roomcheck.demo.__file__).parent / "story-room")


def response(t_s: float, seed: int, gain: float = 1.0, rate_hz: int = RATE) -> ImpulseResponse:
    """Gaussian noise that dies away by 60 dB in `t_s`."""
    t = np.arange(2 * rate_hz) / rate_hz
    noise = np.random.default_rng(seed).standard_normal(len(t)) * 10 ** (-3 * t / t_s)
    lead = np.zeros(round(0.05 * rate_hz))
    return ImpulseResponse(samples=gain * np.concatenate([lead, [30.0], noise]), rate_hz=rate_hz)


def takes(
    *pairs: str, t_s: float = WAS, gain: float = 1.0, rate_hz: int = RATE
) -> tuple[Measurement, ...]:
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0)
    return tuple(
        Measurement(
            source=pair[:2],
            microphone=pair[3:],
            take="",
            response=response(t_s, i, gain, rate_hz),
            check=check,
        )
        for i, pair in enumerate(pairs)
    )


def analysis() -> Analysis:
    means = tuple(BandMean(band_hz=hz, t20=Estimate(value=WAS)) for hz in BANDS)
    return Analysis(
        visit="before",
        positions=(),
        octaves=means,
        thirds=(),
        transition_hz=None,
        mid_s=None,
        mid_u_s=None,
        grade="none",
    )


def prediction() -> Prediction:
    none = dict.fromkeys(("sabine_s", "eyring_s", "simulated_s"))
    bands = tuple(
        BandPrediction(band_hz=hz, likely_s=WILL, low_s=0.45, high_s=0.55, **none) for hz in BANDS
    )
    return Prediction(
        before=(),
        after=bands,
        mid_likely_s=WILL,
        mid_low_s=0.45,
        mid_high_s=0.55,
        transition_hz=200,
        calibrated=True,
    )


def heard(files: list[tuple[str, bytes]], name: str) -> np.ndarray:
    data, rate = sf.read(io.BytesIO(dict(files)[f"listening/{name}.wav"]))
    assert rate == RATE
    return data


def test_octave_parts_add_up_to_the_sound_again() -> None:
    x = np.random.default_rng(1).standard_normal(9000)
    assert sum(octave_parts(x, RATE).values()) == pytest.approx(x, abs=1e-12)


def with_noise(response: ImpulseResponse, below_db: float) -> ImpulseResponse:
    """With steady noise so far below the start of the decay, and 2 s more of it."""
    rate_hz = response.rate_hz
    x = np.concatenate([response.samples, np.zeros(2 * rate_hz)])
    noise = np.random.default_rng(99).standard_normal(len(x)) * 10 ** (-below_db / 20)
    return ImpulseResponse(samples=x + noise, rate_hz=rate_hz)


def last_clap(files: list[tuple[str, bytes]], name: str) -> np.ndarray:
    """The last clap of a file: it is struck 2.35 s after the first sample."""
    return heard(files, f"as-loud-as-it-is/claps-{name}")[round(2.345 * RATE) :]


def plain_t20_s(x: np.ndarray, band_hz: float) -> float:
    """By Butterworth octave, Schroeder's backward integral and a line from -5 to -25 dB."""
    edges = (band_hz / np.sqrt(2), band_hz * np.sqrt(2))
    sos = scipy.signal.butter(4, edges, "bandpass", fs=RATE, output="sos")
    still = np.cumsum(scipy.signal.sosfilt(sos, x)[::-1] ** 2)[::-1]
    db = 10 * np.log10(still / still[0] + 1e-30)
    inside = np.flatnonzero((db <= -5) & (db >= -25))
    return float(-60 / np.polyfit(inside / RATE, db[inside], 1)[0])


NAMES = ("1-before", "2-after-as-predicted-SIMULATED", "3-after-as-measured")


@pytest.fixture(scope="module")
def noisy_files(job: Job) -> list[tuple[str, bytes]]:
    """Noise 45 dB below the start of the decay: the take alone sounds on for ever."""
    before, after = takes("S1-P1"), takes("S1-P1", t_s=0.7)
    seats = [
        (replace(one, response=with_noise(one.response, 45.0)),) for one in (before[0], after[0])
    ]
    return listening_files(job, *seats, analysis(), prediction())


@pytest.mark.parametrize(
    ("name", "t_s"), [(NAMES[0], WAS), (NAMES[1], WILL), (NAMES[2], 0.7)], ids=NAMES
)
def test_decays_read_off_the_files_are_those_they_stand_for(
    noisy_files: list[tuple[str, bytes]], name: str, t_s: float
) -> None:
    x = last_clap(noisy_files, name)
    read = {
        band.band_hz: band.t20_s
        for band in roomcheck.decays(ImpulseResponse(samples=x, rate_hz=RATE))
    }
    page = dict(noisy_files)["listening/READ-ME.txt"].decode()
    for hz in OCTAVES_HZ:
        said = float(re.search(rf"^{hz:.0f} Hz:.*{name} ([\d.]+) s", page, re.M)[1])
        # Stationary noise of bandwidth B scatters T20 by 0.88/sqrt(B T) about the decay it was
        # made with; what the page says is this take's own.
        by_chance = 0.88 / np.sqrt(0.71 * hz * t_s)
        assert said == pytest.approx(t_s, rel=0.01 + 3 * by_chance), hz
        assert read[hz] == pytest.approx(said, rel=0.05), hz
        if hz >= 250:
            assert plain_t20_s(x, hz) == pytest.approx(said, rel=0.05), hz


def test_no_noise_of_the_measurement_is_heard(noisy_files: list[tuple[str, bytes]]) -> None:
    # Left in, it would lie 45 dB below the start for good; a room of 1 s has fallen by 72 dB
    # when 1.2 s are over.
    for name in NAMES:
        x = last_clap(noisy_files, name)
        start, late = (np.sqrt(np.mean(x[at : at + 2400] ** 2)) for at in (240, round(1.2 * RATE)))
        assert late < start * 10 ** (-62 / 20), name


def test_an_octave_without_a_prediction_follows_the_nearest(job: Job) -> None:
    page = dict(listening_files(job, takes("S1-P1"), (), analysis(), prediction()))[
        "listening/READ-ME.txt"
    ].decode()
    line = next(line for line in page.splitlines() if line.startswith("125 Hz"))
    assert "changed as 250 Hz" in line
    was, will = map(float, re.findall(r"([\d.]+) s", line))
    assert will / was == pytest.approx(WILL / WAS, rel=0.05)
    assert "not predicted" not in next(x for x in page.splitlines() if x.startswith("250 Hz"))


def test_an_octave_lost_in_noise_is_left_out_of_all_files_and_said(job: Job) -> None:
    rumble = np.random.default_rng(5).standard_normal(4 * RATE + round(0.05 * RATE) + 1)
    sos = scipy.signal.butter(8, 100, "lowpass", fs=RATE, output="sos")
    before = with_noise(response(WAS, 0), 60.0)
    lost = replace(before, samples=before.samples + 3 * scipy.signal.sosfilt(sos, rumble))
    seats = [(replace(takes("S1-P1")[0], response=r),) for r in (before, lost)]
    page = dict(listening_files(job, *seats, None, None))["listening/READ-ME.txt"].decode()
    assert "\n63 Hz: left out of all files" in page
    assert "\n1000 Hz: 1-before" in page
    assert 63.0 in carried_on(before).parts and 63.0 not in carried_on(lost).parts


def test_the_same_room_a_quarter_as_loud_is_a_quarter_as_loud(job: Job) -> None:
    files = listening_files(job, takes("S1-P1"), takes("S1-P1", gain=0.25), None, None)
    for kind in ("voice", "claps"):
        was, now = (
            a_weighted_rms(heard(files, f"as-loud-as-it-is/{kind}-{n}"), RATE)
            for n in (NAMES[0], NAMES[2])
        )
        assert 20 * np.log10(now / was) == pytest.approx(20 * np.log10(0.25), abs=0.01)


def test_equally_loud_is_equally_loud_and_true_levels_are_true(job: Job) -> None:
    files = listening_files(
        job, takes("S1-P1"), takes("S1-P1", t_s=WILL, gain=0.25), analysis(), prediction()
    )
    names = ("1-before", "2-after-as-predicted-SIMULATED", "3-after-as-measured")
    for kind in ("voice", "claps"):
        even = [a_weighted_rms(heard(files, f"equally-loud/{kind}-{n}"), RATE) for n in names]
        assert max(even) / min(even) == pytest.approx(1.0, abs=0.01)
    before, after = (heard(files, f"as-loud-as-it-is/claps-{n}") for n in (names[0], names[2]))
    # The direct sound of the first clap comes first: a quarter of the pressure is -12.04 dB.
    first = slice(round(0.1 * RATE), round(0.107 * RATE))
    ratio = np.sqrt(np.mean(after[first] ** 2) / np.mean(before[first] ** 2))
    assert 20 * np.log10(ratio) == pytest.approx(-12.04, abs=1.0)
    assert max(np.abs(before).max(), np.abs(after).max()) <= 10 ** (-3 / 20) + 1e-4


def test_a_simulation_says_so(job: Job) -> None:
    files = listening_files(job, takes("S1-P1"), takes("S1-P1"), analysis(), prediction())
    for name, data in files:
        if name.endswith(".wav"):
            with sf.SoundFile(io.BytesIO(data)) as file:
                assert file.title.startswith("SIMULATION") == ("SIMULATED" in name)
    page = dict(files)["listening/READ-ME.txt"].decode()
    assert "S1" in page and "P1" in page and "not a promise" in page


def test_the_seat_is_listened_at_and_the_same_pair_both_times(job: Job) -> None:
    page = dict(listening_files(job, takes("S1-P2", "S2-P1", "S1-P1"), (), None, None))[
        "listening/READ-ME.txt"
    ]
    assert b"S1 and the microphone P1" in page
    page = dict(listening_files(job, takes("S1-P1", "S1-P2"), takes("S1-P2"), None, None))[
        "listening/READ-ME.txt"
    ]
    assert b"microphone P2" in page
    assert listening_files(job, takes("S1-P1"), takes("S1-P2"), None, None) == []
    assert listening_files(job, (), (), None, None) == []


def test_another_rate_at_the_second_visit_is_brought_to_the_first(job: Job) -> None:
    files = listening_files(job, takes("S1-P1"), takes("S1-P1", rate_hz=44_100), None, None)
    was, now = (
        heard(files, f"equally-loud/claps-{n}") for n in ("1-before", "3-after-as-measured")
    )
    assert len(now) == len(was)
