"""Small steps of the analysis whose answer is worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from roomcheck.analyse import Reason, RoomMode
from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.blocks import Ending
from roomcheck.analyse.band.noise import EXPONENT, Tail, _fit, _slower
from roomcheck.analyse.decay.curve import Curve, LineFit
from roomcheck.analyse.decay.filter_limited import _against_t30, filter_alone
from roomcheck.analyse.decay.neighbours import leak
from roomcheck.analyse.echoes.peaks import _divided
from roomcheck.analyse.modes.box_modes import box_modes, shape_at
from roomcheck.analyse.modes.damped import Fit, Records
from roomcheck.analyse.modes.mode_names import _allowed_hz
from roomcheck.analyse.modes.modes import _late_db
from roomcheck.analyse.modes.poles import _refined
from roomcheck.analyse.places.evidence import Arrived, of_views
from roomcheck.geometry import Room
from roomcheck.standards.iec_61260_1_2014 import FLANK


def straight(t60_s: float, floor_db: float = -70.0) -> Curve:
    """The curve of an exponential decay: 60 dB in `t60_s`."""
    t_s = np.arange(0.0, 1.2 * t60_s, t60_s / 600)
    return Curve(t_s=t_s, db=-60 * t_s / t60_s, total=1.0, floor_db=floor_db)


@pytest.mark.parametrize(
    ("other_hz", "width"), [(500.0, 10**-0.3), (1000.0, 1.0), (2000.0, 10**0.3)]
)
def test_a_neighbour_leaks_by_its_width(other_hz, width):
    """Equal energies and decays: w / (2 sqrt(pi) B), w the flank's half width, of this band's
    1 kHz octave, B the neighbour's in the same unit; IEC 61260-1 has octaves of 10^0.3."""
    share = leak(straight(0.5), 1000.0, straight(0.5), other_hz, 1)
    assert share == pytest.approx(FLANK / (2 * math.sqrt(math.pi) * width), rel=1e-3)


def test_a_neighbour_that_has_died_away_leaks_less():
    """Where the own band is 20 dB down, one twice as fast is 40 dB down: a hundredth of the leak."""
    alike = leak(straight(0.5), 1000.0, straight(0.5), 2000.0, 1)
    faster = leak(straight(0.5), 1000.0, straight(0.25), 2000.0, 1)
    assert faster == pytest.approx(alike / 100, rel=0.01)
    flat = Curve(t_s=np.arange(3.0), db=np.zeros(3), total=1.0, floor_db=-70.0)
    assert leak(flat, 1000.0, straight(0.5), 2000.0, 1) == 0.0


@pytest.mark.parametrize(("t60_s", "alone"), [(0.02, True), (0.5, False)])
def test_without_a_late_fit_what_is_seen_of_the_decay_decides(t60_s, alone):
    """B T of a decay seen from -5 dB on, in a band 100 Hz wide: 2 and 50, limit 6."""
    upright = SimpleNamespace(
        late=None, longest_s=None, bandwidth_hz=100.0, bt=lambda line: 100.0 * line.t60_s
    )
    assert filter_alone(straight(t60_s), upright) is alone


@pytest.mark.parametrize(
    ("floor_db", "longest_s", "alone"),
    [(-9.0, 0.04, True), (-9.0, 0.06, False), (-9.0, None, False)],
)
def test_where_next_to_nothing_is_seen_the_early_decay_decides(floor_db, longest_s, alone):
    """B T 4 and 6, limit 5."""
    upright = SimpleNamespace(
        late=None, longest_s=longest_s, bandwidth_hz=100.0, bt=lambda line: 0.0
    )
    assert filter_alone(straight(0.5, floor_db), upright) is alone


def test_a_ratio_to_the_direct_sound_does_not_know_how_loud_both_are():
    size, rate = 4096, 48_000
    rng = np.random.default_rng(3)
    alone = np.fft.rfft(np.exp(-np.arange(size) / 20) * rng.standard_normal(size), size)
    whole = alone * (1 + 0.3 * np.exp(-2j * np.pi * np.arange(len(alone)) * 300 / size))
    quiet, loud = (_divided(k * whole, k * alone, size, rate) for k in (1e-3, 1e3))
    for one, other in zip(quiet, loud, strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-6, atol=1e-9)


