"""Which poles of a fit are modes of a room, and how well they are known."""

from __future__ import annotations

import math
from itertools import pairwise
from statistics import fmean, stdev

import numpy as np
import pytest

import modes_rooms
from roomcheck.analyse import ModesReason
from roomcheck.analyse.modes.confirm import (
    LEAST_OWN,
    MOST_MOVED,
    MOST_SPREAD,
    MOST_U,
    STEADY_MOVED,
    STEADY_OWN,
    STEADY_SPREAD,
    Evidence,
    between_places,
    crowd_holds,
    evidence,
    groups,
)
from roomcheck.analyse.modes.damped import Fit, Records
from roomcheck.analyse.modes.low_end import low_end
from roomcheck.analyse.modes.mode_names import Place
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.analyse.modes.poles import find_poles
from roomcheck.analyse.modes.subspace import Subspaces, windowed_products
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

RATE_HZ = 500.0


def waves(omega: list[float], delta: list[float], seconds: float = 3.0) -> np.ndarray:
    """One real damped sinusoid in each column."""
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    return np.exp(np.outer(t, 1j * np.array(omega) - np.array(delta))).real


def test_products_of_windows_are_those_of_the_windows():
    y = np.random.default_rng(1).normal(size=(61, 2))
    for rows in (5, 20, 30):
        windows = np.lib.stride_tricks.sliding_window_view(y, rows, axis=0)
        expected = np.einsum("kci,kcj->ij", windows, windows)
        assert windowed_products(y, rows) == pytest.approx(expected, abs=1e-11)


def test_the_subspace_has_the_poles_of_a_record_without_noise():
    y = waves([200.0, 320.0, 330.0], [5.0, 8.0, 9.0]) @ np.array([[1.0, 0.5], [1.0, 2.0], [1, -1]])
    omega, delta = Subspaces(y, RATE_HZ, 1e-9, 20).poles()
    order = np.argsort(omega)
    assert omega[order] == pytest.approx([200, 320, 330], abs=1e-3)
    assert delta[order] == pytest.approx([5, 8, 9], abs=1e-3)


@pytest.mark.parametrize("places", [4, 5, 6, 7, 12])
def test_halves_leave_nobody_out_and_share_nobody(places):
    made = groups(places)
    for one, other in zip(made[::2], made[1::2], strict=True):
        assert sorted(one + other) == list(range(places))
        assert abs(len(one) - len(other)) <= 1
    assert len({tuple(half) for half in made}) == len(made)


@pytest.mark.parametrize("bandwidths", [0.3, 0.6, 1.0, 2.0])
def test_what_is_a_poles_own_is_that_of_the_closed_form(bandwidths):
    """Two decays of one damping: their squared correlation is 1/(1 + b^2), b bandwidths of 3 dB
    apart, from the integral of exp(-2 d t + i w t); what is left is a pole's own."""
    delta, omega = 10.0, 600.0
    apart = 2 * delta * bandwidths
    y = waves([omega, omega + apart], [delta, delta]) @ np.ones((2, 1))
    fit = Fit(Records(y, RATE_HZ), np.array([omega, omega + apart]), np.array([delta, delta]))
    own = fit.worth / fit.whole
    assert own == pytest.approx(np.full(2, bandwidths**2 / (1 + bandwidths**2)), abs=0.03)


def test_places_that_differ_by_noise_alone_spread_as_the_bound_says():
    rng, places, noise_sd = np.random.default_rng(2), 60, 0.02
    omega, delta = np.array([300.0, 420.0]), np.array([8.0, 12.0])
    y = waves(list(omega), list(delta)) @ rng.normal(size=(2, places))
    fit = Fit(Records(y + noise_sd * rng.normal(size=y.shape), RATE_HZ), omega, delta)
    bound = noise_sd * np.sqrt(fit.covariance.diagonal())
    assert between_places(fit) == pytest.approx(bound, rel=0.35)


@pytest.mark.parametrize("hz", [(59.97, 60.0, 60.05), (59.95, 59.99, 60.0, 60.02, 60.06)])
def test_places_with_frequencies_of_their_own_spread_as_their_mean_does(hz):
    """Of like strength: the standard error of the mean of what the places say."""
    y = np.concatenate([waves([2 * math.pi * f], [10.0]) for f in hz], axis=1)
    fit = Fit(Records(y, RATE_HZ), np.array([2 * math.pi * fmean(hz)]), np.array([10.0]))
    spread_hz = between_places(fit)[0] / (2 * math.pi)
    assert spread_hz == pytest.approx(stdev(hz) / math.sqrt(len(hz)), rel=0.03)


def test_few_places_are_widened_by_student_s_t():
    """Three places: 4.303/1.96 times the standard error (t of two degrees of freedom, printed
    tables)."""
    hz = (59.9, 60.0, 60.2)
    low = low_end(heard(list(hz)), 150.0)
    assert low is not None
    subspaces = Subspaces(low.y, low.rate_hz, 1.0, 70)
    damping = 6.9 / 0.6
    fit = Fit(Records(low.y, low.rate_hz), np.array([2 * math.pi * fmean(hz)]), np.array([damping]))
    told = evidence(low, fit, subspaces, np.ones(1))
    u_hz = float(told.frequency_u[0]) * damping / math.pi
    least_hz = 4.303 / 1.96 * stdev(hz) / math.sqrt(3)
    assert 0.95 * least_hz < u_hz < 1.5 * least_hz


