"""Diffusers against printed sequences, depth tables and a published Fraunhofer solution."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roomcheck.materials.layers import diffusers
from roomcheck.materials.layers.diffusers import (
    design_hz,
    diffusion_coefficient,
    half_wave_hz,
    is_prime,
    least_distance_m,
    normalised_diffusion,
    panel_diffusion,
    primitive_root_array,
    primitive_root_sequence,
    primitive_roots,
    quadratic_residue_array,
    quadratic_residues,
    quarter_wave_hz,
    scattered_energy,
    well_depths_m,
)

PRIMES = [5, 7, 11, 13, 17, 19, 23]

# Quadratic residue sequences as printed in textbooks (17: seen in a stored text; the others follow
# by hand).
RESIDUES = {
    5: "0 1 4 4 1",
    7: "0 1 4 2 2 4 1",
    11: "0 1 4 9 5 3 3 5 9 4 1",
    13: "0 1 4 9 3 12 10 10 12 3 9 4 1",
    17: "0 1 4 9 16 8 2 15 13 13 15 2 8 16 9 4 1",
}

# Primitive root arrays: N = 13 and N = 43 as a published solution prints them.
ROOT_13 = "1 5 12 8 / 3 2 10 11 / 9 6 4 7"
ROOT_43 = (
    "1 21 11 16 35 4 41 / 37 3 20 33 5 19 12 / 36 25 9 17 13 15 14 / 42 22 32 27 8 39 2 / 6 40 "
    "23 10 38 24 31 / 7 18 34 26 30 28 29"
)

# Cox and D'Antonio, Eq. 10.3 with 343 m/s: depths in mm of N 7 at 500 and 490 Hz (deepest 0.196 and
# 0.200 m in open code) and of N 11 at 500 Hz.
DEPTHS_MM = {
    (7, 500): "0 49 196 98 98 196 49",
    (7, 490): "0 50 200 100 100 200 50",
    (11, 500): "0 31.18 124.73 280.64 155.91 93.55 93.55 155.91 280.64 124.73 31.18",
}

# Levels in dB from -90 to 90 degrees, N 7 at 490 Hz, six periods over 3.6 m, 1000 Hz, from the
# front: printed by an open reference implementation of the Fraunhofer solution.
ARC_DB = (
    "-19.337 -18.867 -19.798 -26.178 -26.347 -18.811 -29.685 -18.212 -34.309 -13.850 -11.212 "
    "-1.191 -12.143 -16.334 -21.342 -25.559 -24.896 -22.567 0 -19.414 -18.483 -17.966 -17.789 "
    "-16.949 -13.506 -1.146 -9.559 -10.912 -30.481 -13.875 -25.163 -14.346 -22.085 -22.176 "
    "-16.038 -15.275 -15.804"
)


def numbers(text: str) -> list[float]:
    return [float(part) for part in text.split()]


@pytest.mark.parametrize(("prime", "printed"), RESIDUES.items())
def test_quadratic_residues_agree_with_printed_sequences(prime, printed):
    assert list(quadratic_residues(prime)) == numbers(printed)


@pytest.mark.parametrize("prime", PRIMES)
def test_quadratic_residues_have_a_flat_spectrum_of_root_n(prime):
    # Schroeder 1979: that is what the sequence is for.
    phases = np.exp(2j * np.pi * np.array(quadratic_residues(prime)) / prime)
    assert np.abs(np.fft.fft(phases)) == pytest.approx(np.full(prime, np.sqrt(prime)))


@pytest.mark.parametrize("prime", PRIMES)
def test_primitive_root_sequence_loses_its_zero_order(prime):
    phases = np.exp(2j * np.pi * np.array(primitive_root_sequence(prime)) / prime)
    orders = np.abs(np.fft.fft(phases))
    assert orders[0] == pytest.approx(1)
    assert orders[1:] == pytest.approx(np.full(prime - 2, np.sqrt(prime)))


def test_primitive_roots_agree_with_tables_of_number_theory():
    found = {n: primitive_roots(n) for n in (7, 13, 17)}
    assert found == {7: (3, 5), 13: (2, 6, 7, 11), 17: (3, 5, 6, 7, 10, 11, 12, 14)}


@pytest.mark.parametrize(
    ("prime", "rows", "columns", "printed"), [(13, 3, 4, ROOT_13), (43, 6, 7, ROOT_43)]
)
def test_primitive_root_array_agrees_with_the_published_solution(prime, rows, columns, printed):
    array = primitive_root_array(prime, rows, columns)
    assert [list(row) for row in array] == [numbers(row) for row in printed.split("/")]


def test_square_residue_array_has_49_equal_orders():
    array = np.array(quadratic_residue_array(7))
    assert np.abs(np.fft.fft2(np.exp(2j * np.pi * array / 7))) == pytest.approx(
        np.full((7, 7), 7.0)
    )
    assert [int((array == k).sum()) for k in range(7)] == [1, 8, 8, 8, 8, 8, 8]


@pytest.mark.parametrize(("design", "printed"), DEPTHS_MM.items())
def test_depths_agree_with_the_published_table(design, printed):
    prime, frequency = design
    depths = well_depths_m(quadratic_residues(prime), prime, frequency)
    assert [1000 * d for d in depths] == pytest.approx(numbers(printed), abs=0.005)


@pytest.mark.parametrize(
    ("inches", "printed"), [(2, 1930), (3, 1290), (4, 965), (5.5, 700), (6, 640)]
)
def test_design_frequency_of_seven_wells_agrees_with_common_practice(inches, printed):
    assert design_hz(quadratic_residues(7), 7, inches * 0.0254) == pytest.approx(printed, abs=6)


def test_design_frequency_undoes_the_depths():
    depths = well_depths_m(quadratic_residues(13), 13, 612.0, sound_m_s=346.0)
    assert design_hz(quadratic_residues(13), 13, max(depths), sound_m_s=346.0) == pytest.approx(612)


@pytest.mark.parametrize(
    ("cell_m", "printed"), [(0.025, 6860.0), (0.0381, 4501.3), (0.0635, 2700.8), (0.1, 1715.0)]
)
def test_cells_are_half_a_wave_wide_at_the_high_end(cell_m, printed):
    assert half_wave_hz(cell_m) == pytest.approx(printed, abs=0.05)


def test_four_inch_blocks_begin_at_a_quarter_wave_of_840_hz():
    # The trade says 840 Hz, to the ten.
    assert quarter_wave_hz(4 * 0.0254) == pytest.approx(840, abs=5)


@pytest.mark.parametrize(
    ("low_hz", "printed"), [(300, 3.43), (343, 3.0), (500, 2.058), (800, 1.286)]
)
def test_listeners_keep_three_waves_away(low_hz, printed):
    assert least_distance_m(low_hz) == pytest.approx(printed, abs=5e-4)


def test_diffusion_coefficient_of_closed_forms():
    even = diffusion_coefficient(np.full(37, -12.0))
    single = diffusion_coefficient([0.0] + [-400.0] * 36)
    two = diffusion_coefficient([0.0, 0.0] + [-400.0] * 35)
    assert (even, single, two) == (
        pytest.approx(1),
        pytest.approx(0, abs=1e-12),
        pytest.approx(1 / 36),
    )
    assert diffusion_coefficient([0, -3, -6, -3, 0]) == pytest.approx(0.781552, abs=5e-7)


def test_fraunhofer_levels_agree_with_an_open_reference():
    depths = np.tile(well_depths_m(quadratic_residues(7), 7, 490), 6)
    energy = scattered_energy(depths, 3.6 / 42, 1000)
    assert 10 * np.log10(energy / energy.max()) == pytest.approx(numbers(ARC_DB), abs=5e-4)


def test_normalised_diffusion_agrees_with_an_open_reference():
    # The reference prints 0.109851, 0.004872 and 0.105493 from rounded levels.
    depths = np.tile(well_depths_m(quadratic_residues(7), 7, 490), 6)
    found, flat = (
        diffusion_coefficient(10 * np.log10(scattered_energy(d, 3.6 / 42, 1000) + 1e-30))
        for d in (depths, 0 * depths)
    )
    assert (found, flat) == (pytest.approx(0.109851, abs=3e-6), pytest.approx(0.004872, abs=5e-7))
    assert normalised_diffusion(found, flat) == pytest.approx(0.105493, abs=3e-6)


def test_a_flat_panel_scatters_nothing_and_a_relief_does():
    assert panel_diffusion(np.zeros((8, 8)), 0.04, (500.0, 2000.0)) == pytest.approx(
        (0, 0), abs=1e-12
    )
    relief = np.array([quadratic_residues(7)] * 2).T * 0.025
    assert panel_diffusion(relief.T, 0.0635, (1000.0,))[0] > 0.01


def test_a_pattern_that_alternates_at_half_a_wave_acts_as_a_plate():
    # Steps of half a wave shift the phase by a whole turn.
    steps = np.array([0, 1, 1, 0, 1, 0, 0, 1]) * 343.0 / 2000 / 2
    assert scattered_energy(steps, 0.05, 2000) == pytest.approx(
        scattered_energy(0 * steps, 0.05, 2000)
    )


@given(st.sampled_from([p for p in range(5, 60) if is_prime(p)]))
def test_primitive_root_sequences_hold_every_number_once(prime):
    assert sorted(primitive_root_sequence(prime)) == list(range(1, prime))


@pytest.mark.parametrize("wrong", [0, 1, 2, 4, 9, 15])
def test_what_is_no_odd_prime_is_refused(wrong):
    with pytest.raises(ValueError, match=f"found {wrong}"):
        quadratic_residues(wrong)


def test_wrong_roots_and_folds_are_refused():
    with pytest.raises(ValueError, match="3, 5"):
        primitive_root_sequence(7, root=2)
    with pytest.raises(ValueError, match="rows 2, columns 6"):
        primitive_root_array(13, 2, 6)
    with pytest.raises(ValueError, match="flat"):
        normalised_diffusion(0.5, 1.0)


@pytest.mark.parametrize("fraction", [1, 3])
def test_lines_of_a_band_lie_evenly_between_its_edges(monkeypatch, fraction):
    """IEC 61260-1: edges at 2^(-1/2b) and 2^(1/2b) of the middle; nine lines, each in the middle
    of a ninth of the band on a logarithmic axis."""
    lines = []
    real = diffusers._sum_energy

    def noted(depths_m, cell_m, frequencies_hz, sound_m_s):
        lines.append(frequencies_hz)
        return real(depths_m, cell_m, frequencies_hz, sound_m_s)

    monkeypatch.setattr(diffusers, "_sum_energy", noted)
    panel_diffusion(np.array([0.0, 0.05, 0.1, 0.02, 0.07]), 0.05, (1000.0,), fraction)
    low, high = 1000 * 2 ** (-0.5 / fraction), 1000 * 2 ** (0.5 / fraction)
    ninths = [low * (high / low) ** ((2 * i + 1) / 18) for i in range(9)]
    assert lines and all(one == pytest.approx(ninths) for one in lines)
