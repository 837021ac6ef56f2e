"""What the sentences of the analysis say of their facts: names, numbers on their side of a limit."""

from __future__ import annotations

from roomcheck.analyse import (
    BandMean,
    BoxMode,
    DecayWarning,
    GradeLack,
    Modes,
    NoiseOutcome,
    Reason,
    RoomMode,
)
from roomcheck.facts import fact
from roomcheck.words import (
    Reader,
    band_sentences,
    bands_sentences,
    mode_name,
    mode_remarks,
    sentence,
)

METRIC = Reader(units="metric")


def test_a_range_just_too_small_is_printed_below_what_is_needed():
    reason = fact(
        Reason.RANGE_TOO_SMALL, number="T20", needed_db=35.0, range_db=34.98, lacking_db=0.02
    )
    assert "there are 34.98 dB, 0.02 dB too few" in sentence(reason, METRIC)


def test_a_bend_just_over_its_limit_is_printed_over_it():
    bends = fact(DecayWarning.BENDS, curvature_pct=10.04, limit_pct=10.0)
    assert "curvature 10.04 %, limit 10 %" in sentence(bends, METRIC)


def test_similar_cases_are_counted_and_the_band_stands_in_front():
    click = fact(DecayWarning.CLICK, at_s=2.16, cases=4)
    (line,) = band_sentences(BandMean(band_hz=1000.0, warnings=(click,)), METRIC)
    assert line == "1 kHz: A click at 2.16 s was ignored. (4 similar cases)"


def test_one_reason_in_several_bands_is_one_line_and_names_each_band():
    def bent(number: str, permille: float, cases: int):
        return fact(
            DecayWarning.NOT_STRAIGHT,
            number=number,
            non_linearity_permille=permille,
            limit_permille=20.0,
            cases=cases,
        )

    means = [
        BandMean(band_hz=63.0, warnings=(bent("T20", 50.0, 2), bent("T30", 60.0, 1))),
        BandMean(band_hz=125.0, warnings=(bent("T20", 40.0, 3),)),
        BandMean(band_hz=250.0, warnings=(bent("T20", 30.0, 1),)),
    ]
    t20, t30 = bands_sentences(means, METRIC)
    assert t20.startswith("63 Hz: T20: non-linearity is 50 permille")
    assert t20.endswith("(2 similar cases; likewise 125 Hz (3 cases), 250 Hz)")
    assert t30.startswith("63 Hz: T30") and t30.endswith("not straight.")


def test_the_advice_is_that_of_the_band_that_lacks_most():
    def short(lacking_db: float):
        values = {"needed_db": 45.0, "range_db": 45.0 - lacking_db, "lacking_db": lacking_db}
        return fact(Reason.RANGE_TOO_SMALL, number="T30", **values)

    means = [
        BandMean(band_hz=hz, withheld=(short(lacking_db),))
        for hz, lacking_db in ((250.0, 2.5), (2000.0, 8.3), (4000.0, 6.0))
    ]
    (line,) = bands_sentences(means, METRIC)
    assert line.startswith("2 kHz: T30 needs 45 dB") and "play 9 dB louder" in line
    assert line.endswith("(likewise 250 Hz, 4 kHz)")


def test_reasons_that_say_another_thing_of_each_band_stay_apart():
    def bend(curvature_pct: float):
        return fact(DecayWarning.BENDS, curvature_pct=curvature_pct, limit_pct=10.0)

    def leak(neighbour_hz: float):
        values = {"neighbour_hz": neighbour_hz, "whole_s": 0.8, "middle_s": 0.5}
        return fact(DecayWarning.NEIGHBOUR, **values)

    means = [
        BandMean(band_hz=125.0, warnings=(bend(20.0), leak(250.0))),
        BandMean(band_hz=500.0, warnings=(bend(-20.0), leak(1000.0))),
    ]
    assert len(bands_sentences(means, METRIC)) == 4


def test_a_mode_is_named_for_each_reader():
    mode = BoxMode(frequency_hz=57.3, order=(1, 2, 0))
    assert mode_name(mode, METRIC) == "first along the length and second along the width"
    books = Reader(who="acoustician")
    assert mode_name(mode, books) == "tangential, length and width (1 2 0)"


def test_distances_stand_in_the_units_of_the_reader():
    lack = fact(GradeLack.NEAR_SOURCE, position="P1", other="S1", away_m=2.0, needed_m=2.5)
    assert sentence(lack, METRIC) == "P1 stands 2.000 m from S1; ISO 3382-2 asks for 2.500 m."
    assert "6'" in sentence(lack, Reader(units="imperial"))


def test_a_noise_level_stays_on_its_side_of_the_limit():
    loud = fact(NoiseOutcome.TOO_LOUD, family="NR", level=30.3, limit=30.0, source="a test")
    assert sentence(loud, METRIC) == "too loud: NR 30.3 (limit NR 30), a test"


def test_a_long_list_of_predicted_modes_is_cut_and_the_longest_mode_needs_neighbours():
    def mode(hz: float, decay_s: float) -> RoomMode:
        return RoomMode(
            frequency_hz=hz, frequency_u_hz=0.1, decay_s=decay_s, decay_u_s=0.02, level_db=0.0,
            range_db=30.0, late_db=3.0,
        )  # fmt: skip

    def remarks(missing: int, *found: RoomMode) -> tuple[str, ...]:
        waves = tuple(BoxMode(frequency_hz=50.0 + n, order=(n + 1, 0, 0)) for n in range(missing))
        modes = Modes(from_hz=20.0, to_hz=150.0, found=found, not_found=waves, positions=3)
        return mode_remarks(modes, METRIC)

    alone = remarks(30, mode(40.0, 1.0))
    assert len(alone) == 1
    assert alone[0].count(" Hz ") == 6
    assert alone[0].endswith("; 24 more.")
    assert remarks(6, mode(40.0, 1.0))[0].count(" Hz ") == 6
    assert "40.0 Hz, 1.00 s against 0.50 s" in remarks(0, mode(40.0, 1.0), mode(45.0, 0.5))[0]
    assert remarks(0, mode(40.0, 1.0), mode(140.0, 0.5)) == ()
