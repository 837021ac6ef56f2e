"""Files to listen to: what is simulated decays as predicted, equal loudness is equal, early sound
comes from where it comes, and all of it is said."""

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
from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Placement, load_job
from roomcheck.materials import absorption_of
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.predict import BandPrediction, Prediction, piece_absorption
from roomcheck.recommend import Plan, PlanKind
from roomcheck.report.sound.carried_on import (
    LEAD_S,
    Aim,
    Carried,
    aims,
    as_predicted,
    carried_on,
    octave_parts,
)
from roomcheck.report.sound.dry_signals import claps
from roomcheck.report.sound.early import Arrival, arrivals, as_planned
from roomcheck.report.sound.listening import a_weighted_rms, listening_files
from roomcheck.report.sound.two_ears import head, two_ears
from roomcheck.units import OCTAVES_HZ

from .conftest import a_plan

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


def plan(*pieces: Placement) -> Plan:
    """Pieces with the prediction above."""
    drawn = a_plan(PlanKind.TARGET, 0, 0.45, 0.55, reaches=True)
    return replace(drawn, pieces=pieces, prediction=prediction())


def heard(files: list[tuple[str, bytes]], name: str) -> np.ndarray:
    """What both ears hear, (frames, 2)."""
    data, rate = sf.read(io.BytesIO(dict(files)[f"listening/{name}.wav"]))
    assert rate == RATE and data.shape[1] == 2
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
    return listening_files(job, *seats, analysis(), plan())


@pytest.mark.parametrize(
    ("name", "t_s"), [(NAMES[0], WAS), (NAMES[1], WILL), (NAMES[2], 0.7)], ids=NAMES
)
def test_decays_read_off_the_files_are_those_they_stand_for(
    noisy_files: list[tuple[str, bytes]], name: str, t_s: float
) -> None:
    for x in last_clap(noisy_files, name).T:
        compare(noisy_files, name, t_s, x)


def compare(files: list[tuple[str, bytes]], name: str, t_s: float, x: np.ndarray) -> None:
    """What is read off a clap at one ear is what the page says, and about what was put in."""
    read = {
        band.band_hz: band.t20_s
        for band in roomcheck.decays(ImpulseResponse(samples=x, rate_hz=RATE))
    }
    page = dict(files)["listening/READ-ME.txt"].decode()
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
    page = dict(listening_files(job, takes("S1-P1"), (), analysis(), plan()))[
        "listening/READ-ME.txt"
    ].decode()
    line = next(line for line in page.splitlines() if line.startswith("125 Hz"))
    assert "follows 250 Hz" in line
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
    for kind in ("voice", "claps", "guitar"):
        was, now = (
            a_weighted_rms(heard(files, f"as-loud-as-it-is/{kind}-{n}"), RATE)
            for n in (NAMES[0], NAMES[2])
        )
        assert 20 * np.log10(now / was) == pytest.approx(20 * np.log10(0.25), abs=0.01)


def test_equally_loud_is_equally_loud_and_true_levels_are_true(job: Job) -> None:
    files = listening_files(
        job, takes("S1-P1"), takes("S1-P1", t_s=WILL, gain=0.25), analysis(), plan()
    )
    names = ("1-before", "2-after-as-predicted-SIMULATED", "3-after-as-measured")
    for kind in ("voice", "claps", "guitar"):
        even = [a_weighted_rms(heard(files, f"equally-loud/{kind}-{n}"), RATE) for n in names]
        assert max(even) / min(even) == pytest.approx(1.0, abs=0.01)
    before, after = (heard(files, f"as-loud-as-it-is/claps-{n}") for n in (names[0], names[2]))
    # The direct sound of the first clap comes first: a quarter of the pressure is -12.04 dB.
    first = slice(round(0.1 * RATE), round(0.107 * RATE))
    ratio = np.sqrt(np.mean(after[first] ** 2) / np.mean(before[first] ** 2))
    assert 20 * np.log10(ratio) == pytest.approx(-12.04, abs=1.0)
    assert max(np.abs(before).max(), np.abs(after).max()) <= 10 ** (-3 / 20) + 1e-4


def test_a_simulation_says_so(job: Job) -> None:
    files = listening_files(job, takes("S1-P1"), takes("S1-P1"), analysis(), plan())
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