def test_a_pole_that_starts_beside_the_truth_is_led_there():
    """A sinusoid that dies in longer than the record: 40 Hz, half life far beyond 1 s."""
    rate, seconds = 500.0, 1.0
    t = np.arange(round(rate * seconds)) / rate
    y = np.exp(-0.3 * t) * np.cos(2 * np.pi * 40.0 * t + 0.5)
    start = Fit(Records(y[:, None], rate), np.array([2 * np.pi * 40.2]), np.array([0.8]))
    fit = _refined(start, rounds=30)
    assert fit.omega[0] / (2 * np.pi) == pytest.approx(40.0, abs=1e-3)
    assert fit.delta[0] == pytest.approx(0.3, abs=0.01)


@pytest.mark.parametrize("moved", [(0.0, 0.0), (3.0, -2.0), (-7.5, 11.0)])
def test_a_standing_wave_s_shape_moves_with_its_room(moved):
    """The (1, 0, 2) of a 6 x 4 x 3 m box: cos(pi x / 6) cos(2 pi z / 3) from its own corner."""
    box = Room.box(6, 4, 3)
    corners = tuple((x + moved[0], y + moved[1]) for x, y in box.corners)
    room = Room(corners=corners, height_m=3.0, wall_names=box.wall_names)
    mode = next(
        mode for mode in box_modes((6.0, 4.0, 3.0), 343.0, 200.0) if mode.order == (1, 0, 2)
    )
    for x, y, z in ((0.0, 0.0, 0.0), (1.0, 2.5, 0.4), (6.0, 4.0, 1.5), (4.2, 0.1, 2.9)):
        hand = math.cos(math.pi * x / 6) * math.cos(2 * math.pi * z / 3)
        assert shape_at(mode, room, (x + moved[0], y + moved[1], z)) == pytest.approx(hand)


@pytest.mark.parametrize(
    ("other_s", "permille", "bt", "kind"),
    [
        # Both filters keep class 1 from a bandwidth times decay of 16 on; 8 is the least of the
        # zero-phase one.
        (0.50, 0.0, 10.0, None),
        (0.52, 0.0, 10.0, None),
        (0.53, 0.0, 10.0, Reason.FILTERS_DIFFER),
        (0.47, 0.0, 10.0, Reason.FILTERS_DIFFER),
        (0.53, 0.0, 16.0, None),
        (0.50, 0.0, 7.9, Reason.FILTER_LIMITED),
        (0.50, 60.0, 10.0, Reason.NOT_A_LINE),
        (0.50, 40.0, 10.0, None),
    ],
)
def test_a_short_t30_stands_where_both_filters_give_it(other_s, permille, bt, kind):
    line = LineFit(0.5, -math.sqrt(1 - permille / 1000))
    found = _against_t30(line, bt, LineFit(other_s, -1.0))
    assert (found.kind if found else None) is kind
    assert _against_t30(line, 16.0, None) is None


def test_a_stretch_that_is_patched_has_the_power_it_is_given():
    """Running sums: the stretch adds its power a point, all behind it keeps its own."""
    power = np.arange(1.0, 101.0)
    band = Band(
        band_hz=500.0, bandwidth_hz=350.0, power=power, dt_s=0.001, start=0, offset_s=0.0, stop=100
    )
    ending = Ending(band, np.concatenate(([0.0], np.cumsum(power))), 0.1)
    ending.patch(0.020, 0.040, 7.0)
    patched = power.copy()
    patched[20:40] = 7.0
    assert np.diff(ending.energy) == pytest.approx(patched)


def test_a_standing_wave_may_be_off_by_a_twenty_fifth_its_width_or_its_doubt():
    """Common practice: 4 % for windows, doors and yielding walls."""
    mode = RoomMode(
        frequency_hz=50.0, frequency_u_hz=0.1, decay_s=1.1, decay_u_s=0.1, level_db=0.0,
        range_db=30.0, late_db=None,
    )  # fmt: skip
    assert _allowed_hz(mode) == pytest.approx(2.0)
    # Half of a bandwidth of 2.2 / T: 0.2 s ring over 11 Hz.
    assert _allowed_hz(replace(mode, decay_s=0.2)) == pytest.approx(5.5, rel=0.01)
    assert _allowed_hz(replace(mode, frequency_u_hz=1.5)) == pytest.approx(4.5)


