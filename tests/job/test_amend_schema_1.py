"""A file of schema 1 that is amended in place keeps its schema and every other byte."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from roomcheck.job import amend_job, load_job

JOBS = Path(__file__).parents[1] / "golden" / "jobs"


@pytest.mark.parametrize("name", ["classroom", "corner-office", "story-room"])
def test_a_visit_changes_in_its_line_alone(name, tmp_path):
    for file in ("job.toml", "shop.toml"):
        (tmp_path / file).write_bytes((JOBS / name / file).read_bytes())
    if name == "story-room":
        (tmp_path / "mark.svg").write_bytes((JOBS / name / "mark.svg").read_bytes())
    before = (JOBS / name / "job.toml").read_bytes().splitlines()
    job = load_job(tmp_path)
    visit = dataclasses.replace(job.visits[0], people=job.visits[0].people + 3)
    changed = amend_job(tmp_path, visits=[visit])
    after = (tmp_path / "job.toml").read_bytes().splitlines()
    assert changed.visits[0].people == visit.people
    assert b"schema = 1" in after
    assert changed.framing == job.framing
    assert [line for line in before if line not in after] in (
        [],
        [b"people = %d" % (visit.people - 3)],
    )
    assert [line for line in after if line not in before] in ([], [b"people = %d" % visit.people])
    assert after != before and abs(len(after) - len(before)) <= 1
    assert (tmp_path / "shop.toml").read_bytes() == (JOBS / name / "shop.toml").read_bytes()
