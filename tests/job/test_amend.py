"""A rewrite changes what it is asked to change and keeps every other byte."""

from __future__ import annotations

import dataclasses
import difflib
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from roomcheck.geometry import Point
from roomcheck.job import (
    FileMistakes,
    Position,
    Visit,
    amend_job,
    load_job,
    own_shop,
    write_together,
)
from roomcheck.job.read.shop_file import DEFAULT

IN = 0.0254


def changes(before: str, after: str) -> list[str]:
    """Lines taken out and put in."""
    lines = difflib.ndiff(before.splitlines(keepends=True), after.splitlines(keepends=True))
    return sorted(
        (line for line in lines if line[0] in "+-"), key=lambda line: line[0], reverse=True
    )


def text_of(folder) -> str:
    return (folder / "job.toml").read_bytes().decode()


def test_conditions_of_a_visit_change_in_their_lines_alone(folder, story_text):
    visit = dataclasses.replace(
        load_job(folder).visit("after"), temperature_c=20.0, humidity_pct=38.0, people=2
    )
    job = amend_job(folder, visits=[visit])
    assert job.visit("after") == load_job(folder).visit("after") == visit
    assert changes(story_text, text_of(folder)) == [
        '- temperature = "72 °F"\n',
        '- humidity = "50 %"\n',
        "- people = 1\n",
        '+ temperature = "68 °F"\n',
        '+ humidity = "38 %"\n',
        "+ people = 2\n",
    ]


def test_a_value_with_a_comment_keeps_it(folder, story_text):
    amend_job(
        folder,
        values={"budget": "5100", "seat": "P2", "client.name": "Client B, a made-up town library"},
    )
    assert changes(story_text, text_of(folder)) == [
        '- budget = "2200"\n',
        '- seat = "P1"                     # the chair of the person who tells the story\n',
        '- name = "Client A, a made-up town library"\n',
        '+ budget = "5100"\n',
        '+ seat = "P2"                     # the chair of the person who tells the story\n',
        '+ name = "Client B, a made-up town library"\n',
    ]
    assert load_job(folder).budget == Decimal(5100)


def test_a_new_position_is_added_in_the_jobs_units(folder, story_text):
    at = Point(100 * IN, 70.5 * IN, 47.25 * IN)
    job = amend_job(folder, microphones=[Position(name="P4", point=at)])
    assert job.microphones[-1].point == pytest.approx(at, abs=1e-9)
    added = changes(story_text, text_of(folder))
    assert not [line for line in added if line[0] == "-"]
    assert [line[2:].strip() for line in added if line[2:].strip()] == [
        "[[microphone]]",
        'name = "P4"',
        'x = "8\'-4\\""',
        'y = "5\'-10 1/2\\""',
        'z = "3\'-11 1/4\\""',
    ]


def test_a_moved_position_keeps_what_did_not_move(folder, story_text):
    old = load_job(folder).sources[0].point
    amend_job(folder, sources=[Position(name="S1", point=old._replace(x=45 * IN))])
    changed = changes(story_text, text_of(folder))
    assert len(changed) == 2 and all(line[2:].startswith("x = ") for line in changed)


def test_a_place_between_sixteenths_is_not_moved(folder):
    at = Point(1.2345, 1.5678, 1.2001)
    job = amend_job(folder, microphones=[Position(name="P4", point=at)])
    assert job.microphones[-1].point == pytest.approx(at, abs=1e-4)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_line_ends_and_byte_order_mark_survive(folder, story_text, end, mark):
    text = story_text.replace("\n", end)
    (folder / "job.toml").write_bytes(mark + text.encode())
    amend_job(
        folder,
        values={"budget": "5100"},
        microphones=[Position(name="P4", point=Point(2.0, 1.9, 1.2))],
    )
    after = (folder / "job.toml").read_bytes()
    assert after.startswith(mark) and after.count(b"\n") == after.count(end.encode())
    kept = after[len(mark) :].decode().splitlines(keepends=True)
    assert [line for line in text.splitlines(keepends=True) if line not in kept] == [
        f'budget = "2200"{end}'
    ]


def test_what_changes_nothing_writes_nothing(folder):
    job = load_job(folder)
    stamp = (folder / "job.toml").stat()
    amend_job(
        folder,
        visits=job.visits,
        sources=job.sources,
        microphones=job.microphones,
        values={"budget": "2200"},
    )
    assert (folder / "job.toml").stat().st_mtime_ns == stamp.st_mtime_ns
    assert (folder / "job.toml").stat().st_ino == stamp.st_ino


def test_what_would_be_a_mistake_is_not_written(folder, story_text):
    with pytest.raises(FileMistakes, match="outside the room"):
        amend_job(folder, microphones=[Position(name="P4", point=Point(9.0, 1.0, 1.0))])
    with pytest.raises(FileMistakes, match="`budgett` in the file is unknown"):
        amend_job(folder, values={"budgett": "1"})
    assert text_of(folder) == story_text


def test_a_first_visit_and_a_first_position_are_added(folder, story_text):
    bare = story_text.partition("# x, y and z")[0].replace('seat = "P1"', "#")
    (folder / "job.toml").write_bytes(bare.encode())
    visit = Visit(
        name="before", date="2026-05-04", temperature_c=21.0, humidity_pct=45.0, doors="shut"
    )
    at = Position(name="S1", point=Point(1.0, 1.0, 1.5))
    job = amend_job(folder, visits=[visit], sources=[at])
    assert job.visits == (visit,) and job.sources[0].point == pytest.approx(at.point, abs=1e-4)
    assert text_of(folder).startswith(bare)


comments = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_characters="\x7f\x85"), max_size=20
)


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_comments_anywhere_survive(folder, story_text, data):
    lines = story_text.split("\n")
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(lines)))
        lines.insert(at, data.draw(st.sampled_from(["", " ", "\t"])) + "# " + data.draw(comments))
    before = "\n".join(lines)
    (folder / "job.toml").write_bytes(before.encode())
    amend_job(folder, values={"budget": "1"})
    assert text_of(folder) == before.replace('budget = "2200"', 'budget = "1"')


def test_the_shop_is_kept_with_the_job_and_stays(folder):
    job = load_job(folder)
    write_together(folder, own_shop(job))
    copy = folder / "shop.toml"
    assert copy.read_bytes() == DEFAULT.read_bytes()
    copy.write_text(
        copy.read_text(encoding="utf-8").replace('"65.00"', '"71.00"'), encoding="utf-8"
    )
    assert own_shop(job) == []
    assert load_job(folder).shop.rates.hour == Decimal("71.00")
