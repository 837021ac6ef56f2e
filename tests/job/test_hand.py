"""Changes by hand in the job file: read, written, refused."""

from __future__ import annotations

import dataclasses

import pytest

from roomcheck.geometry import Rectangle
from roomcheck.job import FileMistakes, Forbid, Pin, clear_changes, keep_changes, load_job

IN = 0.0254
PIN = Pin(piece="4 in panel", face="west", place=Rectangle(36 * IN, 30 * IN, 24 * IN, 48 * IN))
SIDEWAYS = dataclasses.replace(PIN, place=Rectangle(0.7777, 30 * IN, 48 * IN, 24 * IN))
FORBIDS = (
    Forbid(piece="felt tile"),
    Forbid(face="north"),
    Forbid(face="south", place=Rectangle(0.1, 0.2, 0.5, 0.6)),
)


def near(a: Rectangle, b: Rectangle) -> bool:
    pairs = zip(
        (a.u_m, a.v_m, a.width_m, a.height_m), (b.u_m, b.v_m, b.width_m, b.height_m), strict=True
    )
    return all(abs(x - y) < 1e-4 for x, y in pairs)


def test_changes_by_hand_come_back_and_every_other_byte_stays(folder, story_text):
    job = keep_changes(folder, (PIN, SIDEWAYS), FORBIDS)
    assert [(p.piece, p.face) for p in job.pins] == [("4 in panel", "west")] * 2
    assert near(job.pins[0].place, PIN.place) and near(job.pins[1].place, SIDEWAYS.place)
    assert [(f.piece, f.face) for f in job.forbids] == [(f.piece, f.face) for f in FORBIDS]
    assert job.forbids[1].place is None and near(job.forbids[2].place, FORBIDS[2].place)
    text = (folder / "job.toml").read_text(encoding="utf-8")
    assert text.startswith(story_text)
    clear_changes(folder)
    assert load_job(folder).pins == load_job(folder).forbids == ()


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (
            '[[pin]]\npiece = "4 in pannel"\nface = "west"\nleft = "3 ft"\nbottom = "3 ft"',
            'did you mean "4 in panel"',
        ),
        (
            '[[pin]]\npiece = "4 in panel"\nface = "west"\nleft = "11 ft"\nbottom = "3 ft"',
            "does not lie wholly on",
        ),
        (
            '[[pin]]\npiece = "corner trap"\nface = "west"\nleft = "0 ft"\nbottom = "3 ft"\nturned = true',
            "one way up only",
        ),
        ("[[forbid]]", "needs a `piece`, a `face` or both"),
        ('[[forbid]]\nface = "wset"', 'did you mean "west"'),
        (
            '[[forbid]]\npiece = "felt tile"\nleft = "1 ft"\nbottom = "1 ft"\nwidth = "1 ft"\nheight = "1 ft"',
            "of which face",
        ),
    ],
)
def test_a_change_that_cannot_be_is_refused_with_its_line(folder, story_text, table, said):
    (folder / "job.toml").write_text(f"{story_text}\n{table}\n", encoding="utf-8")
    with pytest.raises(FileMistakes) as caught:
        load_job(folder)
    assert said in str(caught.value)
    assert f"{len(story_text.splitlines()) + 2}" in str(caught.value) or "line" in str(caught.value)
