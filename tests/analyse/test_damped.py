"""Sums over damped exponentials in closed form, beside the tall matrices that they stand for."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse.modes.damped import Fit, Records, power_sums
from roomcheck.analyse.modes.poles import _refined

RATE_HZ, FRAMES, POLES, CHANNELS = 400.0, 391, 6, 3


@pytest.fixture(scope="module")
def tall():
    """A fit to noise, and the matrices written out: basis, its orthonormal form, amplitudes,
    times."""
    rng = np.random.default_rng(0)
    omega = 2 * np.pi * np.sort(rng.uniform(20, 120, POLES))
    delta = rng.uniform(4, 20, POLES)
    y = rng.normal(size=(FRAMES, CHANNELS))
    t = np.arange(FRAMES) / RATE_HZ
    waves = np.exp(np.outer(t, 1j * omega - delta))
    basis = np.stack([waves.real, waves.imag], axis=2).reshape(FRAMES, 2 * POLES)
    amplitudes = np.linalg.lstsq(basis, y, rcond=None)[0]
    return Fit(Records(y, RATE_HZ), omega, delta), basis, amplitudes, t


def test_sums_of_powers_are_those_of_a_loop():
    x = np.array([0.9 + 0.1j, 0.2 - 0.5j, 0.999 + 0.01j])
    n = np.arange(50)
    for p, sums in enumerate(power_sums(x, x**50, 50, 4)):
        assert sums == pytest.approx((n**p * x[:, None] ** n).sum(axis=1), rel=1e-9)


def test_amplitudes_and_what_is_left_are_those_of_least_squares(tall):
    fit, basis, amplitudes, _ = tall
    rest = fit.records.y - basis @ amplitudes
    assert np.stack([fit.cosine, fit.sine], axis=1).reshape(2 * POLES, -1) == pytest.approx(
        amplitudes, abs=1e-9
    )
    assert fit.rest == pytest.approx(rest, abs=1e-9)
    assert fit.cost == pytest.approx(np.sum(rest**2), rel=1e-12)


def test_gram_matrices_are_those_of_the_basis(tall):
    fit, basis, _, t = tall
    for power in (0, 1, 2):
        product = basis.T @ (basis * t[:, None] ** power)
        assert fit.gram(power) == pytest.approx(product, rel=1e-9, abs=1e-10)


def test_the_jacobian_is_that_of_differences(tall):
    """Of the model, amplitudes projected out: J'J and J' times the rest from central
    differences."""
    fit, basis, _, _ = tall
    omega, delta, step = fit.omega, fit.delta, 1e-4
    parameters = np.concatenate([omega, delta])
    q = np.linalg.qr(basis)[0]
    columns = []
    for k in range(2 * POLES):
        ends = []
        for sign in (1, -1):
            moved = parameters.copy()
            moved[k] += sign * step
            waves = np.exp(
                np.outer(np.arange(FRAMES) / RATE_HZ, 1j * moved[:POLES] - moved[POLES:])
            )
            ends.append((waves @ fit.amplitude).real)
        slope = (ends[0] - ends[1]) / (2 * step)
        columns.append(slope - q @ (q.T @ slope))
    jacobian = np.array(columns)
    scale = np.sqrt(np.sum(jacobian**2, axis=(1, 2)))
    normal = np.einsum("inc,jnc->ij", jacobian, jacobian)
    assert fit.normal / np.outer(scale, scale) == pytest.approx(
        normal / np.outer(scale, scale), abs=1e-6
    )
    each = np.einsum("inc,nc->ic", jacobian, fit.records.y)
    assert fit.gradients / scale[:, None] == pytest.approx(each / scale[:, None], abs=1e-5)


def test_worth_is_what_leaving_a_pole_out_costs(tall):
    fit = tall[0]
    for k, worth in enumerate(fit.worth):
        without = Fit(fit.records, np.delete(fit.omega, k), np.delete(fit.delta, k))
        assert worth == pytest.approx(without.cost - fit.cost, rel=1e-9)


def test_unfit_is_what_more_columns_would_take(tall):
    fit, basis, _, t = tall
    for k, unfit in enumerate(fit.unfit):
        pair = basis[:, 2 * k : 2 * k + 2]
        more = np.concatenate([basis, pair * t[:, None], pair * t[:, None] ** 2], axis=1)
        left = fit.records.y - more @ np.linalg.lstsq(more, fit.records.y, rcond=None)[0]
        assert unfit == pytest.approx(fit.cost - np.sum(left**2), rel=1e-6)


def test_a_step_that_promises_nothing_ends_the_search(tall):
    """At the top of a hill J' times the rest is 0 but for rounding: no other fit is made."""
    t = tall[3]
    y = np.exp(np.outer(t, 2j * np.pi * np.array([40.0]) - 8.0)).real
    start = Fit(Records(y, RATE_HZ), np.array([2 * np.pi * 40.0]), np.array([8.0]))
    noisy = Fit(
        Records(y + 0.01 * np.random.default_rng(1).normal(size=y.shape), RATE_HZ),
        start.omega,
        start.delta,
    )
    best = _refined(noisy, rounds=30)
    assert best.cost <= noisy.cost
    assert _refined(best, rounds=30) is best
