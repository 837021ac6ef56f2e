"""The whole stage on a made-up room."""

from __future__ import annotations

import dataclasses
import time

import numpy as np
import pytest

from roomcheck.facts import fact
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Furnishing, Patch, Position
from roomcheck.materials.layers.porous import porous_layer
from roomcheck.plain import from_plain, to_plain
from roomcheck.predict import (
    NoAbsorption,
    NoDecay,
    Prediction,
    PredictionNote,
    Statistics,
    piece_absorption,
    predict,
)
from roomcheck.predict.room import formulas as f
from roomcheck.predict.room.linings import linings
from roomcheck.standards import air_absorption_db_per_m, speed_of_sound_m_s

from .conftest import BARE, DIFFUSER, HANDBOOK, PANEL, analysis_of, panels, row

MEASURED = {250.0: 0.80, 500.0: 1.20, 1000.0: 0.95, 2000.0: 0.60, 4000.0: 0.48, 8000.0: 0.33}


def band(bands, hz):
    return next(b for b in bands if b.band_hz == hz)


def test_formulas_of_the_untreated_room_by_hand(make_job):
    # Areas times handbook coefficients, Sabine and Eyring, air by ISO 9613-1: worked here step by
    # step.
    room = Room.box(4.42, 3.61, 2.59)
    floor = 4.42 * 3.61
    rest = room.surface_m2 - floor
    found = band(predict(make_job(), (), simulate=False).before, 1000.0)
    A = floor * HANDBOOK["carpet"][3] + rest * HANDBOOK["gypsum"][3]
    air = air_absorption_db_per_m(1000.0, 21.0, 45.0) / 4.342945
    speed = speed_of_sound_m_s(21.0)
    k = 24 * np.log(10) * room.volume_m3 / speed
    assert found.sabine_s == pytest.approx(k / (A + 4 * air * room.volume_m3), rel=1e-6)
    eyring = -room.surface_m2 * np.log(1 - A / room.surface_m2)
    assert found.eyring_s == pytest.approx(k / (eyring + 4 * air * room.volume_m3), rel=1e-6)


def test_panels_cover_the_wall_behind_them(make_job):
    job = make_job(
        patches=[
            Patch(
                name="window", face="north", material="glass", place=Rectangle(0.1, 0.6, 0.61, 1.22)
            )
        ]
    )
    lined = linings(job, panels(2), "after")
    amounts = {x.name: x.amount for x in lined}
    assert amounts["window"] == pytest.approx(0.0, abs=1e-12)
    assert amounts["north"] == pytest.approx(4.42 * 2.59 - 2 * 0.61 * 1.22)
    assert sum(x.amount for x in lined) == pytest.approx(job.room.surface_m2)


def test_panels_shorten_the_decay_and_both_methods_say_so(make_job):
    found = predict(make_job(), panels(6), analysis_of(MEASURED))
    assert found.calibrated
    for b, a in zip(found.before, found.after, strict=True):
        if b.band_hz >= 250.0:
            for name in ("sabine_s", "eyring_s", "simulated_s", "likely_s"):
                assert getattr(a, name) < 0.9 * getattr(b, name)
            assert a.low_s < a.likely_s < a.high_s


def test_the_before_that_was_measured_is_the_before_that_is_likely(make_job):
    found = predict(make_job(), (), analysis_of(MEASURED))
    for hz, T in MEASURED.items():
        b = band(found.before, hz)
        assert b.measured_s == T
        assert b.likely_s == pytest.approx(T, rel=0.04)
        assert b.low_s < T < b.high_s


def test_measuring_first_narrows_the_promise(make_job):
    job = make_job()
    expected = predict(job, ())
    decays = {b.band_hz: b.likely_s for b in expected.before if b.likely_s is not None}
    blind, told = predict(job, panels(6)), predict(job, panels(6), analysis_of(decays))

    def width(b):
        return np.log(b.high_s / b.low_s)

    for hz in decays:
        assert width(band(told.after, hz)) < 0.75 * width(band(blind.after, hz))
        assert band(told.after, hz).likely_s == pytest.approx(
            band(blind.after, hz).likely_s, rel=0.06
        )


def test_a_poorer_measurement_leaves_a_wider_range(make_job):
    fine, coarse = (
        predict(make_job(), panels(6), analysis_of(MEASURED, u=u)) for u in (0.02, 0.15)
    )
    for hz in MEASURED:
        a, b = band(fine.after, hz), band(coarse.after, hz)
        assert b.high_s / b.low_s > a.high_s / a.low_s


def test_no_reverberation_time_below_the_transition(make_job):
    found = predict(
        make_job(), panels(2), analysis_of({125.0: 0.9, **MEASURED}, transition_hz=300.0)
    )
    for state in (found.before, found.after):
        for hz in (63.0, 125.0, 250.0):
            low = band(state, hz)
            assert (
                low.sabine_s,
                low.eyring_s,
                low.simulated_s,
                low.likely_s,
                low.low_s,
                low.high_s,
            ) == (None,) * 6
            assert low.reasons == (fact(NoDecay.BELOW_TRANSITION, transition_hz=300.0),)
        assert band(state, 500.0).likely_s is not None
    assert found.transition_hz == 300.0


