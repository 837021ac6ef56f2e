"""A name that no job has is refused before a job is even opened."""

from __future__ import annotations

import pytest

from roomcheck.cli import main
from roomcheck.report import AUDIENCES, DOCUMENTS


@pytest.mark.parametrize("only", [("offer",), ("proposal", "certificate"), ("scene", "quote")])
def test_a_document_that_no_job_has_is_refused_before_the_job_is_opened(tmp_path, capsys, only):
    names = [word for name in only for word in ("--only", name)]
    assert main(["report", str(tmp_path / "no-such-job"), *names]) == 2
    said = capsys.readouterr().err
    assert "no-such-job" not in said
    assert any(name in said for name in only)


def test_a_document_that_some_job_has_is_looked_for_in_the_job(tmp_path, capsys):
    for name in DOCUMENTS:
        assert main(["report", str(tmp_path / "no-such-job"), "--only", f"{name}.pdf"]) == 2
        assert "no-such-job" in capsys.readouterr().err


def test_every_document_that_anybody_gets_is_among_them():
    assert {name for names in AUDIENCES.values() for name in names} == set(DOCUMENTS)
