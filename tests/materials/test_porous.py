"""Porous layers against printed values.

"Printed" rows: normal and random incidence of Miki and Delany-Bazley layers, 10 kPa s/m2, rho0
1.21, c 343, worked out once with adaptive quadrature by another program (computed); the
characteristic values at X = Y = 0.1 stand so in an open measurement library's reference data too
(verified there).
"""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.materials import Facing
from roomcheck.materials.layers import porous

BANDS_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
SIGMA = 10_000.0


def normal(model, thickness_m, gap_m, sigma=SIGMA, bands=BANDS_HZ):
    f = np.array(bands)
    return porous.absorbed(
        porous.surface_impedance(
            model(f, sigma), frequency_hz=f, thickness_m=thickness_m, gap_m=gap_m
        )
    )


def test_delany_bazley_at_x_of_a_tenth():
    Zc, k = porous.delany_bazley(0.1 * SIGMA / porous.AIR_DENSITY_KG_M3, SIGMA)
    assert Zc == pytest.approx(1.324067969688 - 0.469374241588j, abs=1e-12)
    assert k == pytest.approx(1.490161114487 - 0.743809642611j, abs=1e-12)


def test_miki_at_y_of_a_tenth():
    Zc, k = porous.miki(0.1 * SIGMA, SIGMA)
    assert Zc == pytest.approx(1.299983964278 - 0.458546916825j, abs=1e-12)
    assert k == pytest.approx(1.452299906471 - 0.663926468215j, abs=1e-12)


NORMAL = [
    (porous.delany_bazley, 0.05, 0.0, "-0.0039 0.0341 0.1725 0.4961 0.8849 0.9862 0.9734"),
    (porous.miki, 0.05, 0.0, "0.0208 0.0658 0.1921 0.4854 0.8830 0.9816 0.9711"),
    (porous.delany_bazley, 0.10, 0.0, "0.0409 0.2217 0.6192 0.9429 0.9581 0.9854 0.9948"),
    (porous.miki, 0.10, 0.0, "0.0865 0.2625 0.6210 0.9366 0.9474 0.9820 0.9906"),
    (porous.delany_bazley, 0.05, 0.05, "0.0346 0.1604 0.4993 0.9130 0.9718 0.8993 0.9955"),
    (porous.miki, 0.05, 0.05, "0.0527 0.1749 0.4942 0.9083 0.9655 0.8865 0.9978"),
    (porous.miki, 0.05, 0.10, "0.1069 0.3318 0.7535 0.9970 0.7667 0.9311 0.9957"),
    (porous.miki, 0.10, 0.10, "0.2636 0.6058 0.8871 0.8873 0.9410 0.9832 0.9854"),
]


@pytest.mark.parametrize(("model", "thickness_m", "gap_m", "printed"), NORMAL)
def test_normal_incidence(model, thickness_m, gap_m, printed):
    assert normal(model, thickness_m, gap_m) == pytest.approx(
        [float(p) for p in printed.split()], abs=0.5e-4, rel=0
    )


@pytest.mark.parametrize(
    ("sigma", "printed"),
    [
        (5000.0, "0.0221 0.0595 0.1492 0.3543 0.7229 0.9366 0.9049"),
        (20000.0, "0.0249 0.0853 0.2625 0.6210 0.9366 0.9474 0.9820"),
    ],
)
def test_other_flow_resistivities(sigma, printed):
    found = normal(porous.miki, 0.05, 0.0, sigma)
    assert found == pytest.approx([float(p) for p in printed.split()], abs=0.5e-4, rel=0)


IMPEDANCE = [
    (porous.delany_bazley, 0.05, 250.0, 0.60429 - 3.38245j),
    (porous.delany_bazley, 0.05, 500.0, 0.60883 - 1.52347j),
    (porous.delany_bazley, 0.05, 1000.0, 0.65417 - 0.46984j),
    (porous.delany_bazley, 0.10, 500.0, 1.06339 - 0.50349j),
    (porous.miki, 0.05, 500.0, 0.59626 - 1.53791j),
    (porous.miki, 0.10, 500.0, 1.06636 - 0.53331j),
]


@pytest.mark.parametrize(("model", "thickness_m", "band_hz", "printed"), IMPEDANCE)
def test_surface_impedance(model, thickness_m, band_hz, printed):
    found = porous.surface_impedance(
        model(band_hz, SIGMA), frequency_hz=band_hz, thickness_m=thickness_m
    )
    assert complex(found) == pytest.approx(printed, abs=1e-5)


