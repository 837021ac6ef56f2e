"""A new job: commented, complete, loadable, and never over an old one."""

from __future__ import annotations

import re
import tomllib

import pytest

from roomcheck.errors import Mistakes
from roomcheck.job import CannotWrite, JobIsThere, load_job, new_job
from roomcheck.standards import USES

ANSWERS = {
    "length": "14' 6\"",
    "width": "361cm",
    "height": "8½ ft",
    "use": "podcast room",
    "client": "C",
    "title": "T",
}


def test_a_new_job_loads_as_asked_for(tmp_path):
    job = new_job(
        tmp_path / "made" / "room", **ANSWERS, complaint='He said "bucket"\\ é', currency="€"
    )
    assert job == load_job(tmp_path / "made" / "room")
    assert job.room.volume_m3 == pytest.approx(174 * 0.0254 * 3.61 * 8.5 * 0.3048)
    assert (job.client, job.title, job.use, job.currency) == ("C", "T", "podcast room", "€")
    assert job.complaint == 'He said "bucket"\\ é'
    assert (job.units, job.paper, job.made_up) == ("imperial", "letter", False)


def test_a_metric_room_gets_metric_pages(tmp_path):
    job = new_job(tmp_path, **{**ANSWERS, "length": "4.42 m"})
    assert (job.units, job.paper) == ("metric", "a4")
    assert "0.900 m" in (tmp_path / "job.toml").read_text(encoding="utf-8")


def test_every_table_is_explained_and_works_once_its_comment_is_taken_away(tmp_path):
    new_job(tmp_path, **ANSWERS)
    path = tmp_path / "job.toml"
    text = path.read_text(encoding="utf-8")
    for use in USES:
        assert f'"{use}"' in text
    # A line of a commented table, or of a key in it.
    bare = re.sub(r"^# (\[|[a-z_]+ = )", r"\1", text, flags=re.MULTILINE)
    opened = set(tomllib.loads(bare)) - set(tomllib.loads(text))
    assert opened == {
        "budget",
        "extra",
        "grade",
        "offer",
        "seat",
        "pairs_after",
        "people_in_use",
        "target",
        "patch",
        "keep_clear",
        "look",
        "framing",
        "fixing",
        "forbid",
        "furnishing",
        "source",
        "microphone",
        "pin",
        "visit",
        "words",
    }
    path.write_text(bare, encoding="utf-8")
    job = load_job(tmp_path)
    assert (
        job.patches
        and job.keep_clear
        and job.framing
        and job.fixings
        and job.furnishings
        and job.visits
    )
    for position in (*job.sources, *job.microphones):
        assert job.room.distance_to_surface_m(position.point) >= 1.0


def test_an_old_job_is_never_written_over(folder, story_text):
    with pytest.raises(JobIsThere, match="never overwritten"):
        new_job(folder, **ANSWERS)
    assert (folder / "job.toml").read_bytes() == story_text.encode()


def test_all_wrong_answers_come_at_once_and_nothing_is_made(tmp_path):
    wrong = {
        "length": "14",
        "width": "-3 m",
        "height": "0 in",
        "use": "podcst room",
        "walls": "gypsum",
        "title": " ",
    }
    with pytest.raises(Mistakes) as caught:
        new_job(tmp_path / "room", **{**ANSWERS, **wrong})
    assert {item.partition(":")[0] for item in caught.value.items} == set(wrong)
    assert 'did you mean "podcast room"' in str(caught.value) and not (tmp_path / "room").exists()


def test_a_place_where_nothing_can_be_made_is_named(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(CannotWrite, match="is a file, not a folder"):
        new_job(tmp_path / "file" / "room", **ANSWERS)
