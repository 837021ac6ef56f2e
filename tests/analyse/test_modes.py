"""Standing waves: where a box should have them, and what is found of those that were put into a
record."""

from __future__ import annotations

import math

import numpy as np
import pytest

import modes as made_up
from roomcheck.analyse import BandMean, ModesReason, RoomMode
from roomcheck.analyse.modes.box_modes import box_modes, edges_m, expected_count, shape_at
from roomcheck.analyse.modes.damped import Fit, Records
from roomcheck.analyse.modes.mode_names import Place
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.analyse.modes.poles import find_poles, known
from roomcheck.analyse.visit.average import transition_hz
from roomcheck.facts import Estimate
from roomcheck.geometry import Point, Room
from roomcheck.measure import ImpulseResponse

FT = 0.3048
C_FT = 1130 * FT


def test_axial_modes_of_a_handbook_room():
    # 16 x 12 x 8 ft at 1130 ft/s: printed in a stored handbook (verified).
    printed = {
        (1, 0, 0): 35.31, (2, 0, 0): 70.63, (3, 0, 0): 105.94, (0, 1, 0): 47.08, (0, 2, 0): 94.17, (0, 3, 0): 141.25,
        (0, 0, 1): 70.63, (0, 0, 2): 141.25,
    }  # fmt: skip
    found = {m.order: m for m in box_modes((16 * FT, 12 * FT, 8 * FT), C_FT, 150)}
    for order, hz in printed.items():
        assert found[order].frequency_hz == pytest.approx(hz, abs=0.0051)
        assert found[order].kind == "axial"


def test_all_modes_of_two_rooms():
    # 23 x 17 x 9 ft at 1130 ft/s (computed by a second script).
    printed = [
        24.57, 33.24, 41.33, 49.13, 59.32, 62.78, 66.47, 67.41, 70.86, 71.03, 73.70, 75.16, 79.72, 80.84, 82.66, 86.37,
        91.43, 94.67, 96.81, 98.26, 99.24, 99.71,
    ]  # fmt: skip
    found = [m.frequency_hz for m in box_modes((23 * FT, 17 * FT, 9 * FT), C_FT, 99.8)]
    assert found == pytest.approx(printed, abs=0.0051)
    # 5 x 4 x 2.5 m, c 343 (computed by a second script).
    orders = {
        (1, 1, 1): 87.87,
        (1, 2, 0): 92.36,
        (2, 1, 1): 106.07,
        (0, 2, 1): 109.81,
        (3, 1, 0): 111.48,
    }
    box = box_modes((5, 4, 2.5), 343, 200)
    assert {m.order: m.frequency_hz for m in box if m.order in orders} == pytest.approx(
        orders, abs=0.0051
    )
    assert sum(m.frequency_hz <= 100 for m in box) == 12
    assert len(box) == 65


def test_how_many_modes_a_room_has():
    # 4 pi V f^3/3c^3 + pi S f^2/4c^2 + E f/8c for 5 x 4 x 2.5 m (computed by a second script).
    room = Room.box(5, 4, 2.5)
    assert edges_m(room) == pytest.approx(46)
    for to_hz, count in ((100, 12.541), (200, 67.571)):
        assert expected_count(
            room.volume_m3, room.surface_m2, edges_m(room), 343, to_hz
        ) == pytest.approx(count, abs=5e-4)


# Transition frequency 2000 sqrt(T/V) (Schroeder; computed).
@pytest.mark.parametrize(
    ("volume_m3", "t_s", "hz"),
    [
        (30, 0.2, 163.30),
        (42, 0.35, 182.57),
        (50, 0.3, 154.92),
        (72, 0.5, 166.67),
        (100, 0.25, 100.0),
        (200, 0.8, 126.49),
    ],
)
def test_where_modes_give_way_to_reverberation(volume_m3, t_s, hz):
    flat = [BandMean(band_hz=f, t20=Estimate(value=t_s, n=6)) for f in (63.0, 125.0, 250.0, 500.0)]
    assert transition_hz(flat, volume_m3) == pytest.approx(hz, abs=0.0051)


def test_bandwidth_and_q():
    # 2.2/T and pi f T/6.9078 (computed): 4.40 Hz and 9.0958 at 40 Hz, T 0.5 s.
    mode = RoomMode(
        frequency_hz=40, frequency_u_hz=0.1, decay_s=0.5, decay_u_s=0.01, level_db=0, range_db=30, late_db=None,
    )  # fmt: skip
    assert mode.bandwidth_hz == pytest.approx(4.40, abs=0.005)
    assert mode.q == pytest.approx(9.0958, abs=5e-5)


def test_the_bound_is_that_of_the_closed_form():
    """One damped sinusoid, many periods, record much longer than it: var(delta) = var(omega) = 16
    delta^3 s^2/(A^2 fs).

    From the Fisher information A^2 fs/(16 s^2 delta^3) of either, amplitude and phase projected
    out.
    """
    rate, f, delta, A, s = 500.0, 80.0, 12.0, 2.0, 0.1
    t = np.arange(1500) / rate
    y = A * np.exp(-delta * t) * np.cos(2 * np.pi * f * t + 0.7)
    fit = Fit(Records(y[:, None], rate), np.array([2 * np.pi * f]), np.array([delta]))
    found = known(fit, s)
    sd = math.sqrt(16 * delta**3 * s**2 / (A**2 * rate))
    assert found.damping_sd_per_s[0] == pytest.approx(sd, rel=0.02)
    assert 2 * math.pi * found.frequency_sd_hz[0] == pytest.approx(sd, rel=0.02)