def test_unmeasured_rooms_end_at_about_200_hz(make_job):
    found = predict(make_job(), (), simulate=False)
    assert band(found.before, 125.0).likely_s is None
    assert band(found.before, 250.0).likely_s is not None


def test_a_band_that_a_source_lacks_stays_missing_until_it_is_measured(make_job):
    silent = band(predict(make_job(), panels(3)).after, 8000.0)
    assert silent.likely_s is None
    (why,) = silent.reasons
    assert why.kind == NoDecay.NO_COEFFICIENT_NOR_DECAY
    assert any("gypsum" in material for material in why["materials"])
    told = predict(make_job(), panels(3), analysis_of(MEASURED))
    assert band(told.before, 8000.0).likely_s == pytest.approx(0.33, rel=0.05)
    assert band(told.after, 8000.0).likely_s < 0.33


def test_a_piece_that_lacks_a_band_has_no_number_there(make_job):
    told = predict(make_job(), panels(1, piece="diffuser"), analysis_of(MEASURED))
    assert band(told.after, 8000.0).likely_s is None
    (why,) = band(told.after, 8000.0).reasons
    assert why.kind == NoDecay.NO_COEFFICIENT
    assert any("diffuser" in material for material in why["materials"])
    assert band(told.after, 4000.0).likely_s is not None


def test_what_the_materials_cannot_explain_is_said_and_not_fitted_in_silence(make_job):
    # An open door, say: 0.35 s where lined gypsum and carpet give about 1.4 s.
    fine = predict(make_job(), (), analysis_of(MEASURED))
    odd = predict(make_job(), (), analysis_of({**MEASURED, 500.0: 0.35}))
    assert PredictionNote.UNEXPLAINED not in [note.kind for note in fine.notes]
    (note,) = [note for note in odd.notes if note.kind == PredictionNote.UNEXPLAINED]
    assert (note["band_hz"], note["measured_s"]) == (500.0, 0.35)
    assert note["expected_s"] > 0.35 and note["deviations"] < -2.5
    wide, usual = band(odd.after, 500.0), band(fine.after, 500.0)
    assert wide.high_s / wide.low_s >= usual.high_s / usual.low_s


def test_furniture_and_people_absorb(make_job, table):
    table["sofa"] = row("sofa", (0.4, 0.5, 0.6, 0.7, 0.7, 0.7))
    empty = predict(make_job(), (), simulate=False)
    full = predict(
        make_job(furnishings=[Furnishing(name="sofa", material="sofa", amount=4.0)], people=2),
        (),
        simulate=False,
    )
    at = band(full.before, 1000.0)
    dA = 24 * np.log(10) / speed_of_sound_m_s(21.0) * make_job().room.volume_m3
    dA *= 1 / at.sabine_s - 1 / band(empty.before, 1000.0).sabine_s
    assert dA == pytest.approx(4 * 0.7 + 2 * 0.44, rel=1e-6)


def test_furniture_taken_out_is_not_there_after(make_job, table):
    table["sofa"] = row("sofa", (0.4, 0.5, 0.6, 0.7, 0.7, 0.7))
    job = make_job(
        furnishings=[Furnishing(name="sofa", material="sofa", amount=4.0, visits=("before",))]
    )
    found = predict(job, (), simulate=False)
    assert band(found.after, 1000.0).sabine_s > 1.2 * band(found.before, 1000.0).sabine_s


def test_the_mid_band_is_the_mean_of_500_and_1000_hz(make_job):
    found = predict(make_job(), panels(6), analysis_of(MEASURED))
    mean = np.mean([band(found.after, hz).likely_s for hz in (500.0, 1000.0)])
    assert found.mid_likely_s == pytest.approx(mean, rel=0.02)
    assert found.mid_low_s < found.mid_likely_s < found.mid_high_s


def test_uneven_treatment_decays_longer_than_even(make_job):
    # The same absorption on one pair of walls or on three: formulas cannot tell, simulation must.
    flat = Rectangle(0.2, 0.2, 4.0, 3.2)
    job = make_job(floor="gypsum")
    piece = dataclasses.replace(PANEL, name="panel", width_m=4.0, height_m=3.2)
    one = tuple(dataclasses.replace(p, face="ceiling", place=flat) for p in panels(1))
    area = flat.area_m2 / 3
    spread = tuple(
        dataclasses.replace(p, face=face, place=Rectangle(0.2, 0.2, area / 2.2, 2.2))
        for p, face in zip(panels(3), ("ceiling", "north", "east"), strict=True)
    )
    assert piece.width_m * piece.height_m == pytest.approx(sum(p.place.area_m2 for p in spread))
    a, b = (band(predict(job, pieces).after, 1000.0) for pieces in (one, spread))
    assert a.eyring_s == pytest.approx(b.eyring_s, rel=1e-6)
    assert a.simulated_s > 1.1 * b.simulated_s


