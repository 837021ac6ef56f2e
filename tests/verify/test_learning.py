"""A re-measured room teaches the shop about its pieces, and the next prediction is surer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import roomcheck.demo
from roomcheck.analyse import Analysis, BandMean, PositionDecays
from roomcheck.facts import Estimate
from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Placement, load_job
from roomcheck.job.read.learned import learned_shop
from roomcheck.predict import BandPrediction, piece_absorption, predict
from roomcheck.report import lesson_blocks, lesson_preview, text_of
from roomcheck.verify import CannotLearn, learn

BANDS = (500.0, 1000.0, 2000.0)
BEFORE = {500.0: 1.26, 1000.0: 0.99, 2000.0: 0.61}
PIECES = tuple(
    Placement(
        name=f"A{i}",
        piece="4 in panel",
        face="north",
        place=Rectangle(0.3 + 0.7 * i, 0.8, 0.6096, 1.2192),
    )
    for i in range(5)
)


@pytest.fixture(scope="module")
def job() -> Job:
    return load_job(Path(roomcheck.demo.__file__).parent / "story-room")


def a_visit(name: str, t20: dict[float, float]) -> Analysis:
    means = tuple(
        BandMean(band_hz=hz, t20=Estimate(value=t, u=0.02 * t, n=6)) for hz, t in t20.items()
    )
    places = tuple(
        PositionDecays(source="S1", microphone=f"P{i}", take="", octaves=(), thirds=())
        for i in (1, 2, 3)
    )
    return Analysis(
        visit=name,
        positions=places,
        octaves=means,
        thirds=(),
        transition_hz=350.0,
        mid_s=None,
        mid_u_s=None,
        grade="survey",
    )


def after_of(job: Job) -> dict[float, BandPrediction]:
    found = predict(job, PIECES, a_visit("before", BEFORE), simulate=False).after
    return {band.band_hz: band for band in found if band.band_hz in BANDS}


def test_decays_that_came_out_longer_teach_that_the_panels_absorb_less(job: Job) -> None:
    as_computed = after_of(job)
    longer = {hz: 1.10 * (band.likely_s or 0.0) for hz, band in as_computed.items()}
    lesson = learn(job, a_visit("before", BEFORE), a_visit("after", longer), PIECES, simulate=False)
    assert lesson.off == pytest.approx([0.0953] * 3, abs=1e-3)  # ln 1.10
    (share,) = lesson.shares
    assert (share.piece, share.count) == ("4 in panel", 5)
    assert all(-1 < pull < 0 for pull in share.pull)
    taught = after_of(replace(job, shop=learned_shop(job.shop, [lesson] * 4)))
    for hz in BANDS:
        was, now = as_computed[hz], taught[hz]
        assert (was.likely_s or 0) < (now.likely_s or 0) < longer[hz]


def test_decays_that_came_out_as_predicted_make_the_panels_surer(job: Job) -> None:
    likely = {hz: band.likely_s or 0.0 for hz, band in after_of(job).items()}
    lesson = learn(job, a_visit("before", BEFORE), a_visit("after", likely), PIECES, simulate=False)
    assert lesson.off == pytest.approx([0.0] * 3, abs=1e-6)
    shops = (job.shop, learned_shop(job.shop, [lesson] * 4))
    panel, surer = (piece_absorption(shop.piece("4 in panel")) for shop in shops)
    for hz in BANDS:
        relative = [(a.uncertainty_at(hz) or 0.0) / (a.at(hz) or 1.0) for a in (panel, surer)]
        assert 0 < relative[1] < relative[0]


def test_what_was_learned_before_is_left_aside_when_a_job_teaches(job: Job) -> None:
    visits = a_visit("before", BEFORE), a_visit("after", {hz: 0.8 * t for hz, t in BEFORE.items()})
    lesson = learn(job, *visits, PIECES, simulate=False)
    taught = replace(job, shop=learned_shop(job.shop, [lesson]))
    assert learn(taught, *visits, PIECES, simulate=False) == lesson


def test_nothing_is_learned_from_visits_that_cannot_be_compared(job: Job) -> None:
    before, after = a_visit("before", BEFORE), a_visit("after", BEFORE)
    doors = [replace(v, doors="open") if v.name == "after" else v for v in job.visits]
    with pytest.raises(CannotLearn, match=r"cannot be compared \(doors\)"):
        learn(replace(job, visits=tuple(doors)), before, after, PIECES)
    with pytest.raises(CannotLearn, match="no piece hangs"):
        learn(job, before, after, ())
    with pytest.raises(CannotLearn, match="no octave"):
        learn(job, before, a_visit("after", {16000.0: 0.3}), PIECES, simulate=False)


def test_who_teaches_reads_what_the_shop_s_rooms_and_the_prediction_are_taken_for(job: Job) -> None:
    longer = {hz: 1.10 * (band.likely_s or 0.0) for hz, band in after_of(job).items()}
    lesson = learn(job, a_visit("before", BEFORE), a_visit("after", longer), PIECES, simulate=False)
    assert len(lesson.scatters) == 9
    assert sum(case.weight for case in lesson.scatters) == pytest.approx(1, abs=1e-5)
    then = learned_shop(job.shop, [lesson] * 4)
    said = text_of(lesson_preview(lesson, job.shop, then))
    assert "Decays come out" in said and "longer than foreseen" in said
    assert "Your next room scatters" in said and "0.02 to 0.50 for a shop without jobs" in said
    assert "Let every verified job teach" in said
    now = text_of(lesson_blocks(lesson, then, Path("shop.toml")))
    assert "Your next room scatters" in now and "95 % [s]" not in now


def test_what_is_learned_of_scattering_moves_the_next_prediction(job: Job) -> None:
    # All weight on one scattering: nothing of that is left open, so no range is wider.
    only = tuple((s, 1.0 if s == 0.1 else 1e-6) for s in (0.02, 0.06, 0.1, 0.2, 0.5))
    shop = replace(job.shop, scatter_learned=only)
    plain, known = after_of(job), after_of(replace(job, shop=shop))
    widths = [
        sum((bands[hz].high_s or 0) - (bands[hz].low_s or 0) for hz in BANDS)
        for bands in (plain, known)
    ]
    assert widths[1] < widths[0]
