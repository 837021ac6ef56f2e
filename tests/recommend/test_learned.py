"""What full predictions say of the fast formula, by the direction in which absorption faces."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.recommend.solver.learned import UP, _factors


@pytest.mark.parametrize("true", [(0.5, 0.8, 3.0), (1.0, 1.0, 1.0)])
def test_steps_in_each_direction_give_its_factor(true: tuple[float, ...]):
    """Effects made from known factors: found within what the prior pulls towards 1."""
    steps = np.tile(2 * np.eye(3), (10, 1))[:, :, None]
    effects = np.einsum("nwb,w->nb", steps, true)
    found = _factors(steps, effects, np.array([1e-6]))[:, 0]
    assert found == pytest.approx(true, abs=0.03)


def test_what_nothing_was_tried_of_counts_once():
    steps = np.zeros((2, 3, 1))
    steps[:, 0, 0] = 1.0, -1.0
    found = _factors(steps, 0.4 * steps[:, 0], np.array([0.01]))[:, 0]
    assert found[UP] == pytest.approx(1.0) and found[0] < 0.6


def test_a_band_without_a_prediction_counts_once():
    steps = np.ones((1, 3, 2))
    effects = np.array([[np.nan, 1.5]])
    found = _factors(steps, effects, np.array([0.1, 0.1]))
    assert (found[:, 0] == 1.0).all() and found[:, 1].sum() < 2.5
