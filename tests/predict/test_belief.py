"""What is believed after a measurement where nobody knew a coefficient: it stays a room."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.predict.room.belief import Belief, prior, updated

AREAS = np.array([30.0, 10.0, 10.0, 24.0, 24.0])
V, S = 65.0, 150.0


def eyring(rows):
    """0.161 V / (-S ln(1 - A / S)) (Eyring 1930), of absorption no larger than the surface; and its
    derivatives."""
    parts = AREAS[:, None] * np.exp(rows)
    A = np.minimum(parts.sum(axis=-2), 0.99 * S)
    T = 0.161 * V / (-S * np.log1p(-A / S))
    return np.log(T), -(T / (0.161 * V) / (1 - A / S))[None, :] * parts


@pytest.mark.parametrize("measured_s", [0.08, 0.13, 0.21, 0.5, 2.0])
def test_unknown_coefficients_explain_the_measured_decay_and_no_more_than_the_surface(measured_s):
    """A whole step of Newton's method from 0.1 went far beyond the surface, and the simulation then
    had no number."""
    rows = np.full((5, 1), np.log(0.1))
    found = updated(
        prior(rows, np.full((5, 1), 1.15)), eyring, np.log([measured_s]), np.array([0.011])
    )
    assert AREAS @ np.exp(found.mean[:, 0]) < 0.99 * S
    assert np.exp(eyring(found.mean)[0][0]) == pytest.approx(measured_s, rel=0.011)


def test_draws_do_not_hang_on_which_eigenvectors_the_library_gives():
    # Equal eigenvalues have no eigenvectors of their own: a last digit, or another library, turns
    # them. What is drawn moves no further than the square root of that digit.
    mean, spread = np.zeros((3, 8)), np.full((3, 8), 0.4)
    believed = prior(mean, spread)
    digit = 1e-13 * np.random.default_rng(1).standard_normal(believed.covariance.shape)
    nearly = Belief(mean=mean, covariance=believed.covariance + digit + digit.T)
    assert nearly.draws(200, 5) == pytest.approx(believed.draws(200, 5), abs=1e-6)