def test_half_a_minute_is_before_another_room_and_before_again(job: Job) -> None:
    files = listening_files(job, takes("S1-P1"), takes("S1-P1", gain=0.25), analysis(), plan())
    x = heard(files, "30-seconds-before-measured-before")
    assert len(x) == 30 * RATE
    first, second, third = np.split(x, 3)
    # What rounding and its dither make of two copies: at most three steps of 16 bits.
    step = 1 / 32768
    assert np.abs(first - third).max() <= 3 * step
    assert 20 * np.log10(a_weighted_rms(second, RATE) / a_weighted_rms(first, RATE)) == (
        pytest.approx(20 * np.log10(0.25), abs=0.01)
    )
    planned = heard(files, "30-seconds-before-planned-before-SIMULATED")
    assert len(planned) == 30 * RATE
    assert np.abs(planned[: 10 * RATE] - first).max() <= 3 * step


def test_a_sphere_delays_and_shadows() -> None:
    f = np.array([20.0, 20_000.0, 20_010.0])
    near, ahead, far, deepest = head(np.radians([0.0, 90.0, 180.0, 150.0]), f)
    # Woodworth's formula for sound from the side: a/c (pi/2 + 1), 0.656 ms for a sphere of 87.5 mm.
    turned = np.angle((near / far)[2] / (near / far)[1])
    apart_s = turned / (2 * np.pi * (f[2] - f[1]))
    assert apart_s == pytest.approx(0.0875 / 343 * (np.pi / 2 + 1), rel=0.01)
    assert np.abs([near[0], ahead[0], far[0]]) == pytest.approx([1.0, 1.0, 1.0], abs=0.01)
    # A hard sphere doubles the pressure of short waves that it faces.
    assert 20 * np.log10(abs(near[1])) == pytest.approx(6.0, abs=0.2)
    assert 20 * np.log10(abs(deepest[1])) < -17


