"""What is ticked, noted and found: kept whole, by whoever writes, and read with every mistake."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import pytest

import roomcheck.demo
from roomcheck.chain import open_job
from roomcheck.cli import main
from roomcheck.job import (
    Behind,
    ClockForgotten,
    FileMistakes,
    Framing,
    FramingKind,
    NotBuiltHere,
    NotFound,
    NotNoted,
    hours_of,
    keep_build_hours,
    load_job,
    note_found,
    read_done,
    read_shop,
    set_tick,
    start_clock,
    stop_clock,
    take_back_found,
    take_back_hours,
)

TOP = Path(roomcheck.__file__).parents[1]
STORY = TOP / "roomcheck" / "demo" / "story-room"
NINE = datetime(2026, 5, 4, 9, 0)


@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(STORY, tmp_path / "jobs" / "room-a"))


def test_a_tick_is_set_once_and_taken_away(folder):
    for _ in range(2):
        set_tick(folder, "buy", "wood glue, 1 pack", on=True, by="Sam", when="2026-05-04 09:00")
    set_tick(folder, "stop", "wood glue, 1 pack", on=True)
    done = read_done(folder)
    assert [(t.list, t.by) for t in done.ticks] == [("buy", "Sam"), ("stop", "")]
    set_tick(folder, "buy", "wood glue, 1 pack", on=False)
    assert not read_done(folder).has("buy", "wood glue, 1 pack")
    assert read_done(folder).has("stop", "wood glue, 1 pack")
    with pytest.raises(NotNoted, match="did you mean"):
        set_tick(folder, "buyy", "wood glue", on=True)


def test_comments_of_the_file_stay(folder):
    set_tick(folder, "buy", "a", on=True)
    file = folder / "progress" / "done.toml"
    file.write_text("# ask Kim for the other saw\n" + file.read_text("utf-8"), "utf-8")
    set_tick(folder, "buy", "b", on=True)
    set_tick(folder, "buy", "a", on=False)
    assert "ask Kim" in file.read_text("utf-8")


@pytest.mark.parametrize(
    ("text", "hours"),
    [("1.5", "1.50"), ("0:20", "0.33"), ("90 min", "1.50"), ("2,25 h", "2.25"), (".5", "0.50")],
)
def test_hours_are_read_as_people_type_them(text, hours):
    assert hours_of(text) == Decimal(hours)


@pytest.mark.parametrize("text", ["", "one", "0", "-1", "1:75", "250", "1.5.2"])
def test_what_is_no_time_is_refused(text):
    with pytest.raises(NotNoted):
        hours_of(text)


def test_a_clock_gives_its_hours_and_a_forgotten_one_asks(folder):
    start_clock(folder, "4 in panel", "frame", by="Sam", now=NINE)
    start_clock(folder, "4 in panel", "core", by="Kim", now=NINE)
    with pytest.raises(NotNoted, match="runs already"):
        start_clock(folder, "2 in panel", "core", by="Sam", now=NINE)
    quarter_past = datetime(2026, 5, 4, 11, 15)
    taken = stop_clock(folder, "4 in panel", "frame", by="Sam", now=quarter_past)
    assert taken == Decimal("2.25")
    tomorrow = datetime(2026, 5, 5, 8, 0)
    with pytest.raises(ClockForgotten, match="23"):
        stop_clock(folder, "4 in panel", "core", by="Kim", now=tomorrow)
    stop_clock(folder, "4 in panel", "core", by="Kim", now=tomorrow, hours=Decimal("1.5"))
    done = read_done(folder)
    assert done.clocks == ()
    assert done.noted("4 in panel", "frame") == Decimal("2.25")
    take_back_hours(folder, 1)
    assert read_done(folder).noted("4 in panel", "frame") == 0
    assert len(read_done(folder).hours) == 2  # it stays on record
    take_back_hours(folder, 1, back=False)
    assert read_done(folder).noted("4 in panel", "frame") == Decimal("2.25")


def test_hours_go_into_the_shop_above_and_never_into_what_was_signed(folder):
    job, own = load_job(folder), (folder / "shop.toml").read_bytes()
    file = keep_build_hours(job, "4 in panel", Decimal("1.10"), "noted in room-a, 7 built")
    assert file == folder.parent / "shop.toml"
    assert read_shop(file).piece("4 in panel").build_hours == Decimal("1.10")
    assert "noted in room-a, 7 built" in file.read_text("utf-8")
    assert (folder / "shop.toml").read_bytes() == own
    keep_build_hours(job, "2 in panel", Decimal("0.90"), "noted")
    assert read_shop(file).piece("4 in panel").build_hours == Decimal("1.10")
    with pytest.raises(NotBuiltHere):
        keep_build_hours(job, "no such thing", Decimal(1), "noted")


# Four studs 400 mm apart from 300 mm: 0.3, 0.7, 1.1, 1.5. What was found, and what stands then.
FOUND_STUDS = {
    "nothing": ((), (0.3, 0.7, 1.1, 1.5)),
    "one stands elsewhere": (((0.76, True),), (0.3, 0.76, 1.1, 1.5)),
    "measured again": (((0.76, True), (0.77, True)), (0.3, 0.77, 1.1, 1.5)),
    "two beside a door": (((0.7, True), (0.78, True)), (0.3, 0.7, 0.78, 1.1, 1.5)),
    "none where one should be": (((1.09, False),), (0.3, 0.7, 1.5)),
    "none, then one": (((1.1, False), (1.0, True)), (0.3, 0.7, 1.0, 1.5)),
}


@pytest.mark.parametrize(("seen", "studs"), FOUND_STUDS.values(), ids=FOUND_STUDS)
def test_a_stud_as_found_stands_in_place_of_the_nearest_spaced_one(seen, studs):
    framing = Framing(
        face="north", kind=FramingKind.WOOD_STUDS, spacing_m=0.4, first_m=0.3, seen=seen
    )
    assert framing.centres_m(0.0, 1.6, 1.6) == pytest.approx(studs)


def test_what_is_found_stays_on_record_and_a_licensed_person_clears_it(folder):
    room = load_job(folder).room
    note_found(folder, room, face="north", what="stud", left="3 ft 2 in", piece="A6", by="Sam")
    note_found(folder, room, face="north", what="cable", left="5 ft", by="Sam")
    note_found(folder, room, face="north", what="doubt", piece="A8")
    job = load_job(folder)
    assert [one.what for one in job.dangers_of("north")] == [Behind.CABLE, Behind.DOUBT]
    assert job.framing_of("north").found_m == pytest.approx((0.9652,))
    for wrong in ({"of": None, "note": "B"}, {"of": 1, "note": "B"}, {"of": 2, "note": " "}):
        with pytest.raises(NotFound):
            note_found(folder, room, face="north", what="cleared", **wrong)
    note_found(folder, room, face="north", what="cleared", of=2, note="B, licence 12")
    take_back_found(folder, 3)
    job = load_job(folder)
    assert job.dangers_of("north") == ()
    assert len(job.found) == 4
    take_back_found(folder, 4)  # the clearance was typed by mistake
    assert [one.number for one in load_job(folder).dangers_of("north")] == [2]


@pytest.mark.parametrize(
    "typed",
    [
        {"face": "nroth", "what": "cable"},
        {"face": "north", "what": "wire"},
        {"face": "north", "what": "stud"},
        {"face": "north", "what": "cable", "left": "99 ft"},
    ],
)
def test_a_finding_that_says_too_little_is_refused(folder, typed):
    with pytest.raises(NotFound):
        note_found(folder, load_job(folder).room, **typed)
    assert not (folder / "progress").exists()


DAMAGED = {
    "found.toml": {
        'face = "nroth"\nwhat = "cable"\n': (6, "did you mean"),
        'face = "north"\nwhat = "cabel"\n': (7, "cable"),
        'face = "north"\nwhat = "stud"\n': (5, "needs `left`"),
        'face = "north"\nwhat = "stud"\nleft = "99 ft"\n': (8, "beyond the right edge"),
        'face = "north"\nwhat = "cleared"\nof = 1\n': (5, "who looked"),
        'face = "north"\nwhat = "cable"\nlefft = "1 ft"\n': (8, "`left`?"),
        'face = "north"\nwhat = cable\n': (7, "not TOML"),
    },
    "done.toml": {
        'list = "bye"\nitem = "x"\n': (6, "buy"),
        'list = "buy"\n': (5, "needs `item`"),
        'list = "buy"\nitem = "x"\nwho = "y"\n': (8, "unknown"),
    },
}
CASES = [(f, text, *said) for f, cases in DAMAGED.items() for text, said in cases.items()]


@pytest.mark.parametrize(("name", "text", "line", "said"), CASES)
def test_check_names_line_and_meaning_of_what_a_hand_damaged(
    folder, name, text, line, said, capsys
):
    kind = {"found.toml": "found", "done.toml": "tick"}[name]
    (folder / "progress").mkdir()
    (folder / "progress" / name).write_text(f"# mine\n\nschema = 1\n\n[[{kind}]]\n{text}", "utf-8")
    assert main(["check", str(folder)]) == 2
    shown = capsys.readouterr().err
    assert f"{name}, line {line}:" in shown
    assert said in shown
    with pytest.raises(FileMistakes):  # nothing is added to a file that cannot be read
        if name == "done.toml":
            read_done(folder)
        load_job(folder)


WRITER = """
import sys; from pathlib import Path; from decimal import Decimal
from roomcheck.job import set_tick, note_hours, note_found, load_job
folder, me = Path(sys.argv[1]), sys.argv[2]
room = load_job(folder).room
print("ready", flush=True)
for i in range(int(sys.argv[3])):
    set_tick(folder, "row", f"{me} {i}", on=True, by=me)
    note_hours(folder, "4 in panel", "frame", Decimal("0.10"), by=me)
    note_found(folder, room, face="north", what="stud", left=f"{i + 10} in", by=me)
