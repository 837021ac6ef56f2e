"""Which way round: the greater uncertainty counts, a promise's own number of pairs is enough, one more pair is one
more. Expected values are worked by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from roomcheck.facts import Estimate
from roomcheck.verify.causes import NINE_IN_TEN, _agree, causes
from roomcheck.verify.conditions import _crowd_share
from roomcheck.verify.decide import guards, more_pairs
from roomcheck.verify.heard import _mode, speech_changes
from roomcheck.verify.kinds import Difference
from roomcheck.verify.promise import _at_least_as_uncertain, _too_few

MEAN = Estimate(value=0.5, u=0.02, freedom=5, n=6)


def analysis(octave_u_s=None, mid_u_s=None):
    octave = SimpleNamespace(t20_u_s=octave_u_s)
    return SimpleNamespace(octave=lambda hz: octave, mid_u_s=mid_u_s)


@pytest.mark.parametrize(
    ("of_the_pairs", "of_the_analysis", "counts"),
    [(0.02, 0.05, 0.05), (0.05, 0.02, 0.05), (0.03, 0.03, 0.03), (0.02, None, 0.02)],
)
def test_the_greater_uncertainty_counts(of_the_pairs, of_the_analysis, counts):
    mean = replace(MEAN, u=of_the_pairs)
    one = _at_least_as_uncertain(mean, analysis(octave_u_s=of_the_analysis), (500.0,))
    mid = _at_least_as_uncertain(mean, analysis(mid_u_s=of_the_analysis), (500.0, 1000.0))
    assert one.u == mid.u == counts
    assert (one.value, one.n) == (0.5, 6)


def test_a_mean_without_uncertainty_gets_none():
    assert _at_least_as_uncertain(None, analysis(0.1), (500.0,)) is None
    assert _at_least_as_uncertain(replace(MEAN, u=None), analysis(0.1), (500.0,)).u is None


@pytest.mark.parametrize(
    ("promised", "measured", "said"), [(6, 6, False), (6, 5, True), (6, 7, False)]
)
def test_as_many_pairs_as_promised_are_enough(promised, measured, said):
    found = _too_few(promised, measured)
    assert [one.kind for one in found] == [Difference.FEWER_THAN_PROMISED] * said


def test_so_many_more_pairs_decide_and_one_fewer_does_not():
    """With mean and scatter as they are, u falls as the root of the number of pairs."""
    low, high = 0.40, 0.518
    more = more_pairs(MEAN, low, high, tests=1)
    assert more is not None and more > 1

    def decided(pairs: int) -> bool:
        # Student's t over so many pairs is in `guards`; what the function does to u is by hand:
        from roomcheck.verify.uncertainty import student_t

        freedom = 5 + pairs - 6
        u = 0.02 * (6 / pairs) ** 0.5 * student_t(0.975, freedom) / student_t(0.975, 5)
        kept, broken = guards(replace(MEAN, u=u, freedom=freedom, n=pairs), 1)
        inside = min(0.5 - low, high - 0.5)
        return inside >= kept or -inside > broken

    assert decided(6 + more) and not decided(6 + more - 1)


def test_no_number_of_pairs_decides_on_the_limit():
    assert more_pairs(replace(MEAN, value=0.53), 0.40, 0.53, tests=1) is None


def test_the_octave_with_the_most_of_other_people_counts(monkeypatch):
    share = {500.0: 0.02, 1000.0: 0.07}
    crowd = SimpleNamespace(share=lambda t_s, hz: share[hz])
    monkeypatch.setattr(
        "roomcheck.verify.conditions.Crowd", SimpleNamespace(of=lambda *_, **__: crowd)
    )
    octaves = [SimpleNamespace(band_hz=hz, t20_s=0.5) for hz in (500.0, 1000.0)]
    after = SimpleNamespace(octaves=octaves)
    assert _crowd_share(None, after, None, None) == 0.07
    assert _crowd_share(None, SimpleNamespace(octaves=[]), None, None) == 0.0


@pytest.mark.parametrize(("times", "agrees"), [(0.999, True), (1.001, False), (-1.001, False)])
def test_nine_in_ten_is_where_octaves_stop_agreeing(times, agrees):
    """1.645 standard uncertainties hold nine in ten, by the normal distribution's table."""
    assert pytest.approx(1.645, abs=5e-4) == NINE_IN_TEN
    lack = SimpleNamespace(lack_m2=times * NINE_IN_TEN * 0.4, u_m2=0.4)
    fine = SimpleNamespace(lack_m2=0.0, u_m2=0.4)
    assert _agree([fine, lack]) is agrees


@pytest.mark.parametrize(("change_s", "sure"), [(0.099, False), (0.101, True), (-0.101, True)])
def test_a_mode_has_surely_changed_beyond_two_standard_uncertainties(change_s, sure):
    """u of the change: (0.03^2 + 0.04^2)^0.5 = 0.05 s."""
    was = SimpleNamespace(frequency_hz=40.0, box=None, decay_s=0.8, decay_u_s=0.03)
    now = SimpleNamespace(decay_s=0.8 + change_s, decay_u_s=0.04)
    change = _mode(was, now)
    assert change.sure is sure
    assert change.change_u_s == pytest.approx(0.05) and change.change_s == pytest.approx(change_s)


def test_where_no_octave_can_be_compared_nothing_is_said():
    after = SimpleNamespace(octave=lambda hz: None)
    band = SimpleNamespace(band_hz=500.0, low_s=0.4, likely_s=0.5, high_s=0.6)
    prediction = SimpleNamespace(after=(band,), before=(band,))
    job = SimpleNamespace(room=SimpleNamespace(volume_m3=60.0))
    assert causes(job, after, SimpleNamespace(prediction=prediction)) == ()


def test_speech_is_compared_at_pairs_that_have_an_index_both_times():
    def visit(*indices):
        return SimpleNamespace(
            positions=[
                SimpleNamespace(
                    source="S1",
                    microphone=f"P{i}",
                    speech=None if sti == "none" else SimpleNamespace(sti=sti),
                )
                for i, sti in enumerate(indices)
            ]
        )

    (change,) = speech_changes(visit(0.5, None, "none", 0.4), visit(0.6, 0.7, 0.7, None))
    assert (change.microphone, change.before, change.after) == ("P0", 0.5, 0.6)
