"""Signed files are text, and hands reach them: what cannot be meant is refused with its line, and
what was changed is said."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

import pytest

from roomcheck.chain import open_job
from roomcheck.cli import main
from roomcheck.errors import RoomcheckError
from roomcheck.job import FileMistakes, NewerFile, read_changes, read_signed, write_signed
from roomcheck.plain import to_plain
from roomcheck.quote import Agreement, read_change_orders

STORY_ROOM = Path(__file__).parents[1] / "golden" / "jobs" / "story-room"
"""Signed by an earlier version: a file whose text stays what it is."""
CHANGE = [
    "--change",
    "one more panel",
    "--cost",
    "70",
    "--sign",
    "Client A",
    "--date",
    "2026-06-01",
]


@pytest.fixture
def job(tmp_path):
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    return folder


@pytest.fixture
def sealed(job):
    """The same agreement as roomcheck signs it today."""
    agreement = read_signed(job).value(Agreement)
    (job / "signed" / "agreement.toml").unlink()
    write_signed(job, to_plain(agreement))
    return job


def _changed(path: Path, old: str, new: str) -> int:
    """Replace one text of a file; the line in which it stands."""
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


HURT = [
    ('price = "2567.75"', 'price = "NaN"', "`price`: found 'NaN', needed an amount"),
    ('price = "2567.75"', 'price = "Infinity"', "`price`: found 'Infinity'"),
    ('price = "2567.75"', 'price = "-1"', "`price`: found -1, needed 0 or more"),
    ('face = "south"', 'face = "nowhere"', "`face`: found 'nowhere', needed one of"),
    ('face = "south"', "face = 3", "`face`: found 3, needed a text"),
    ("reaches_target = true", 'reaches_target = "yes"', "needed true or false"),
    ("weeks = 4", "weeks = 4.5", "`weeks`: found 4.5, needed a whole number"),
    ("weeks = 4", 'warranty_years = 5\nweeks = 4', "unknown field 'warranty_years'"),
    ("u_m = ", "u_m = -1e9 # ", "lies outside of south"),
    ("u_m = ", "u_m = nan # ", "`u_m`: found nan, needed a finite number"),
    ("u_m = ", "u_n = ", "unknown field 'u_n'; did you mean 'u_m'?"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), HURT)
def test_what_cannot_be_meant_is_refused_with_its_line(job, capsys, old, new, said):
    path = job / "signed" / "agreement.toml"
    line = _changed(path, old, new)
    assert main(["check", str(job)]) == 2
    error = capsys.readouterr().err
    assert said in error and "agreement.toml, line" in error
    named = int(error.partition("agreement.toml, line ")[2].partition(":")[0])
    assert abs(named - line) <= 3  # of the value, or of the table that lacks it
    with pytest.raises(FileMistakes):
        _ = open_job(job).agreement


def test_every_mistake_is_said_at_once(job):
    path = job / "signed" / "agreement.toml"
    _changed(path, 'price = "2567.75"', 'price = "NaN"')
    _changed(path, "weeks = 4", 'weeks = "four"')
    with pytest.raises(FileMistakes) as caught:
        _ = open_job(job).agreement
    assert len(caught.value.mistakes) == 2


def test_a_newer_format_is_said_as_such(job):
    path = job / "signed" / "agreement.toml"
    path.write_text("schema = 99\n" + path.read_text("utf-8"), encoding="utf-8")
    with pytest.raises(NewerFile, match="made by a newer roomcheck"):
        read_signed(job)


def test_what_was_changed_by_hand_is_said(sealed, capsys):
    assert not read_signed(sealed).by_hand and open_job(sealed).changed_by_hand == ()
    path = sealed / "signed" / "agreement.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("\n", "\r\n") + "\n# a remark changes nothing\n", "utf-8")
    assert not read_signed(sealed).by_hand
    _changed(path, "weeks = 4", "weeks = 5")
    assert read_signed(sealed).by_hand
    assert open_job(sealed).changed_by_hand == (path,)
    assert main(["quote", str(sealed)]) == 0
    assert "agreement.toml was changed by hand after it was signed" in capsys.readouterr().err
    main(["check", str(sealed)])
    assert "changed by hand" in capsys.readouterr().out


def test_a_change_is_signed_once_with_its_documents(sealed, capsys, monkeypatch):
    from roomcheck.report.offer import bills

    def failing(*_args):
        raise RoomcheckError("the typesetter fails")

    with monkeypatch.context() as patch:
        patch.setattr(bills, "pdf_of", failing)
        assert main(["quote", str(sealed), *CHANGE]) == 2
    assert read_changes(sealed) == () and not (sealed / "documents").exists()
    assert main(["quote", str(sealed), *CHANGE]) == 0
    assert (sealed / "documents" / "change-1.pdf").exists()
    assert main(["quote", str(sealed), *CHANGE]) == 2
    assert "change 1 is signed already" in capsys.readouterr().err
    assert [change.number for change in read_change_orders(sealed)] == [1]


EARLY = [
    ["--change", "one more panel", "--cost", "70", "--sign", "Client A"],
    ["--invoice", "2026-1", "--paid", "0"],
]


@pytest.mark.parametrize("words", EARLY)
def test_nothing_is_dated_before_the_agreement_as_a_clock_set_back_would(sealed, capsys, words):
    signed = read_signed(sealed).value(Agreement).signed_on
    before = (datetime.date.fromisoformat(signed) - datetime.timedelta(days=1)).isoformat()
    there = sorted(sealed.rglob("*.toml"))
    assert main(["quote", str(sealed), *words, "--date", before]) == 2
    assert f"{before} is before the agreement was signed, on {signed}" in capsys.readouterr().err
    assert sorted(sealed.rglob("*.toml")) == there
    assert main(["quote", str(sealed), *words, "--date", signed]) == 0


CHANGES_HURT = [
    ("number = 1", 'number = "x"'), ("number = 1", "number = [1]"), ("number = 1", "number = 7"),
    ('text = "one more panel"', ""), ('total = "', 'total = "1'), ('net = "', 'net = "-'),
    ("days = 0", "days = -1"), ("days = 0", "days = nan"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new"), CHANGES_HURT)
def test_a_change_order_that_hands_spoilt_is_refused_everywhere(sealed, capsys, old, new):
    assert main(["quote", str(sealed), *CHANGE]) == 0
    _changed(sealed / "signed" / "change-1.toml", old, new)
    assert main(["check", str(sealed)]) == 2
    assert main(["quote", str(sealed), "--invoice", "2026-1", "--date", "2026-07-01"]) == 2
    assert main(["quote", str(sealed), *CHANGE[:1], "another", *CHANGE[2:]]) == 2
    assert "change-1.toml" in capsys.readouterr().err
    assert len(list((sealed / "signed").iterdir())) == 2


def test_a_copy_of_a_change_order_is_none(sealed, capsys):
    assert main(["quote", str(sealed), *CHANGE]) == 0
    change = sealed / "signed" / "change-1.toml"
    shutil.copy(change, change.with_name("change-1 (conflicted copy).toml"))
    assert [one.number for one in read_change_orders(sealed)] == [1]
    main(["check", str(sealed)])
    assert "conflicted copy" in capsys.readouterr().out
