"""125 Hz in small rooms: a place is read as its own decay is, and what a mean over places is."""

from __future__ import annotations

import math

import pytest

import low_octave
from roomcheck.analyse import BandMean, DecayWarning, MeanRemark
from roomcheck.analyse.visit.average import MODES_LONGER_PCT, _with_single_modes
from roomcheck.facts import Estimate, fact
from roomcheck.standards.iso_3382_2_2008 import t20_sd_s
from roomcheck.words import Reader, sentence


@pytest.mark.parametrize("t60_s", [0.4, 0.6])
def test_a_place_is_read_as_the_waves_that_it_hears_die_away(t60_s):
    """Truth: the standing waves in the octave, summed without a filter."""
    read = low_octave.read("waves", t60_s, places=3, rooms=14)
    median, p95 = read.to_own
    assert median == pytest.approx(1.0, abs=0.01)
    assert p95 < 0.07
    assert read.given > 0.85


def test_the_mean_over_places_is_that_of_many_places_and_longer_than_that_of_the_energy():
    read = low_octave.read("waves", 0.6, places=3, rooms=14, seed=4)
    assert read.held_everywhere > 0.9
    assert 1.0 < read.longer <= 1 + MODES_LONGER_PCT / 100


def test_no_octave_reads_short_where_the_tail_is_another_at_each_place():
    """The mean over 14 rooms of 3 places strays by 12 % / sqrt(42) = 2 %."""
    read = low_octave.read("images, another tail at each place", 0.6, places=3, rooms=14)
    assert read.means[0] > 1 - 2 * 0.02
    assert read.held > 0.85


def test_places_that_share_one_tail_stray_together_as_one_place_does():
    """ISO 3382-2, Annex A: 12 % at one place; six places would have 5 %."""
    means = [
        low_octave.read("images, one tail at all places", 0.6, 6, 1, seed=k).means[0]
        for k in range(24)
    ]
    middle = sum(means) / len(means)
    sd = math.sqrt(sum((mean - middle) ** 2 for mean in means) / (len(means) - 1))
    one_place = t20_sd_s(0.6, 125.0) / 0.6
    assert 0.65 * one_place < sd < 1.5 * one_place


def test_octaves_that_single_modes_rule_say_what_their_mean_is():
    octaves = tuple(BandMean(band_hz=hz, t20=Estimate(value=0.6)) for hz in (125.0, 250.0, 500.0))
    low, middle, high = _with_single_modes(octaves, 283.0)
    assert [fact.kind for fact in low.remarks] == [MeanRemark.SINGLE_MODES]
    assert low.remarks[0]["transition_hz"] == 283.0
    assert middle.remarks and not high.remarks
    assert _with_single_modes((BandMean(band_hz=125.0),), 283.0)[0].remarks == ()


def test_octaves_that_single_modes_rule_are_less_sure_however_many_the_places():
    """Bandwidth 88.8 Hz times 0.6 s is 53.3, 5 over that 0.0938; over the root of 3 that is 0.0542 of
    0.6 s, 0.0325 s, and with 0.02 s 0.0382 s."""
    known = Estimate(value=0.6, u=0.02, n=6)
    octaves = tuple(BandMean(band_hz=hz, t20=known, t30=known) for hz in (125.0, 500.0))
    low, high = _with_single_modes(octaves, 283.0)
    assert low.t20.u == pytest.approx(0.0382, abs=0.0001)
    assert low.t30.u == low.t20.u and low.t20.value == 0.6
    assert high.t20.u == 0.02
    assert low.t20_over_places_u_s == pytest.approx(0.02)
    assert high.t20_over_places_u_s == 0.02


@pytest.mark.parametrize("kind", ["waves", "waves, octaves beside it far shorter"])
def test_what_is_printed_at_125_hz_holds_the_rooms_own_decay(kind):
    """20 rooms of six places each, where chance alone is said to be least."""
    read = low_octave.read(kind, 0.6, places=6, rooms=20, seed=8)
    assert read.held >= 0.9


def test_the_two_means_of_a_dry_room_are_no_further_apart_than_13_pct():
    """Bandwidth 44.4 Hz times 0.3 s is 13.3: 500 over that would be 38 %."""
    (low,) = _with_single_modes((BandMean(band_hz=63.0, t20=Estimate(value=0.3)),), 283.0)
    assert low.remarks[0]["longer_pct"] == MODES_LONGER_PCT


def test_what_swells_where_single_modes_rule_may_be_two_that_beat():
    """Two waves 3 Hz apart swell three times a second by themselves."""
    disturbed = fact(DecayWarning.DISTURBED, at_s=0.39, down_db=35.0, over_db=8.0, cases=1)
    octaves = tuple(
        BandMean(band_hz=hz, t20=Estimate(value=0.6), warnings=(disturbed,))
        for hz in (125.0, 500.0)
    )
    low, high = (
        sentence(octave.warnings[0], Reader()) for octave in _with_single_modes(octaves, 283.0)
    )
    assert "or two modes that beat, begins 0.39 s" in low
    assert "beat" not in high and "35 dB below the peak (8 dB out of the decay)" in high
