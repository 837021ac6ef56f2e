"""On site: where to stand, what is safe when, who may measure, and what a visit came to."""

from __future__ import annotations

import multiprocessing
from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import fftconvolve

from roomcheck.analyse import GradeLack, VisitGap, analyse, closing
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point, Room
from roomcheck.job import Position, load_job
from roomcheck.measure import Flown, Recorded, Sweep, Walk, bring_in_waiting, measure, walk
from roomcheck.measure.files.lock import JobIsBusy, only_one
from roomcheck.measure.visit import visit as visit_module
from roomcheck.measure.visit.directions import directions
from roomcheck.words import Reader, sentence

RATE_HZ = 48_000


@pytest.fixture(scope="module")
def short():
    return Sweep(low_hz=40, high_hz=18_000, seconds=2, rate_hz=RATE_HZ)


class Card:
    """A room on channel 1, a cable on channel 2."""

    def __init__(self, room, flight=0):
        self.room, self.flight, self.takes = room, flight, 0

    def play_and_record(self, samples, rate_hz):
        self.takes += 1
        lag = 5000 + 777 * self.takes
        heard = np.concatenate([np.zeros(lag + self.flight), fftconvolve(samples, self.room)])
        heard += 1e-4 * np.random.default_rng(self.takes).standard_normal(len(heard))
        cable = np.zeros(len(heard))
        cable[lag : lag + len(samples)] = samples
        return Recorded(np.stack([heard, cable], axis=1))


def usual(_question, choices):
    return choices[0]


def quiet(_event):
    pass


def tape(job, *point):
    """Directions to a point, as a person with a tape reads them."""
    return sentence(
        directions(job, Position(name="P9", point=Point(*point))), Reader(units=job.units)
    )


# By hand with a tape on the plan: a box of 4.4 m by 3.6 m, walls named as on the plan.
@pytest.mark.parametrize(
    ("point", "way"),
    [
        (
            (1.0, 0.9, 1.5),
            (
                "1.000 m along the south wall from its corner with the west wall, then 0.900 m "
                "straight out"
            ),
        ),
        (
            (4.0, 3.0, 1.2),
            (
                "0.600 m along the east wall from its corner with the north wall, then 0.400 m "
                "straight out"
            ),
        ),
        (
            (0.5, 3.2, 1.2),
            (
                "0.500 m along the north wall from its corner with the west wall, then 0.400 m "
                "straight out"
            ),
        ),
    ],
)
def test_a_position_is_told_from_the_nearest_corner(job, point, way):
    said = tape(job, *point)
    assert said.startswith(way)
    assert said.endswith(f"straight out; {point[2]:.3f} m above the floor")


def test_in_feet_the_tape_reads_feet(job):
    inches = replace(job, units="imperial")
    assert tape(inches, 0.3048, 0.1524, 1.2192) == (
        '6" along the west wall from its corner with the south wall, then 1\'-0" straight out; 4\'-0" above the floor'
    )


def test_in_a_room_with_a_notch_the_tape_never_leaves_the_room(job):
    # An L: the north-east quarter is missing. From (1, 3) the straight way from the south wall is
    # free, from the east walls it is not where the notch lies.
    corners = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))
    room = Room(
        corners=corners,
        height_m=2.5,
        wall_names=("street", "yard", "step", "niche", "office", "corridor"),
    )
    said = tape(replace(job, room=room), 3.8, 0.5, 1.2)
    assert said.startswith(
        (
            "0.500 m along the yard wall from its corner with the street",
            "0.200 m along the street wall from its corner",
        )
    )
    said = tape(replace(job, room=room), 1.0, 3.7, 1.2)
    assert "office" in said
    assert "step" not in said