@pytest.mark.parametrize(
    ("what", "limit", "above"),
    [
        ("own", LEAST_OWN, True),
        ("spread", MOST_SPREAD, False),
        ("moved", MOST_MOVED, False),
        ("frequency_u", MOST_U, False),
    ],
)
def test_one_thing_that_speaks_against_a_pole_is_enough(what, limit, above):
    sure = dict.fromkeys(("impure", "moved", "frequency_u", "damping_u"), np.zeros(2))
    usual = {"own": np.ones(2), "spread": np.full(2, 2 * STEADY_SPREAD)}
    told = Evidence(**(sure | usual | {what: limit * np.array([0.99, 1.01])}))
    assert told.holds().tolist() == [not above, above]


@pytest.mark.parametrize(
    ("what", "limit", "above"),
    [
        ("own", STEADY_OWN, True),
        ("spread", STEADY_SPREAD, False),
        ("moved", STEADY_MOVED, False),
    ],
)
def test_less_is_a_steady_poles_own(what, limit, above):
    names = ("impure", "spread", "moved", "frequency_u", "damping_u")
    usual = dict.fromkeys(names, np.zeros(2)) | {"own": np.full(2, 1.01 * STEADY_OWN)}
    told = Evidence(**(usual | {what: limit * np.array([0.99, 1.01])}))
    assert told.holds(single=True).tolist() == [not above, above]
    assert told.holds().tolist() == [False, False]


def test_one_mode_among_many_strong_poles_of_a_single_record_is_luck():
    hz = np.array([40.0, 60, 62, 64, 66, 68])
    holds = np.array([True, True, False, False, False, False])
    assert crowd_holds(hz, np.ones(6, dtype=bool), holds).tolist() == [True, *[False] * 5]


def heard(hz_at_each: list[float], seed: int = 6) -> tuple[ImpulseResponse, ...]:
    """One decay at every place, of the frequency given there."""
    rng, rate = np.random.default_rng(seed), 4000
    t = np.arange(int(1.5 * rate)) / rate
    made = []
    for hz in hz_at_each:
        x = np.exp(-6.9 * t / 0.6) * np.cos(2 * np.pi * hz * t + rng.uniform(0, 6))
        x = np.concatenate([np.zeros(100), [8.0], x]) + 1e-3 * rng.normal(size=len(t) + 101)
        made.append(ImpulseResponse(samples=x, rate_hz=rate))
    return tuple(made)


def test_what_every_place_has_is_a_mode_and_what_each_has_for_itself_is_none():
    room = Room(
        corners=((0, 0), (4.4, 0), (4.6, 3.6), (0, 3.7)), height_m=2.6, wall_names=tuple("abcd")
    )
    same, own = (
        room_modes(heard(hz), room=room, transition_hz=150, speed_m_s=343).found
        for hz in ([60.0] * 6, [55.0, 58.0, 60.0, 62.0, 65.0, 68.0])
    )
    assert [round(mode.frequency_hz, 1) for mode in same] == [60.0]
    assert own == ()


def test_a_mode_whose_strengths_are_not_those_of_the_room_is_left_out():
    rng = np.random.default_rng(11)
    boxes = [box for box in (modes_rooms.made_up(rng) for _ in range(12)) if len(box.places) == 6]
    right = wrong = 0
    for box in boxes:
        ends = [place.microphone for place in box.places]
        moved = [
            Place(source=place.source, microphone=end)
            for place, end in zip(box.places, ends[2:] + ends[:2], strict=True)
        ]
        told = [
            room_modes(
                box.responses,
                room=box.room,
                transition_hz=box.transition_hz,
                speed_m_s=343.0,
                places=places,
                from_hz=20.0,
            )
            for places in (box.places, moved)
        ]
        right += len(told[0].found)
        wrong += len(told[1].found)
        left_out = len(told[0].found) - len(told[1].found)
        said = [fact for fact in told[1].reasons if fact.kind is ModesReason.UNLIKE_THE_ROOM]
        assert sum(fact["count"] for fact in said) >= left_out
    assert right >= 20
    assert wrong <= 0.6 * right


def test_most_modes_that_stand_alone_are_named_and_few_that_are_not_there():
    some = modes_rooms.boxes(24)
    for named in some:
        assert named.ought >= 20
        assert named.given >= 0.45 * named.ought
        assert named.off <= 0.15 * named.named
    assert sum(named.given for named in some) >= 0.6 * sum(named.ought for named in some)


@pytest.mark.parametrize("places", [1, 3])
def test_a_click_in_white_noise_has_no_pole_and_no_mode(places):
    rng = np.random.default_rng(9)
    y = rng.normal(size=(700, places))
    assert find_poles(y, RATE_HZ, 1.0).size == 0
    clicks = [0.01 * rng.normal(size=6000) for _ in range(places)]
    for click in clicks:
        click[200] = 1.0
    told = room_modes(
        [ImpulseResponse(samples=click, rate_hz=4000) for click in clicks],
        room=Room.box(4.4, 3.6, 2.6),
        transition_hz=200,
        speed_m_s=343,
    )
    assert told.found == ()


def test_rooms_without_modes_have_none():
    assert modes_rooms.diffuse(12) == 0


def test_six_places_of_a_real_room_name_none_that_six_others_deny(measured_data):
    for real in modes_rooms.real_rooms(measured_data):
        found = modes_rooms.confirmed(real, 4, seed=2)
        assert found.again >= 0.9 * found.named
        assert found.by_chance_pct <= 10


def test_modes_are_by_rising_frequency_and_say_the_same_twice():
    box = modes_rooms.made_up(np.random.default_rng(3))
    told = [
        room_modes(
            box.responses, room=box.room, transition_hz=box.transition_hz, speed_m_s=343.0
        ).found
        for _ in range(2)
    ]
    assert told[0] == told[1]
    assert all(a.frequency_hz < b.frequency_hz for a, b in pairwise(told[0]))
