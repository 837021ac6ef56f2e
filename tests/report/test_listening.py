"""Files to listen to: what is simulated decays as predicted, equal loudness is equal, and both are
said."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf

import roomcheck
import roomcheck.demo
from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Estimate
from roomcheck.job import Job, load_job
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.predict import BandPrediction, Prediction
from roomcheck.report.sound.listening import (
    _as_predicted,
    _trimmed,
    a_weighted_rms,
    listening_files,
    octave_parts,
)

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


def test_what_is_simulated_dies_away_as_predicted(job: Job) -> None:
    # T20 by the same analysis as recordings get: 0.5 s was predicted of a room that had 1 s.
    mended = _as_predicted(_trimmed(takes("S1-P1")[0].response), RATE, analysis(), prediction())
    found = {
        band.band_hz: band.t20_s
        for band in roomcheck.decays(ImpulseResponse(samples=mended, rate_hz=RATE))
    }
    for hz in (500.0, 1000.0, 2000.0):
        assert found[hz] == pytest.approx(WILL, rel=0.06), hz


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
    assert len(now) == pytest.approx(len(was), rel=0.01)