def test_a_recording_is_on_the_disk_before_it_is_judged(job, short, helpers, monkeypatch):
    def flat_battery(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(visit_module, "bring_in", flat_battery)
    card = Card(helpers.make_room(0.3))
    with pytest.raises(KeyboardInterrupt):
        walk(
            job, "before", card, short, ask=usual, tell=quiet, channel=1, more={"level_dbfs": -24.0}
        )
    monkeypatch.undo()
    assert not list((job.folder / "takes" / "before").glob("*.wav"))
    said = []
    (added,) = bring_in_waiting(job, "before", said.append)
    assert (added.source, added.microphone, added.check.keep) == ("S1", "P1", True)
    assert said[0].kind is Walk.LEFTOVER_TAKEN
    assert said[1] == added
    assert [m.take for m in measure(job, "before")] == ["takes/before/S1-P1.wav"]
    assert not (job.folder / "takes" / "before" / ".coming").exists()
    assert bring_in_waiting(job, "before", quiet) == ()
    done = walk(job, "before", card, short, ask=usual, tell=quiet, channel=1)
    assert [take.microphone for take in done.takes] == ["P2"]


def test_a_visit_can_be_recorded_again_and_the_newest_good_take_counts(job, short, helpers):
    card = Card(helpers.make_room(0.3))
    walk(job, "before", card, short, ask=usual, tell=quiet, channel=1)
    done = walk(job, "before", card, short, ask=usual, tell=quiet, channel=1, again=True)
    assert [take.take for take in done.takes] == [
        "takes/before/S1-P1-2.wav",
        "takes/before/S1-P2-2.wav",
    ]
    assert [m.take for m in measure(job, "before")] == [take.take for take in done.takes]
    skipped = walk(
        job,
        "before",
        card,
        short,
        ask=lambda _, choices: choices[1],
        tell=quiet,
        channel=1,
        again=True,
    )
    assert not skipped.missing


def test_a_full_disk_holds_the_recording_until_there_is_room(job, short, helpers, monkeypatch):
    full = OSError(28, "No space left on device")
    asked = []

    def no_room(_handle):
        raise full

    def ask(question, choices):
        asked.append((question, choices))
        if choices[0] == "save":
            monkeypatch.undo()  # somebody makes room
        return choices[0]

    monkeypatch.setattr("os.fsync", no_room)
    card = Card(helpers.make_room(0.3))
    done = walk(job, "before", card, short, ask=ask, tell=quiet, channel=1)
    assert not done.missing
    assert card.takes == 2  # nothing was recorded again
    (question,) = [question for question, choices in asked if choices[0] == "save"]
    assert question == (fact(Walk.IN_MEMORY),)


def test_a_loopback_gives_the_time_of_flight(job, short, helpers):
    # 340 samples at 48 kHz are 7.083 ms; at 21 °C sound goes 343.79 m/s (ISO 9613-1), so 2.435 m.
    said = []
    card = Card(helpers.make_room(0.3), flight=340)
    done = walk(job, "before", card, short, ask=usual, tell=said.append, channel=1, loopback=2)
    for flight in done.flights:
        assert flight.flight_s == pytest.approx(340 / RATE_HZ, abs=1 / RATE_HZ)
        assert flight.distance_m == pytest.approx(2.435, abs=0.01)
    assert [m.flight_s for m in measure(job, "before")] == [
        flight.flight_s for flight in done.flights
    ]
    # S1 to P1 is 2.54 m by the plan, S1 to P2 1.94 m.
    assert done.flights[0].planned_m == pytest.approx(2.5417, abs=1e-3)
    flown = [event for event in said if isinstance(event, Fact) and isinstance(event.kind, Flown)]
    assert [event.kind for event in flown] == [Flown.AS_PLANNED, Flown.TOO_FAR]


def test_without_a_loopback_the_verdict_says_what_delays_mean(job, short, helpers):
    said = []
    walk(job, "before", Card(helpers.make_room(0.3)), short, ask=usual, tell=said.append, channel=1)
    assert said.count(fact(Flown.NO_LOOPBACK)) == 2
    assert [m.flight_s for m in measure(job, "before")] == [None, None]


def _try_to_hold(folder, answer):
    try:
        with only_one(folder):
            answer.put("held")
    except JobIsBusy as problem:
        answer.put(str(problem))


def test_one_roomcheck_at_a_time_measures_a_job(job):
    answer = multiprocessing.get_context("spawn").Queue()

    def other():
        process = multiprocessing.get_context("spawn").Process(
            target=_try_to_hold, args=(job.folder, answer)
        )
        process.start()
        said = answer.get(timeout=60)
        process.join(60)
        return said

    with only_one(job.folder):
        assert "another roomcheck is measuring this job" in other()
    assert other() == "held"


def test_a_visit_closes_when_its_job_has_what_it_asks_for(job, short, helpers):
    card = Card(helpers.make_room(0.3))
    answers = iter(["record", "keep", "stop"])
    walk(job, "before", card, short, ask=lambda *_: next(answers), tell=quiet, channel=1)
    half = closing(analyse(measure(job, "before"), job=job, visit="before"), job)
    assert not half.complete
    assert fact(GradeLack.TOO_FEW_MICROPHONES, grade="survey", needed=2, there=1) in half.missing
    walk(job, "before", card, short, ask=usual, tell=quiet, channel=1)
    analysis = analyse(measure(job, "before"), job=job, visit="before")
    whole = closing(analysis, job)
    assert whole.complete
    assert whole.reached == "survey"
    assert fact(VisitGap.NO_NOISE) in whole.notes
    # Survey is not engineering (ISO 3382-2, Table 1: six pairs, two sources), and a visit needs its
    # conditions.
    wanted = closing(analysis, replace(job, grade="engineering"))
    assert any(
        lack.kind is GradeLack.TOO_FEW_PAIRS and lack["needed"] == 6 for lack in wanted.missing
    )
    assert fact(VisitGap.NO_CONDITIONS) in closing(analysis, replace(job, visits=())).missing


def test_the_grade_is_read_from_the_job(job):
    path = job.folder / "job.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("schema = 1", 'schema = 1\ngrade = "engineering"')
    )
    assert load_job(job.folder).grade == "engineering"
    assert job.grade == "survey"