def test_a_diffuser_spreads_sound_that_an_uneven_room_holds_flat(make_job):
    job = make_job(floor="gypsum")
    carpeted = dataclasses.replace(
        panels(1)[0], face="ceiling", place=Rectangle(0.1, 0.1, 4.2, 3.4)
    )
    wall = dataclasses.replace(
        panels(1, "south", "diffuser")[0], name="D1", place=Rectangle(0.2, 0.2, 4.0, 2.2)
    )
    other = dataclasses.replace(wall, name="D2", face="east", place=Rectangle(0.2, 0.2, 3.2, 2.2))
    bare, spread = predict(job, (carpeted,)), predict(job, (carpeted, wall, other))
    ratio = [
        band(p.after, 1000.0).simulated_s / band(p.after, 1000.0).eyring_s for p in (bare, spread)
    ]
    assert ratio[1] < 0.97 * ratio[0]


def test_an_l_shaped_room_is_predicted_by_averages(make_job):
    corners = ((0.0, 0.0), (5.0, 0.0), (5.0, 2.5), (2.5, 2.5), (2.5, 4.5), (0.0, 4.5))
    room = Room(corners=corners, height_m=2.6, wall_names=("a", "b", "c", "d", "e", "f"))
    spots = (Position(name="P1", point=Point(1.2, 3.2, 1.2)),)
    found = predict(make_job(room, microphones=spots), (), simulate=True)
    at = band(found.before, 500.0)
    assert at.simulated_s == pytest.approx(at.eyring_s, rel=0.25)
    assert PredictionNote.NO_RECTANGLE in [note.kind for note in found.notes]


def test_same_input_same_output_and_it_saves(make_job):
    first, second = (predict(make_job(), panels(2), analysis_of(MEASURED)) for _ in range(2))
    assert first == second
    assert from_plain(Prediction, to_plain(first)) == first


def test_pieces_absorb_by_their_core_else_by_the_table(table):
    assert piece_absorption(PANEL) == porous_layer(0.1, 0.05, 10_000.0, edge_share=0.25)
    assert piece_absorption(DIFFUSER) == table["diffuser"]
    with pytest.raises(NoAbsorption, match=r"shop\.toml") as refused:
        piece_absorption(BARE)
    assert refused.value.piece == "bare"


def test_statistics_answer_a_planner(make_job):
    job = make_job()
    room = Statistics.of(job, analysis_of(MEASURED))
    gain = room.gain_m2(PANEL, "gypsum")
    i = room.bands_hz.index(1000.0)
    layer = porous_layer(0.1, 0.05, 10_000.0, edge_share=0.25).at(1000.0)
    assert gain[i] == pytest.approx(0.61 * 1.22 * (layer - room.coefficient("gypsum")[i]))
    many = room.after_s(np.arange(5)[:, None] * gain)
    assert many.shape == (5, 8)
    assert np.all(np.diff(many[:, i]) < 0)
    assert np.isnan(many[:, 0]).all()
    assert many[0, i] == pytest.approx(MEASURED[1000.0], rel=0.05)
    assert room.after_s(room.needed_m2(np.full(8, 0.3)))[i] == pytest.approx(0.3, rel=1e-9)


def test_statistics_and_prediction_agree_on_a_few_panels(make_job):
    job, told = make_job(), analysis_of(MEASURED)
    room, found = Statistics.of(job, told), predict(job, panels(2), told, simulate=False)
    fast = room.after_s(2 * room.gain_m2(PANEL, "gypsum"))
    for i, hz in enumerate(room.bands_hz):
        if hz >= 250.0:
            assert fast[i] == pytest.approx(band(found.after, hz).likely_s, rel=0.05)


def test_it_is_quick(make_job):
    # Image sources before and after, three seats, eight bands: 5 s; calibration 2 s; statistics
    # alone 1 s or so.
    job, told = make_job(), analysis_of(MEASURED)
    started = time.process_time()
    predict(job, panels(6), told)
    both = time.process_time() - started
    room = Statistics.of(job, told)
    calibrated = time.process_time() - started - both
    room.draws(1000)
    assert both < 5.0
    assert calibrated < 2.0


def test_eyring_is_what_calibration_stands_on(make_job):
    room = Statistics.of(make_job())
    i = room.bands_hz.index(500.0)
    air = room.before
    T = f.eyring_s(
        air.volume_m3,
        air.surface_m2,
        room.absorption_m2[i],
        air_per_m=air.air_per_m[i],
        speed_m_s=air.speed_m_s,
    )
    assert room.after_s(np.zeros(8))[i] / room.correction[i] == pytest.approx(float(T), rel=1e-9)
