"""What a finding counts and what it leaves: by hand, from values that are made up."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from roomcheck.geometry import Point
from roomcheck.judge import BandVerdict, MeanNote, MeanVerdict, Outcome
from roomcheck.judge.findings import echo
from roomcheck.judge.findings.balance import _ratio, uneven
from roomcheck.judge.findings.stereo import _is_stereo
from roomcheck.judge.limits import audible
from roomcheck.judge.limits.mean_verdict import _notes
from roomcheck.standards import target_for


def octave(band_hz, value_s, outcome=Outcome.WITHIN, u_s=0.01, low_s=0.4, high_s=0.6):
    return BandVerdict(
        band_hz=band_hz, value_s=value_s, u_s=u_s, low_s=low_s, high_s=high_s, outcome=outcome
    )


def mean(value_s, outcome=Outcome.WITHIN):
    return MeanVerdict(
        bands_hz=(500.0, 1000.0), value_s=value_s, u_s=0.01, low_s=0.4, high_s=0.6, outcome=outcome
    )


def test_two_octaves_are_enough_to_stand_out_and_the_farthest_ranks():
    target = target_for("meeting room", 40)
    bands = (
        octave(500.0, 0.66, Outcome.TOO_LONG),
        octave(1000.0, 0.5),
        octave(2000.0, 0.78, Outcome.TOO_LONG),
    )
    few = uneven(target, bands[:2], mean(0.58))
    assert few.beyond_jnd == pytest.approx((0.66 / 0.6 - 1) / 0.05)
    both = uneven(target, bands, mean(0.58))
    assert both.beyond_jnd == pytest.approx((0.78 / 0.6 - 1) / 0.05)


def test_a_ratio_without_an_uncertainty_has_none():
    ratio, u = _ratio(octave(125.0, 0.9, u_s=0.03), octave(500.0, 0.6, u_s=0.02))
    assert (ratio, u) == pytest.approx((1.5, 1.5 * math.hypot(0.03 / 0.9, 0.02 / 0.6)))
    assert _ratio(octave(125.0, 0.9, u_s=None), octave(500.0, 0.6)) == (pytest.approx(1.5), None)
    assert _ratio(octave(125.0, 0.9), octave(500.0, 0.6, u_s=None)) == (pytest.approx(1.5), None)
    assert _ratio(octave(125.0, None), octave(500.0, 0.6)) == (None, None)


@pytest.mark.parametrize(("occupied", "said"), [(True, MeanNote.MEANT_IN_USE), (False, MeanNote.MEANT_EMPTY), (None, None)])  # fmt: skip
def test_people_are_named_where_a_target_is_for_a_full_or_an_empty_room(occupied, said):
    found = _notes(SimpleNamespace(occupied=occupied), (), people=12)
    assert [note.kind for note in found] == ([said] if said else [])


def seen(source, microphone):
    return SimpleNamespace(source=source, microphone=microphone)


def test_left_and_right_are_of_one_seat_as_far_away_and_wide_apart():
    # Common practice: an equilateral triangle, 60 degrees at the seat.
    at = {"L": Point(1, 1, 1.2), "R": Point(1, 3, 1.2), "seat": Point(1 + 3**0.5, 2, 1.2)}
    job = SimpleNamespace(
        sources=[SimpleNamespace(name=n, point=at[n]) for n in ("L", "R")],
        microphones=[
            SimpleNamespace(name="P1", point=at["seat"]),
            SimpleNamespace(name="P2", point=at["seat"]),
        ],
    )
    assert _is_stereo(job, seen("L", "P1"), seen("R", "P1"))
    assert not _is_stereo(job, seen("L", "P1"), seen("R", "P2"))
    assert not _is_stereo(job, seen("L", "P1"), seen("X", "P1"))


def test_what_is_heard_begins_where_the_trade_says():
    # Common practice: deep voices from 80 Hz, music from 20 Hz; an echo stands 6 dB out.
    assert (audible.VOICE_FROM_HZ, audible.MUSIC_FROM_HZ) == (80, 20)
    assert echo.OUT_DB == 6
