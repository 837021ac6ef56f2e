"""Early decay beside T20: what the simulation makes of it, and what it says of scattering."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from roomcheck.analyse import Analysis, BandMean, MeanRemark
from roomcheck.facts import Estimate, fact
from roomcheck.predict import Statistics
from roomcheck.predict.answer.statistics import SCATTER_NODES
from roomcheck.predict.rays.scene import flat_shape
from roomcheck.predict.rays.transport import Box, decay_fit_s, energy, remaining
from roomcheck.predict.room import early
from roomcheck.predict.room.early import early_decays, measured_early

from .conftest import visit_of

BANDS_HZ = (250.0, 500.0, 1000.0, 2000.0)


def test_a_soft_ceiling_between_mirrors_bends_the_decay_as_the_mean_over_directions_does():
    # A ray keeps the size of its components and meets the pair across z every 3 m / |u_z|: the mean
    # over all directions is an integral, as in the test of T20 traced without scattering.
    alpha = np.array([0.05, 0.05, 0.4])
    sides, c = np.array([6.0, 4.0, 3.0]), 343.0
    box = Box.of((6.0, 4.0, 3.0), c, 4.0)
    mirrored, scattered = energy(box, np.repeat(alpha[:, None], 2, axis=1), np.zeros((3, 2)))
    left = remaining(box.times_s, mirrored + scattered)
    u, phi = np.meshgrid((np.arange(200) + 0.5) / 200, np.pi / 2 * (np.arange(200) + 0.5) / 200)
    flat = np.sqrt(1 - u**2)
    way = np.stack([flat * np.cos(phi), flat * np.sin(phi), u], axis=-1).reshape(-1, 3)
    rate = c * (way / sides) @ -np.log(1 - alpha)
    t = np.arange(0, 4, 0.001)
    exact = np.array([np.mean(np.exp(-rate * at) / rate) for at in t])
    found, expected = (
        np.log(decay_fit_s(x, y, 0.0, -10.0) / decay_fit_s(x, y))
        for x, y in ((box.times_s, left), (t, exact))
    )
    assert expected < -0.15
    assert found == pytest.approx(expected, abs=0.03)


def test_early_decays_tell_scattering_where_the_simulation_bends_and_nothing_where_it_does_not():
    alike = np.full(3, 1 / 3)
    bent = np.array([[-0.5] * 4, [-0.2] * 4, [0.0] * 4])
    spread = np.full(4, 0.03)
    low, high = (
        early_decays(np.full(4, ratio), spread, bent).weighed(alike) for ratio in (-0.5, 0.0)
    )
    assert low[0] > 0.7 and low[2] < 0.05
    assert high[2] > 0.7 and high[0] < 0.05
    straight = early_decays(np.full(4, -0.05), spread, np.zeros((3, 4)))
    assert straight.weighed(alike) == pytest.approx(alike)


def test_what_early_decays_say_agrees_with_bayes_theorem_written_out() -> None:
    # scipy's multivariate normal as a second method: as simulated with 0.95, else around T20 itself.
    normal = pytest.importorskip("scipy.stats").multivariate_normal
    measured, spread = np.array([-0.5, -0.3, -0.4]), np.full(3, 0.03)
    simulated = np.array([[-0.5] * 3, [-0.1] * 3])
    alike = np.full((3, 3), 0.8) + 0.2 * np.eye(3)

    def density(off: np.ndarray, sd: np.ndarray) -> float:
        return float(normal.pdf(off, cov=alike * np.outer(sd, sd) + np.diag(spread**2)))

    prior = np.array([0.3, 0.7])
    otherwise = density(measured, np.full(3, early._OTHERWISE_SD))
    as_meant = [
        density(measured - ratio, np.hypot(early.EARLY_SD, early.EARLY_SHARE * ratio))
        for ratio in simulated
    ]
    expected = prior * (0.95 * np.array(as_meant) + 0.05 * otherwise)
    found = early_decays(measured, spread, simulated).weighed(prior)
    assert found == pytest.approx(expected / expected.sum())
    assert found[1] > 0  # no scattering is ruled out


def test_early_decays_that_fit_no_scattering_say_nothing_of_it() -> None:
    said = early_decays(np.full(4, 0.6), np.full(4, 0.01), np.array([[-0.6] * 4, [0.0] * 4]))
    assert said.weighed(np.array([0.4, 0.6])) == pytest.approx([0.4, 0.6], abs=0.01)


def test_octaves_without_an_early_decay_say_nothing():
    nowhere = np.full(4, np.nan)
    said = early_decays(nowhere, nowhere, np.array([[-0.5] * 4, [0.0] * 4]))
    assert said.count == 0
    assert said.weighed(np.array([0.3, 0.7])) == pytest.approx([0.3, 0.7])
    assert np.isnan(flat_shape(np.zeros((2, 4))).early_at(np.log(SCATTER_NODES))).all()


def mean(early_s: float | None = 0.4, n: int = 3, **changed) -> BandMean:
    edt = None if early_s is None else Estimate(value=early_s, u=0.03 * early_s, n=n)
    t20 = Estimate(value=0.5, u=0.02, n=3)
    return BandMean(**({"band_hz": 500.0, "edt": edt, "t20": t20} | changed))


def test_early_over_late_with_its_uncertainty():
    ratio, u = measured_early(visit_of(mean()), BANDS_HZ)
    assert ratio[1] == pytest.approx(np.log(0.8))
    assert u[1] == pytest.approx(np.hypot(0.03, 0.04))
    assert np.isnan(ratio[[0, 2, 3]]).all() and np.isnan(u[[0, 2, 3]]).all()


@pytest.mark.parametrize(
    "why",
    ["none measured", "another place", "one place", "not sure", "single modes", "modal"],
)
def test_an_early_decay_that_is_no_evidence_is_withheld(why):
    alone = Estimate(value=0.5, u=0.02, n=1)
    told = {
        "none measured": visit_of(mean(None)),
        "another place": visit_of(mean(n=2)),
        "one place": visit_of(mean(n=1, t20=alone)),
        "not sure": visit_of(mean(edt=Estimate(value=0.4, n=3))),
        "single modes": visit_of(mean(remarks=(fact(MeanRemark.SINGLE_MODES, places_u_s=0.1),))),
        "modal": visit_of(mean(), transition_hz=800.0),
    }[why]
    assert np.isnan(measured_early(told, BANDS_HZ)[0]).all()


def measured(ratio: float | None) -> Analysis:
    """0.9 s everywhere, early decays so much shorter or none."""
    t20 = Estimate(value=0.9, u=0.02, n=3)
    edt = None if ratio is None else Estimate(value=0.9 * ratio, u=0.03, n=3)
    return visit_of(*(BandMean(band_hz=hz, edt=edt, t20=t20) for hz in BANDS_HZ))


def test_a_room_with_a_soft_floor_scatters_less_the_more_its_decay_bends(make_job, table):
    # A floor of 0.5 in every octave, the rest gypsum board.
    soft = table["carpet"]
    table["carpet"] = dataclasses.replace(soft, values=(0.5,) * len(soft.bands_hz))
    job = make_job()
    bent, none, straight = (
        Statistics.of(job, measured(ratio)).mixture.weights for ratio in (0.7, None, 1.0)
    )
    at = np.log(SCATTER_NODES)
    assert bent @ at < none @ at - 0.1
    assert straight @ at > none @ at + 0.1