def test_two_modes_in_one_peak_are_told_apart():
    rate, rng = 500.0, np.random.default_rng(2)
    t = np.arange(900) / rate
    f, delta = np.array([70.0, 71.2]), np.array([9.0, 14.0])
    y = np.empty((len(t), 4))
    for p in range(4):
        a, phase = rng.normal(size=2), rng.uniform(0, 6, 2)
        y[:, p] = (np.exp(-np.outer(t, delta)) * np.cos(2 * np.pi * np.outer(t, f) + phase)) @ a
    found = find_poles(y + 0.003 * rng.normal(size=y.shape), rate, 0.003)
    assert found.frequency_hz == pytest.approx(f, abs=0.05)
    assert found.damping_per_s == pytest.approx(delta, rel=0.03)


def test_modes_of_made_up_rooms_are_as_near_as_the_validation_says():
    outcomes = list(made_up.outcomes(12, seed=8))
    clear, close, weak, faint = made_up.shares(outcomes)
    assert clear.modes >= 80
    assert clear.given >= 0.98 * clear.modes
    assert clear.held_pct >= 98
    for share in (close, weak):
        assert share.modes >= 20
        assert share.held_pct >= 88  # of 40 to 60 numbers; 95 with 120 rooms
        assert share.rms_sd < 1.3
    assert faint.given > 0


def test_noise_that_dies_away_has_no_modes():
    """A diffuse tail, another one at each place: what dense reflections make, not standing
    waves."""
    rng, rate = np.random.default_rng(3), 4000
    t = np.arange(int(1.5 * rate)) / rate
    responses = []
    for _ in range(6):
        tail = rng.normal(size=len(t)) * np.exp(-6.9 * t / 0.4) + 1e-4 * rng.normal(size=len(t))
        responses.append(
            ImpulseResponse(samples=np.concatenate([[0.0] * 100, [5.0], tail]), rate_hz=rate)
        )
    found = room_modes(responses, room=Room.box(4.4, 3.6, 2.6), transition_hz=200, speed_m_s=343)
    assert found.found == ()
    assert any(reason.kind is ModesReason.NOT_STABLE for reason in found.reasons)


def test_a_hum_is_no_mode():
    rng, rate = np.random.default_rng(4), 4000
    t = np.arange(int(3 * rate)) / rate
    room_sound = np.exp(-6.9 * t / 0.5) * np.cos(2 * np.pi * 72 * t)
    x = 0.02 * np.sin(2 * np.pi * 60 * t) + room_sound + 0.002 * rng.normal(size=len(t))
    found = room_modes(
        [ImpulseResponse(samples=np.concatenate([[3.0], x]), rate_hz=rate)],
        room=Room.box(4.4, 3.6, 2.6),
        transition_hz=200,
        speed_m_s=343,
    ).found
    assert [round(m.frequency_hz) for m in found] == [72]
    assert found[0].decay_s == pytest.approx(0.5, rel=0.05)


def test_a_box_names_its_modes():
    """Standing waves of a box by their closed form, each with a decay of its own, at six places."""
    rng, rate, room = np.random.default_rng(3), 4000, Room.box(5, 4, 2.5)
    box = box_modes((5, 4, 2.5), 343, 260)
    decay = {m.order: float(rng.uniform(0.3, 0.8)) for m in box}
    places = [
        Place(source=s, microphone=m)
        for s in (Point(0.4, 0.5, 0.6), Point(0.6, 3.3, 1.2))
        for m in (Point(3.1, 1.2, 1.2), Point(4.2, 2.5, 1.2), Point(2.2, 3.1, 1.5))
    ]
    t = np.arange(int(1.5 * rate)) / rate
    responses = []
    for place in places:
        x = sum(
            shape_at(m, room, place.source)
            * shape_at(m, room, place.microphone)
            * np.exp(-6.9078 / decay[m.order] * t)
            * np.cos(2 * np.pi * m.frequency_hz * t)
            for m in box
        )
        x = np.concatenate([np.zeros(80), [100.0], x]) + 0.003 * rng.normal(size=len(t) + 81)
        responses.append(ImpulseResponse(samples=x, rate_hz=rate))
    modes = room_modes(responses, room=room, transition_hz=110, speed_m_s=343, places=places)
    named = {m.box.order: m for m in modes.found if m.box}
    for order, kind, axes in (
        ((1, 0, 0), "axial", ("length",)),
        ((0, 1, 0), "axial", ("width",)),
        ((1, 1, 0), "tangential", ("length", "width")),
    ):
        assert (named[order].box.kind, named[order].box.axes) == (kind, axes)
        assert named[order].decay_s == pytest.approx(decay[order], rel=0.05)


def test_a_plan_that_is_no_box_gets_a_list_without_names():
    rng = np.random.default_rng(1)
    found = made_up.heard(made_up.made_up(rng)[0])
    assert found.found
    assert all(m.box is None for m in found.found)
    assert any(reason.kind is ModesReason.NOT_A_BOX for reason in found.reasons)