"""


def writing(folder, name, times):
    environment = {**os.environ, "PYTHONPATH": str(TOP)}
    command = [sys.executable, "-c", WRITER, str(folder), name, str(times)]
    return subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)


def test_two_who_write_at_once_lose_nothing(folder):
    both = [writing(folder, name, 8) for name in ("tablet", "telephone")]
    assert [one.wait(timeout=120) for one in both] == [0, 0]
    done, job = read_done(folder), load_job(folder)
    assert {(t.item, t.by) for t in done.ticks} == {
        (f"{name} {i}", name) for name in ("tablet", "telephone") for i in range(8)
    }
    assert done.noted("4 in panel", "frame") == Decimal("1.60")
    assert [one.number for one in job.found] == list(range(1, 17))
    for one in both:
        one.stdout.close()


def test_a_kill_at_any_moment_leaves_every_file_whole(folder):
    chance = random.Random(5)
    for number in range(int(os.environ.get("ROOMCHECK_KILLS", "5"))):
        writer = writing(folder, f"tablet {number}", 500)
        assert writer.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0.0, 0.4))
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        found = len(load_job(folder).found)  # opening a job finishes a step that was decided
        ticks, hours = len(read_done(folder).ticks), len(read_done(folder).hours)
        assert found <= hours <= ticks  # in the order in which they are written
        set_tick(folder, "buy", f"after kill {number}", on=True)
        assert len(read_done(folder).ticks) == ticks + 1
        assert len(read_done(folder).hours) == hours
    assert not list(folder.glob(".roomcheck-*.part"))


def test_the_commands_note_hours_and_findings(folder, capsys):
    home = str(folder)
    agreed = open_job(folder).agreed
    count = sum(piece.piece == "4 in panel" for piece in agreed.plan.pieces)
    note = f"4 in panel: frame = {90 * count} min"
    assert main(["hours", home, "--note", note, "--by", "Sam"]) == 0
    assert main(["hours", home, "--note", "4 in panel: sawing = 1"]) == 2
    assert main(["hours", home, "--take-up", "4 in panel"]) == 2  # two works have no hours yet
    for work in ("core", "fabric"):
        assert main(["hours", home, "--note", f"4 in panel: {work} = {30 * count} min"]) == 0
    capsys.readouterr()
    assert main(["hours", home]) == 0
    assert "One 4 in panel took 2.5 h, planned were 0.7 h." in capsys.readouterr().out
    assert main(["hours", home, "--take-up", "4 in panel"]) == 0
    shop = read_shop(folder.parent / "shop.toml")
    assert shop.piece("4 in panel").build_hours == Decimal("2.50")
    assert main(["found", home, "south", "cable", "--left", "2 ft", "--by", "Sam"]) == 0
    assert "No hole for A1 until a licensed person has looked." in capsys.readouterr().out
    assert main(["build", home]) == 0
    assert "A1: Found behind it 2'-0\" from the left corner: a cable." in capsys.readouterr().out
    assert main(["found", home, "south", "cleared", "--of", "1", "--note", "B, licence 12"]) == 0
    assert "No hole for" not in capsys.readouterr().out