RANDOM = [
    (porous.extended_reaction, 0.05, 0.0, "0.139 0.325 0.589 0.828 0.930 0.954"),
    (porous.local_reaction, 0.05, 0.0, "0.103 0.249 0.496 0.764 0.934 0.871"),
    (porous.extended_reaction, 0.10, 0.0, "0.372 0.681 0.897 0.945 0.951 0.959"),
    (porous.local_reaction, 0.10, 0.0, "0.337 0.645 0.881 0.942 0.915 0.926"),
    (porous.local_reaction, 0.05, 0.05, "0.234 0.522 0.821 0.947 0.803 0.897"),
    (porous.local_reaction, 0.05, 0.10, "0.394 0.723 0.922 0.873 0.945 0.928"),
]


@pytest.mark.parametrize(("reaction", "thickness_m", "gap_m", "printed"), RANDOM)
def test_random_incidence_by_paris(reaction, thickness_m, gap_m, printed):
    found = reaction(thickness_m, gap_m, SIGMA, bands_hz=BANDS_HZ[1:])
    assert found == pytest.approx([float(p) for p in printed.split()], abs=0.5e-3, rel=0)


@pytest.mark.parametrize("zeta", [1.0, 2.0, 3.0, 5.0, 10.0])
def test_paris_of_a_real_impedance_is_the_closed_form(zeta):
    # alpha_st = (8/zeta)(1 + 1/(1 + zeta) - (2/zeta) ln(1 + zeta)), any textbook; maximum 0.951
    # (Mechel).
    angles, weights = porous.quadrature()
    closed = 8 / zeta * (1 + 1 / (1 + zeta) - 2 / zeta * np.log1p(zeta))
    found = porous.random_incidence(porous.absorbed(zeta, angles), angles, weights)
    assert float(found) == pytest.approx(closed, rel=1e-6)


def test_the_best_real_impedance_absorbs_0_951():
    angles, weights = porous.quadrature()
    found = porous.random_incidence(porous.absorbed(1.56692, angles), angles, weights)
    assert float(found) == pytest.approx(0.951222, abs=1e-6)


def test_twice_the_flow_resistivity_at_half_the_thickness_is_an_octave_higher():
    # Miki depends on f/sigma and f d alone, so the layer scales exactly.
    f = np.geomspace(100, 2000, 9)
    thin = normal(porous.miki, 0.05, 0.03, 2 * SIGMA, tuple(2 * f))
    thick = normal(porous.miki, 0.10, 0.06, SIGMA, tuple(f))
    assert thin == pytest.approx(thick, rel=1e-12)
    assert np.ptp(thick) > 0.5


def test_miki_stays_passive_where_delany_bazley_does_not():
    assert normal(porous.delany_bazley, 0.05, 0.0)[0] < 0 < normal(porous.miki, 0.05, 0.0)[0]


def test_local_and_extended_reaction_differ():
    assert (
        np.max(
            np.abs(
                porous.local_reaction(0.05, 0.0, SIGMA) - porous.extended_reaction(0.05, 0.0, SIGMA)
            )
        )
        > 0.05
    )


def test_a_gap_helps_the_low_bands():
    without, with_gap = (
        porous.porous_layer(0.05, 0.0, SIGMA),
        porous.porous_layer(0.05, 0.05, SIGMA),
    )
    assert with_gap.at(125.0) > 1.2 * without.at(125.0)


def test_heavy_film_takes_the_high_bands_and_thin_cloth_nothing():
    bare = porous.extended_reaction(0.05, 0.0, SIGMA)
    cloth = Facing(resistance_pa_s_m=5.0, mass_kg_m2=0.2)
    film = Facing(resistance_pa_s_m=1e6, mass_kg_m2=0.3)
    assert porous.extended_reaction(0.05, 0.0, SIGMA, facing=cloth) == pytest.approx(bare, abs=0.02)
    assert porous.extended_reaction(0.05, 0.0, SIGMA, facing=film)[-1] < 0.4 * bare[-1]


def test_a_layer_says_what_it_is():
    layer = porous.porous_layer(0.1, 0.05, SIGMA)
    assert (layer.mark, layer.per_piece) == ("computed", False)
    assert all(
        0 < a < 1 and 0.05 <= u < 0.2 for a, u in zip(layer.values, layer.uncertainty, strict=True)
    )


@pytest.mark.parametrize("wrong", [(0.0, 0.0, SIGMA), (0.05, -0.01, SIGMA), (0.05, 0.0, 0.0)])
def test_impossible_layers_are_refused(wrong):
    with pytest.raises(ValueError, match="thickness"):
        porous.porous_layer(*wrong)


def test_a_layer_in_compartments_says_so():
    whole, parts = (
        porous.porous_layer(0.05, 0.1, 8_000, divided=divided) for divided in (False, True)
    )
    assert "divided" in parts.title and "divided" not in whole.title
    assert "local reaction" in parts.source and "extended reaction" in whole.source