def test_a_tail_of_exponential_and_floor_is_fitted_to_what_it_is_made_of():
    """ln A, k and ln N of A exp(-kt) + N, from a start that is off."""
    t = np.linspace(0.05, 1.0, 60)
    power = math.exp(-2.0) * np.exp(-9.0 * t) + math.exp(-8.0)
    found = _fit(t, power, np.full(60, 20.0), (-1.5, 8.0, -7.5))
    assert found == pytest.approx((-2.0, 9.0, -8.0), abs=0.02)
    assert _fit(t, power, np.full(60, 20.0), (-1.5, -1.0, -7.5)) is None


def test_how_far_a_mode_stands_over_what_is_beside_it():
    """A decaying tone in noise, against sums of sines and cosines at the tone and at frequencies up
    to a third of an octave beside it, no transform at all."""
    rate, hz = 400.0, 60.0
    t = np.arange(2000) / rate
    hiss = 1e-3 * np.random.default_rng(4).standard_normal((2000, 2))
    tone = np.exp(-0.5 * t)[:, None] * np.sin(2 * np.pi * hz * t)[:, None]
    y = 0.01 * tone + hiss
    low = SimpleNamespace(y=y, delay_s=0.15, rate_hz=rate, noise_at=lambda f: 0.0)
    (found,) = _late_db(low, np.array([hz]), np.array([0.5]))

    def power(f):
        return (np.abs(np.exp(-2j * np.pi * f * t) @ y) ** 2).mean()

    beside = [f for f in np.arange(hz / 2 ** (1 / 3), hz * 2 ** (1 / 3), 0.03) if abs(f - hz) > 1.5]
    by_sums = 10 * math.log10(power(hz) / np.median([power(f) for f in beside]))
    assert found == pytest.approx(by_sums, abs=0.3)
    loud = SimpleNamespace(y=tone + hiss, delay_s=0.15, rate_hz=rate, noise_at=lambda f: 1e9)
    assert _late_db(loud, np.array([60.0]), np.array([1.0])) == [None]


@pytest.mark.parametrize(("below", "held"), [(11.9, False), (12.5, True), (1.0, False)])
def test_a_line_that_runs_beyond_what_a_number_holds_is_none(below, held):
    """Eight steps of 1.5 at most: from 11.9 below the limit it is beyond at the very last."""
    t = np.linspace(0.0, 1.0, 60)
    start = EXPONENT - below
    power = np.exp(np.minimum(start + 30 - 0.5 * t, 709))
    found = _fit(t, power, np.full(60, 20.0), (start, 0.5, 0.0))
    assert (found is not None) is held


@pytest.mark.parametrize(("order", "missing"), [((1, 1, 2), 2), ((1, 2, 2), 1), ((2, 2, 2), 0)])
def test_first_reflections_that_are_due_and_not_there_speak_against_a_place(order, missing):
    """One arrival, far from every image, explains none: what is left is one for each image of first
    order that is due."""
    heard = Arrived(delay_s=np.array([0.025]), level_db=np.array([-19.0]))
    delay_s, level_db = np.array([[0.005, 0.008, 0.011]]), np.full((1, 3), -2.0)
    found = of_views(heard, delay_s, level_db, np.array(order))
    assert found == pytest.approx([-missing], abs=1e-6)


def falling(end_s):
    """Two rooms: 30 nepers a second, and 10 from 30 dB down, in a band 350 Hz wide."""
    t = np.arange(round(2.0 / 0.001)) * 0.001
    power = np.exp(-30.0 * t) + 1e-3 * np.exp(-10.0 * t)
    band = Band(
        band_hz=500.0, bandwidth_hz=350.0, power=power, dt_s=0.001, start=0, offset_s=0.0,
        stop=len(power),
    )  # fmt: skip
    return Ending(band, np.concatenate(([0.0], np.cumsum(power))), end_s)


def test_what_was_taken_for_noise_and_falls_is_the_slower_decay():
    knee_s = math.log(1e3) / 20
    taken = Tail(noise=1e-4, ln_level=0.0, slope=30.0, knee_s=knee_s, floor=1e-4)
    later = _slower(falling(2.0), taken)
    assert later is not None
    assert later.slope == pytest.approx(10.0, rel=0.1)
    # 16 independent values are the least; 36 ms of 350 Hz hold 12.6.
    assert _slower(falling(knee_s + 6 / (10 / math.log(10)) / 30 + 0.036), taken) is None
    assert _slower(falling(2.0), replace(taken, noise=0.0)) is None
