"""Energy transport in a box against closed forms and against an independent tracer of particles.

The tracer's numbers (T30, c 343, no air) come from a separate program: 20 000 particles, Lambert
scattering, one run a room, repeatable to about 2 %; "mirrored" is a full sum over all image
sources. They were worked out before this module was written (computed).
"""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse import decays
from roomcheck.measure import ImpulseResponse
from roomcheck.predict.rays.transport import Box, _Ways, decay_fit_s, energy, remaining
from roomcheck.predict.room.formulas import eyring_s, sabine_s

C = 343.0


def run(sides, walls, floor, ceiling, scatter, *, seconds, bottom_db=-35.0):
    alpha = np.array([[walls, walls], [walls, walls], [floor, ceiling]])
    box = Box.of(sides, C, seconds)
    mirrored, scattered = energy(box, alpha, np.full((3, 2), scatter))
    return decay_fit_s(box.times_s, remaining(box.times_s, mirrored + scattered), -5.0, bottom_db)


BOOTH, OFFICE, CLASSROOM = (1.6, 1.5, 1.7), (5.0, 4.0, 2.8), (9.0, 7.0, 3.0)
TRACED = [  # sides, walls, floor, ceiling, scattering, T30 [s]
    (BOOTH, 0.10, 0.10, 0.8, 0.1, 0.231),
    (BOOTH, 0.10, 0.10, 0.8, 0.3, 0.178),
    (BOOTH, 0.10, 0.10, 0.8, 1.0, 0.182),
    (OFFICE, 0.05, 0.05, 0.8, 0.1, 0.85),
    (OFFICE, 0.05, 0.05, 0.8, 0.3, 0.46),
    (OFFICE, 0.05, 0.05, 0.8, 1.0, 0.37),
    (OFFICE, 0.15, 0.15, 0.15, 0.1, 0.648),
    (OFFICE, 0.15, 0.15, 0.15, 0.3, 0.628),
    (OFFICE, 0.15, 0.15, 0.15, 1.0, 0.634),
    (CLASSROOM, 0.04, 0.05, 0.7, 0.1, 1.49),
    (CLASSROOM, 0.04, 0.05, 0.7, 0.3, 0.71),
    (CLASSROOM, 0.04, 0.05, 0.7, 1.0, 0.49),
]


@pytest.mark.parametrize(("sides", "walls", "floor", "ceiling", "scatter", "traced_s"), TRACED)
def test_agrees_with_a_tracer_of_particles(sides, walls, floor, ceiling, scatter, traced_s):
    # 2 % of the tracer, and 3 % for one run at one place.
    found = run(sides, walls, floor, ceiling, scatter, seconds=2 * traced_s)
    assert found == pytest.approx(traced_s, rel=0.05)


MIRRORED = [(BOOTH, 0.10, 0.10, 0.8, 0.371), (OFFICE, 0.15, 0.15, 0.15, 0.737)]


@pytest.mark.parametrize(("sides", "walls", "floor", "ceiling", "summed_s"), MIRRORED)
def test_without_scattering_it_is_the_mean_of_all_images(sides, walls, floor, ceiling, summed_s):
    assert run(sides, walls, floor, ceiling, 0.0, seconds=2 * summed_s) == pytest.approx(
        summed_s, rel=0.03
    )


@pytest.mark.parametrize("scatter", [0.0, 0.1, 0.5, 1.0])
def test_nothing_is_lost_where_nothing_absorbs(scatter):
    box = Box.of(OFFICE, C, 1.0)
    mirrored, scattered = energy(box, np.zeros((3, 2)), np.full((3, 2), scatter))
    total = mirrored + scattered
    assert total == pytest.approx(np.ones(box.times_s.size), abs=0.03)
    assert np.ptp(total[20:]) < 1e-3  # no drift, however often it is scattered
    assert (scattered[-1] > 0.9) == (scatter > 0)


def test_a_diffuse_room_that_hardly_absorbs_is_sabines():
    # The limit in which every statistical formula agrees.
    sides, alpha = np.array(OFFICE), 0.01
    V, S = sides.prod(), 2 * (sides.prod() / sides).sum()
    expected = float(sabine_s(V, alpha * S, speed_m_s=C))
    assert run(
        OFFICE, alpha, alpha, alpha, 1.0, seconds=0.8 * expected, bottom_db=-25
    ) == pytest.approx(expected, rel=0.02)