def test_sound_from_the_left_comes_first_and_louder_to_the_left_ear() -> None:
    x = np.zeros(RATE // 4)
    x[round((LEAD_S + 0.010) * RATE)] = 1.0
    parts = octave_parts(x, RATE)
    carried = Carried(parts=parts, t60_s=dict.fromkeys(parts, 0.5), rate_hz=RATE)
    ahead, left = np.array([0.0, 1.0, 0.0]), np.array([-1.0, 0.0, 0.0])
    early = (Arrival(delay_s=0.0, toward=ahead), Arrival(delay_s=0.0095, toward=left))
    at_left, at_right = (ear.parts[4000.0] for ear in two_ears(carried, early))
    level_db = 10 * np.log10(np.sum(at_left**2) / np.sum(at_right**2))
    # Shadow's gains at 4 kHz by the same paper: about 5.8 dB in front, about -6 dB behind.
    assert level_db > 8
    lag = np.argmax(np.correlate(at_right, at_left, "full")) - (len(x) - 1)
    assert lag / RATE == pytest.approx(0.656e-3, abs=0.1e-3)
    below = [ear.parts[125.0] for ear in two_ears(carried, early)]
    assert np.array_equal(*below)


def covered(job: Job) -> tuple[Placement, float, float]:
    """A panel over the place where sound from S1 to P1 meets the east wall; when and how loud the
    bare wall sends it, by mirror."""
    source = next(s.point for s in job.sources if s.name == "S1")
    seat = next(m.point for m in job.microphones if m.name == "P1")
    face = job.room.face("east")
    image = face.mirror(source)
    way = np.linalg.norm(np.subtract(image, seat))
    direct = np.linalg.norm(np.subtract(source, seat))
    share = face.to_face(source)[2] / (face.to_face(source)[2] + face.to_face(seat)[2])
    u, v = (
        (1 - share) * a + share * b
        for a, b in zip(face.to_face(source)[:2], face.to_face(seat)[:2], strict=True)
    )
    stock = next(one for one in job.shop.stock if one.kind == "panel" and one.core)
    place = Rectangle(u - 0.3, v - 0.6, 0.6, 1.2)
    piece = Placement(name="A1", piece=stock.name, face="east", place=place, reasons=())
    return piece, float((way - direct) / job.speed_of_sound_m_s("before")), float(way / direct)


def test_an_early_reflection_loses_what_the_piece_on_its_way_takes(job: Job) -> None:
    piece, delay_s, _ = covered(job)
    stock = job.shop.piece(piece.piece)
    found = min(
        arrivals(job, "S1", "P1", (piece,), job.speed_of_sound_m_s("before")),
        key=lambda one: abs(one.delay_s - delay_s),
    )
    assert found.delay_s == pytest.approx(delay_s, abs=1e-5)
    wall = absorption_of(job.material_of("east"))
    for hz in (500.0, 1000.0, 2000.0):
        takes_, took = min(piece_absorption(stock).at(hz), 0.98), wall.at(hz)
        assert found.change[hz] ** 2 == pytest.approx((1 - takes_) / (1 - took), rel=1e-6)
    bare = arrivals(job, "S1", "P1", (), job.speed_of_sound_m_s("before"))
    assert all(not one.change for one in bare)
    # A click at the reflection's time is as much quieter; one well apart from it stays.
    for hz in (1000.0, 4000.0):
        n = np.zeros(RATE // 4)
        zero = round(0.005 * RATE)
        n[zero + round(delay_s * RATE)] = 1.0
        n[zero + round(0.1 * RATE)] = 1.0
        once = as_planned(n, hz, [found], zero, RATE)
        assert once[zero + round(delay_s * RATE)] == pytest.approx(found.change[hz], abs=0.01)
        assert once[zero + round(0.1 * RATE)] == 1.0


def test_octaves_without_a_prediction_change_by_what_the_pieces_take_there() -> None:
    parts = dict.fromkeys((125.0, 250.0), np.zeros(10))
    carried = Carried(parts=parts, t60_s={125.0: 0.9, 250.0: 1.0}, rate_hz=RATE)
    # Sabine: rates of decay grow with the absorption added. 1 s to 0.5 s is one more per second at
    # 250 Hz; a quarter of the absorption at 125 Hz is a quarter of that.
    found = aims(carried, analysis(), prediction(), {125.0: 1.0, 250.0: 4.0})
    assert found[125.0].t60_s == pytest.approx(1 / (1 / 0.9 + 0.25))
    taken = aims(carried, analysis(), prediction(), {125.0: -0.1, 250.0: 4.0})
    assert taken[125.0].t60_s == pytest.approx(0.9)
    unknown = aims(carried, analysis(), prediction(), {})
    assert unknown[125.0].t60_s == pytest.approx(0.45)


def test_the_dry_sounds_say_whose_they_are(job: Job) -> None:
    page = dict(listening_files(job, takes("S1-P1"), (), None, None))["listening/READ-ME.txt"]
    for owner in (b"CMU ARCTIC", b"Carnegie Mellon University", b"MIT licence"):
        assert owner in page


def test_a_bent_decay_says_what_a_plain_fit_reads(job: Job) -> None:
    # Two slopes, 0.25 s for 12 dB and then 1.2 s: no T20 by the rules of a report, but it is heard.
    t = np.arange(2 * RATE) / RATE
    energy = 10 ** (-6 * t / 0.25) + 10 ** (-1.2 - 6 * t / 1.2)
    noise = np.random.default_rng(3).standard_normal(len(t)) * np.sqrt(energy)
    x = np.concatenate([np.zeros(round(0.05 * RATE)), [3.0], noise])
    bent = carried_on(ImpulseResponse(samples=x, rate_hz=RATE))
    for hz in (1000.0, 2000.0, 4000.0):
        # Second method: the same integral of the energies, without noise.
        left = np.cumsum(energy[::-1])[::-1]
        db = 10 * np.log10(left / left[0])
        inside = np.flatnonzero((db <= -5) & (db >= -25))
        expected_s = -60 / np.polyfit(inside / RATE, db[inside], 1)[0]
        by_chance = 0.88 / np.sqrt(0.71 * hz * expected_s)
        assert bent.t60_s[hz] == pytest.approx(expected_s, rel=0.03 + 3 * by_chance), hz
        assert plain_t20_s(bent.sound, hz) == pytest.approx(bent.t60_s[hz], rel=0.05), hz


def test_a_clap_is_worth_the_same_in_every_part_of_its_spectrum() -> None:
    # So that an octave's decay is not that of the half which a clap prefers.
    clap = claps(RATE, at_s=(0.05,), length_s=0.2)
    spectrum = np.fft.rfft(clap, 1 << 16)
    f = np.fft.rfftfreq(1 << 16, 1 / RATE)
    power = np.abs(spectrum[(f > 44) & (f < 11_000)]) ** 2
    assert 10 * np.log10(power.max() / power.min()) < 1.0
    # Below 500 Hz all of it comes at once: the phase is that of a pulse.
    low = (f > 40) & (f < 500)
    phase = np.unwrap(np.angle(spectrum[low]))
    line = np.polyval(np.polyfit(f[low], phase, 1), f[low])
    assert np.abs(phase - line).max() < 0.05


UNEVEN = dict(zip(OCTAVES_HZ, (0.7, 0.8, 1.0, 1.2, 1.0, 0.62, 0.44, 0.38), strict=True))
"""Decays as in a hall of hard walls and thin air: 2 kHz lasts little more than half of 1 kHz."""


def uneven(seed: int) -> ImpulseResponse:
    noise = np.random.default_rng(seed).standard_normal(2 * RATE)
    t = np.arange(len(noise)) / RATE
    parts = octave_parts(noise, RATE)
    late = sum(part * 10 ** (-3 * t / UNEVEN[hz]) for hz, part in parts.items())
    return ImpulseResponse(samples=np.concatenate([np.zeros(2400), [30.0], late]), rate_hz=RATE)


def test_octaves_far_apart_are_read_off_either_ear_as_they_stand(job: Job) -> None:
    (one,) = takes("S1-P1")
    files = listening_files(
        job, (replace(one, response=uneven(7)),), (), analysis(), plan(*(covered(job)[:1]))
    )
    page = dict(files)["listening/READ-ME.txt"].decode()
    for name in NAMES[:2]:
        for x in last_clap(files, name).T:
            read = roomcheck.decays(ImpulseResponse(samples=x, rate_hz=RATE))
            for band in read:
                said = re.search(rf"^{band.band_hz:.0f} Hz:.*{name} ([\d.]+) s", page, re.M)[1]
                if band.t20_s is not None:
                    assert band.t20_s == pytest.approx(float(said), rel=0.03), (name, band.band_hz)
            assert sum(band.t20_s is not None for band in read) >= 6


def test_an_octave_that_its_neighbours_outlast_stays_a_sound() -> None:
    # It cannot be read to die away sooner than they let it; faster and faster it would be silence,
    # or slower and slower without end.
    noise = np.random.default_rng(5).standard_normal(RATE)
    t = np.arange(RATE) / RATE
    parts = {hz: part * 10 ** (-3 * t / 0.8) for hz, part in octave_parts(noise, RATE).items()}
    carried = Carried(parts=parts, t60_s=dict.fromkeys(parts, 0.8), rate_hz=RATE)
    wanted = {hz: Aim(t60_s=0.8) for hz in parts} | {2000.0: Aim(t60_s=0.1)}
    treated = as_predicted(carried, wanted)
    assert np.isfinite(treated.sound).all()
    # Half as fast again as asked at most: an energy of T/13.8, here 0.05 to 0.1 s of it.
    left = np.sum(treated.parts[2000.0] ** 2) / np.sum(parts[2000.0] ** 2)
    assert 0.05 / 0.8 < left < 0.2 / 0.8
    assert treated.t60_s[2000.0] > 0.1


def test_a_room_that_answers_late_is_still_a_sound(job: Job) -> None:
    # A click, 20 ms of nearly nothing, and then the room: an octave of this falls by 20 dB within
    # the gap.
    t = np.arange(RATE) / RATE
    late = np.random.default_rng(10).standard_normal(RATE) * 10 ** (-3 * t / 0.45)
    late *= 0.003 + np.clip((t - 0.018) / 0.004, 0, 1)
    response = ImpulseResponse(samples=np.concatenate([np.zeros(2400), [60.0], late]), rate_hz=RATE)
    (one,) = takes("S1-P1")
    files = listening_files(job, (replace(one, response=response),), (), analysis(), plan())
    page = dict(files).get("listening/READ-ME.txt", b"").decode()
    for hz in BANDS:
        said = re.search(rf"^{hz:.0f} Hz: 1-before ([\d.]+)", page, re.M)
        # The room's, or left out; never the gap's.
        assert said is None or float(said[1]) == pytest.approx(0.45, rel=0.25), hz
    for name, data in files:
        if name.endswith(".wav"):
            assert np.isfinite(sf.read(io.BytesIO(data))[0]).all(), name


def test_rounding_leaves_every_file_the_same_floor(job: Job) -> None:
    files = listening_files(job, takes("S1-P1"), takes("S1-P1", t_s=0.5), analysis(), plan())
    floors = [heard(files, f"as-loud-as-it-is/claps-{name}")[-2400:].std() for name in NAMES]
    # Triangular dither of two steps and rounding: a step times the root of 1/6 + 1/12.
    assert floors == pytest.approx([0.5 / 32768] * 3, rel=0.05)
