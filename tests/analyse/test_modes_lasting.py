"""Notes that stand alone late in a response: made-up rooms of known decays."""

from __future__ import annotations

import numpy as np
import pytest

import modes_lasting as made_up
from roomcheck.analyse.modes.lasting import STEP_HZ, _turned, _zoomed


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_note_that_rings_on_among_overlapping_ones_is_named(seed):
    rng = np.random.default_rng(seed)
    note = made_up.Note(float(rng.uniform(45, 90)), 1.1, 1.0)
    modes = made_up.found(made_up.responses(rng, note))
    near = [m for m in modes if abs(m.frequency_hz - note.frequency_hz) < 2 * m.frequency_u_hz]
    assert len(near) == 1
    assert near[0].decay_s == pytest.approx(note.decay_s, abs=3 * near[0].decay_u_s)


def test_where_all_die_away_alike_hardly_ever_one_stands_alone():
    """One set in forty has one; of eight here one at most."""
    draws = [np.random.default_rng(seed) for seed in range(8)]
    assert sum(bool(made_up.found(made_up.responses(rng, None))) for rng in draws) <= 1


def test_from_five_places_none_is_named():
    note = made_up.Note(70.0, 1.1, 1.0)
    assert not made_up.found(made_up.responses(np.random.default_rng(1), note, places=5))


def test_a_hum_is_no_note():
    modes = made_up.found(made_up.responses(np.random.default_rng(6), None, hum=0.05))
    assert not [mode for mode in modes if abs(mode.frequency_hz - 60) < 1]


@pytest.mark.parametrize("frames", [280, 457])
def test_the_zoomed_spectrum_is_that_of_the_sum(frames):
    part = np.random.default_rng(2).normal(size=(frames, 3))
    hz = np.arange(16.3, 181.0, STEP_HZ)
    assert _zoomed(part, 571.4, hz) == pytest.approx(_turned(part, 571.4, hz), abs=1e-8)