def test_scattering_shortens_an_uneven_room_and_hardly_an_even_one():
    # Asked again and again of simulators: it is physics, not a leak.
    uneven = [run(OFFICE, 0.05, 0.05, 0.8, s, seconds=1.2) for s in (0.1, 0.5)]
    even = [run(OFFICE, 0.15, 0.15, 0.15, s, seconds=1.2) for s in (0.1, 0.5)]
    assert uneven[0] > 1.5 * uneven[1]
    assert even[0] == pytest.approx(even[1], rel=0.06)


def test_an_open_face_is_allowed():
    # alpha = 1 puts infinity into formulas with a logarithm for each face; here a hit simply ends
    # the path.
    found = run(OFFICE, 0.2, 0.2, 1.0, 0.3, seconds=1.0)
    sides = np.array(OFFICE)
    V, each = sides.prod(), sides.prod() / sides
    A = 0.2 * 2 * each[:2].sum() + 1.2 * each[2]
    assert 0.7 < found / float(eyring_s(V, 2 * each.sum(), A, speed_m_s=C)) < 1.5


def test_coefficients_outside_0_to_1_are_refused():
    box = Box.of(OFFICE, C, 0.5)
    with pytest.raises(ValueError, match="needed 0 to 1"):
        energy(box, np.full((3, 2), 1.07), np.full((3, 2), 0.1))


@pytest.mark.parametrize("T", [0.2, 0.7, 2.0])
def test_a_straight_decay_is_fitted_exactly(T):
    # E(t) = exp(-13.8155 t / T), ISO 3382-1's definition of a reverberation time.
    t = np.arange(0, 0.7 * T, 0.002)
    E = np.exp(-6 * np.log(10) * t / T)
    assert decay_fit_s(t, E) == pytest.approx(T, rel=1e-9)
    assert decay_fit_s(t, remaining(t, E)) == pytest.approx(T, rel=1e-3)


def test_a_decay_cut_short_has_no_fit():
    t = np.arange(0, 0.2, 0.002)
    assert decay_fit_s(t, np.exp(-6 * np.log(10) * t / 1.0)) is None


def test_the_energy_fit_is_the_fit_that_recordings_get():
    # A simulated curve made audible: Gaussian noise under its envelope, through the analysis of
    # recordings. Its own scatter in the 1 and 2 kHz octaves is 0.88 / sqrt(B T), 4 % a response;
    # the mean of 2 x 12 has 1 %.
    alpha = np.array([[0.1, 0.1], [0.1, 0.1], [0.1, 0.6]])
    box = Box.of(OFFICE, C, 1.2)
    mirrored, scattered = energy(box, alpha, np.full((3, 2), 0.15))
    power = mirrored + scattered
    fitted = decay_fit_s(box.times_s, remaining(box.times_s, power))
    t = np.arange(0, 1.0, 1 / 16_000)
    envelope = np.sqrt(np.exp(np.interp(t, box.times_s, np.log(power))))
    heard = []
    for seed in range(12):
        noise = np.random.default_rng(seed).standard_normal(len(t))
        found = decays(
            ImpulseResponse(samples=np.r_[np.zeros(1600), envelope * noise], rate_hz=16_000)
        )
        heard += [b.t20_s for b in found if b.band_hz in (1000.0, 2000.0)]
    assert np.mean(heard) == pytest.approx(fitted, rel=0.03)


def test_a_ray_meets_two_faces_in_turn_once_a_period():
    """By hand: periods of 10.3 and 4.1 ms across the first axis, seen for 50 ms in steps of 4 ms."""
    periods_s = np.array([[0.0103, 0.02, 0.03], [0.0041, 0.05, 0.007]])
    times_s = 0.004 * np.arange(14)
    found = _Ways.of(periods_s, 0, times_s)
    # 52 ms hold five of the one and twelve of the other.
    assert found.direction.tolist() == [0] * 5 + [1] * 12
    assert found.number.tolist() == [*range(5), *range(12)]
    at_s = np.array([0.0103 * n for n in range(1, 6)] + [0.0041 * n for n in range(1, 13)])
    first, second = np.split(found.cell, 2)
    parity = np.array([n % 2 for n in (*range(5), *range(12))])
    step = np.minimum(np.floor(at_s / 0.004), 12).astype(int)
    assert first.tolist() == (step + 14 * parity).tolist()
    assert second.tolist() == (first + 1).tolist()
    # Both halves of a hit lie about its very time.
    before, after = np.split(found.split, 2)
    assert before + after == pytest.approx(np.ones(17))
    assert before * step * 0.004 + after * (step + 1) * 0.004 == pytest.approx(at_s)
    whole, part = found.across[0]
    assert whole + part == pytest.approx(at_s / np.repeat([0.02, 0.05], [5, 12]))
    assert found.count[0].tolist() == [int(t / 0.0103) for t in times_s]
