"""At how many pairs the promise is measured again: typed, chosen, walked."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from roomcheck.cli import main
from roomcheck.geometry import Point
from roomcheck.job import Edit, FileMistakes, Position, check_job, edit_job, edited_job, load_job
from roomcheck.job.ready import Hint


def placed(names: str, count: int) -> tuple[Position, ...]:
    return tuple(Position(name=f"{names}{i}", point=Point(1.0, i, 1.2)) for i in range(count))


@pytest.fixture
def job(folder):
    return load_job(folder)


def test_it_is_set_kept_and_taken_out(folder, capsys) -> None:
    pairs = len(load_job(folder).pairs)
    before = (folder / "job.toml").read_text("utf-8")
    assert main(["set", str(folder), "pairs_after", str(pairs - 1), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["now"] == str(pairs - 1)
    job = load_job(folder)
    assert job.pairs_after == pairs - 1 and len(job.pairs_at("after")) == pairs - 1
    assert job.pairs_at("before") == job.pairs
    assert main(["set", str(folder), "pairs_after", "--remove"]) == 0
    assert (folder / "job.toml").read_text("utf-8") == before
    assert load_job(folder).pairs_at("after") == job.pairs


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1", "2 or more"),
        ("49", "2 to 48"),
        ("six", "a whole number"),
        ("40", "name more places, or ask for fewer"),
    ],
)
def test_what_cannot_be_measured_is_refused_and_nothing_is_written(folder, typed, said) -> None:
    before = (folder / "job.toml").read_bytes()
    for change in (edit_job, edited_job):
        with pytest.raises(FileMistakes) as mistake:
            change(folder, [Edit(("pairs_after",), typed)])
        assert "pairs_after" in str(mistake.value) and said in str(mistake.value)
    assert (folder / "job.toml").read_bytes() == before


def test_a_change_can_be_looked_at_without_being_written(folder) -> None:
    before = (folder / "job.toml").read_bytes()
    assert edited_job(folder, [Edit(("pairs_after",), "2")]).pairs_after == 2
    assert (folder / "job.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("sources", "microphones", "pairs"), [(1, 3, 2), (2, 3, 3), (2, 3, 4), (2, 3, 5), (3, 4, 6)]
)
def test_few_pairs_still_use_as_many_places_as_they_can(job, sources, microphones, pairs) -> None:
    job = replace(
        job,
        sources=placed("S", sources),
        microphones=placed("P", microphones),
        pairs_after=pairs,
    )
    chosen = job.pairs_at("after")
    assert len(set(chosen)) == pairs and set(chosen) <= set(job.pairs)
    assert list(chosen) == sorted(chosen, key=job.pairs.index)
    assert len({source for source, _ in chosen}) == min(sources, pairs)
    assert len({microphone for _, microphone in chosen}) == min(microphones, pairs)


def notes_on_verify(job) -> dict:
    ready = next(each for each in check_job(job) if each.stage == "verify")
    return {note.kind: note for note in ready.notes}


def test_check_names_the_pairs_of_the_second_visit(job) -> None:
    assert Hint.PAIRS_CHOSEN not in notes_on_verify(job)
    chosen = replace(job, pairs_after=2)
    named = notes_on_verify(chosen)[Hint.PAIRS_CHOSEN]["pairs"]
    assert named == tuple("-".join(pair) for pair in chosen.pairs_at("after"))


@pytest.mark.parametrize(("signed", "fewer"), [(2, False), (3, True)])
def test_fewer_than_signed_is_said(job, signed, fewer) -> None:
    folder = job.folder / "signed"
    folder.mkdir()
    (folder / "agreement.toml").write_text(f"[plan.promise]\npositions = {signed}\n", "utf-8")
    assert (Hint.FEWER_THAN_SIGNED in notes_on_verify(replace(job, pairs_after=2))) == fewer
    assert Hint.FEWER_THAN_SIGNED not in notes_on_verify(job)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--pairs", "1"], "2 or more"),
        (["--pairs", "40", "--keep"], "name more places"),
        (["--pairs", "3", "--pin", "A1"], "one at a time"),
        (["--pairs", "3", "--explain", "A1"], "one at a time"),
        (["--keep"], "--pairs"),
    ],
)
def test_the_flag_refuses_what_cannot_be(folder, capsys, arguments, said) -> None:
    before = (folder / "job.toml").read_bytes()
    assert main(["recommend", str(folder), *arguments]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
    assert (folder / "job.toml").read_bytes() == before
