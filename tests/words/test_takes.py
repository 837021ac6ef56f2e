"""Takes, levels and visits in words: the numbers that decide stand in the sentence."""

from __future__ import annotations

import pytest

from roomcheck.facts import fact
from roomcheck.measure import Flown, Level, LevelLimit, Record, Scale, Signal, Take, Walk, Way
from roomcheck.words import Reader, sentence

METRIC = Reader(units="metric")
LACKING = {"bands_hz": (63.0, 1000.0), "lacking_db": (12.3, 2.0), "louder_db": 3.0}
ARRIVALS = {"apart_s": 0.002, "level_db": -1.0}
EVENT = {"over_db": 20.0, "octaves": 3, "under_db": 30.0}
FLIGHT = {"flight_s": 0.0075, "distance_m": 2.58, "planned_m": 2.5}
PLAYED = {"level_dbfs": -30.0, "seconds": 10.0, "band_hz": 250.0, "wanted_db": 45.0}


@pytest.mark.parametrize(
    ("case", "parts"),
    [
        (fact(Take.RANGE_LACKING, **LACKING), ["63 Hz 12 dB, 1k Hz 2 dB", "3 dB louder, or stop"]),
        (fact(Take.RANGE_LACKING, **LACKING, sweep_s=20.0), ["or use a sweep of 20 s, or stop"]),
        (fact(Take.OVERDRIVEN, harmonics_db=-20.0), ["-20 dB (10 %)", "6 dB softer"]),
        (fact(Take.HARMONICS, harmonics_db=-40.0, band_hz=2000.0), ["(1 %)", "2 kHz octave"]),
        (fact(Take.SAMPLES_LOST, jump_s=0.01, at_s=4.1), ["10 ms lost near 4.1 s", "early"]),
        (fact(Take.SAMPLES_ADDED, jump_s=0.01, at_s=4.1), ["10 ms added near 4.1 s", "late"]),
        (fact(Take.COMES_TWICE, **ARRIVALS, likeness=0.4, chance=0.25), ["2.0 ms", "under 0.25"]),
        (
            fact(Take.NO_REFLECTION, **ARRIVALS, farther_m=0.686, loss_db=1.4, away_m=4.0),
            ["0.686 m farther", "1.4 dB weaker", "4.000 m"],
        ),
        (fact(Take.BURST, **EVENT, into_s=2.5), ["a burst 2.5 s into the sweep", "30 dB under"]),
        (fact(Take.WEAK_BURST, **EVENT, after_s=0.5), ["0.5 s after the sweep", "too weak"]),
        (
            fact(Take.NOISE_CHANGES, after_db=6.0, rise_db=-4.0),
            ["is +6 dB after the sweep against before and falls by 4 dB"],
        ),
        (fact(Take.LONG_RECORD, record_s=300.0, at_s=200.5), ["lasts 5 min", "3 min 20 s"]),
        (fact(Take.LOSSY_SIGNS, holes=0.12), ["12 % of the silence", "indicative"]),
        (fact(Take.LOSSY_SIGNS, fall_db=30.0, at_hz=16_000.0), ["falls by 30 dB", "16.0 kHz"]),
        (
            fact(Take.RATES_DIFFER, ratio=0.9188, rate_hz=44_100, taken_for_hz=48_000),
            ["0.9188", "44.1 kHz taken for 48 kHz", "--wrong-machine player"],
        ),
        (fact(Take.IMPULSES, count=1, peak_dbfs=-6.0, from_hz=125.0), ["1 impulse found"]),
        (fact(Take.ALL_OVERLOADED, at_s=(1.0, 3.2)), ["at 1.0 s and 3.2 s"]),
        (fact(Take.AS_WRITTEN, text="input samples were lost"), ["reported: input samples were"]),
        (fact(Record.LOSSY, low_hz=500.0, high_hz=2000.0), ["from 500 Hz to 2 kHz"]),
        (fact(Scale.CALIBRATOR, level_db=94.0, tone_hz=999.8, recording="cal.wav"), ["1000 Hz"]),
        (
            fact(Signal.SWEEP, low_hz=40.0, high_hz=20_000.0, seconds=4.0, rate_hz=48_000),
            ["exponential sweep, 40 Hz to 20 kHz in 4 s, 48 kHz sampling"],
        ),
        (fact(Flown.TOO_FAR, **FLIGHT), ["7.50 ms", "2.580 m", "2.500 m", "another position"]),
        (
            fact(Level.FOUND, **PLAYED, why=LevelLimit.ENOUGH, range_db=45.0, needed_db=35.0),
            ["Sweep of 10 s at -30 dB re full scale: about 45 dB", "as wanted (45 dB)"],
        ),
        (
            fact(Level.FOUND, **PLAYED, why=LevelLimit.CEILING, range_db=34.0, needed_db=35.0),
            ["which is as loud as you allowed", "11 dB less than wanted", "T20 will be missing"],
        ),
        (
            fact(Level.FOUND, **PLAYED, why=LevelLimit.STOPPED, range_db=40.0, needed_db=35.0),
            ["where you stopped it", "T20 may be missing there, and T30 will be"],
        ),
        (
            fact(
                Walk.SPEAKER_TO,
                name="S1",
                way=Way.FROM_WALL,
                along_m=1.0,
                out_m=0.9,
                height_m=1.5,
                wall="south",
                corner="west",
            ),
            [
                "Loudspeaker to S1: 1.000 m along the south wall from its corner with the west "
                "wall, then 0.900 m straight out; 1.500 m above the floor."
            ],
        ),
    ],
)
def test_the_sentence_holds_the_numbers(case, parts):
    text = sentence(case, METRIC)
    for part in parts:
        assert part in text


def test_the_rest_of_a_sentence_is_in_the_reader_s_units():
    far = fact(Take.NO_REFLECTION, **ARRIVALS, farther_m=0.3048, loss_db=1.4, away_m=3.048)
    text = sentence(far, Reader(units="imperial"))
    assert "1'-0\" farther" in text
    assert "10'-0\"" in text
