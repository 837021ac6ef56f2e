"""Setting one value of job.toml, and going back."""

from __future__ import annotations

import random

import pytest

from roomcheck.job import (
    ChangedMeanwhile,
    Edit,
    FileMistakes,
    NoSuchEntry,
    NothingToUndo,
    can_undo,
    edit_job,
    load_job,
    new_job,
    redo,
    undo,
    value_at,
)
from roomcheck.job.write import history

WINDOW = {
    "name": "window",
    "face": "south",
    "material": "double glazing",
    "left": "3 ft",
    "bottom": "3 ft",
    "width": "4 ft",
    "height": "3 ft",
    "opening": "yes",
}


@pytest.fixture
def folder(tmp_path):
    new_job(
        tmp_path / "room",
        length="14 ft",
        width="12 ft",
        height="8 ft",
        use="meeting room",
        client="Client A",
        title="Meeting room",
    )
    return tmp_path / "room"


def test_a_value_is_set_and_every_other_byte_stays(folder):
    before = (folder / "job.toml").read_text("utf-8")
    job = edit_job(folder, [Edit(("room", "height"), "9' 1\"")])
    assert job.room.height_m == pytest.approx(9 * 0.3048 + 0.0254)
    after = (folder / "job.toml").read_text("utf-8")
    changed = [
        (old, new)
        for old, new in zip(before.splitlines(), after.splitlines(), strict=True)
        if old != new
    ]
    assert len(changed) == 1
    assert "8 ft" in changed[0][0]


def test_things_are_added_named_and_taken_out(folder):
    job = edit_job(folder, [Edit(("patch",), WINDOW)])
    assert [patch.name for patch in job.patches] == ["window"]
    assert job.patches[0].opening
    job = edit_job(folder, [Edit(("patch", "window", "left"), "5 ft")])
    assert job.patches[0].place.u_m == pytest.approx(5 * 0.3048)
    assert value_at(folder, ("patch", "1", "left")) == "5 ft"
    with pytest.raises(NoSuchEntry, match="window"):
        edit_job(folder, [Edit(("patch", "widow", "left"), "5 ft")])
    assert edit_job(folder, [Edit(("patch", "window"), None)]).patches == ()


def test_what_cannot_be_is_refused_and_named_with_its_way(folder):
    text = (folder / "job.toml").read_text("utf-8")
    with pytest.raises(FileMistakes) as caught:
        edit_job(folder, [Edit(("patch",), WINDOW | {"left": "13 ft"})])
    assert [mistake.way for mistake in caught.value.mistakes] == [("patch", 0, "left")]
    assert (folder / "job.toml").read_text("utf-8") == text
    assert not (folder / "history").exists()


def test_a_value_that_changed_meanwhile_is_not_overwritten(folder):
    edit_job(folder, [Edit(("room", "height"), "9 ft", was="8 ft")])
    with pytest.raises(ChangedMeanwhile, match="changed meanwhile"):
        edit_job(folder, [Edit(("room", "height"), "10 ft", was="8 ft")])
    assert load_job(folder).room.height_m == pytest.approx(9 * 0.3048)


def test_undo_and_redo_walk_through_every_state(folder):
    path = folder / "job.toml"
    states = [path.read_text("utf-8")]
    for height in ("9 ft", "10 ft", "11 ft"):
        edit_job(folder, [Edit(("room", "height"), height)])
        states.append(path.read_text("utf-8"))
    for state in reversed(states[:-1]):
        assert can_undo(folder)[0]
        undo(folder)
        assert path.read_text("utf-8") == state
    with pytest.raises(NothingToUndo):
        undo(folder)
    for state in states[1:]:
        redo(folder)
        assert path.read_text("utf-8") == state
    with pytest.raises(NothingToUndo):
        redo(folder)


def test_a_change_after_undo_loses_nothing(folder):
    path = folder / "job.toml"
    for height in ("9 ft", "10 ft"):
        edit_job(folder, [Edit(("room", "height"), height)])
    undo(folder)
    edit_job(folder, [Edit(("room", "height"), "12 ft")])
    seen = []
    while can_undo(folder)[0]:
        undo(folder)
        seen.append(value_at(folder, ("room", "height")))
    assert {"8 ft", "9 ft", "10 ft"} <= set(seen)
    assert path.exists()


def test_what_an_editor_left_is_a_state_of_its_own(folder):
    path = folder / "job.toml"
    edit_job(folder, [Edit(("room", "height"), "9 ft")])
    own = path.read_text("utf-8").replace('"9 ft"', '"9 ft 6 in"')
    path.write_text(own, "utf-8")
    undo(folder)
    assert value_at(folder, ("room", "height")) == "9 ft"
    redo(folder)
    assert path.read_text("utf-8") == own


def test_two_hundred_states_are_kept(folder):
    kinds = random.Random(3)
    for _ in range(history.KEPT + 20):
        edit_job(folder, [Edit(("room", "height"), f"{kinds.randint(90, 200)} in")])
    kept = list((folder / "history").glob("*.toml"))
    assert len(kept) == history.KEPT
    undo(folder)
