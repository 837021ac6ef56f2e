"""What the finished demo shows: papers that a client reads, pages, first screens of commands."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from statistics import fmean

import pytest

from roomcheck.chain import open_job
from roomcheck.chain.documents import case_of
from roomcheck.cli import main
from roomcheck.report import text_of
from roomcheck.report.make import _certificate, _proposals
from roomcheck.report.render.blocks import Document

from ..report.test_client_words import SHOP_TALK
from ..report.test_page_fill import LEAST_FULL, fullness
from ..report.test_papers import MOST_WORDS, sentences_of


@pytest.fixture(scope="module")
def client_papers(own_copy: Path) -> list[Document]:
    case = case_of(open_job(own_copy))
    assert case.before is not None
    return [*(make() for _, make in _proposals(case, case.before)), _certificate(case)]


def test_clients_read_short_sentences(client_papers: list[Document]) -> None:
    assert [paper.name for paper in client_papers] == ["proposal", "quote", "before-and-after"]
    for paper in client_papers:
        lengths = [len(sentence.split()) for sentence in sentences_of(paper)]
        assert fmean(lengths) <= MOST_WORDS, (paper.name, fmean(lengths))


@pytest.mark.parametrize("name", SHOP_TALK)
def test_clients_read_no_shop_talk(client_papers: list[Document], name: str) -> None:
    for paper in client_papers:
        text = re.sub(r"\s+", " ", text_of(paper.blocks, width=10_000))
        found = re.search(SHOP_TALK[name], text)
        assert found is None, f"{paper.name}: {text[found.start() - 60 : found.end() + 30]}"


PAPERS = (
    *("proposal", "quote", "measurement-before", "measurement-after", "before-and-after"),
    "shop-and-install",
)


@pytest.mark.parametrize("name", PAPERS)
def test_no_page_but_the_last_is_left_empty(own_copy: Path, tmp_path: Path, name: str) -> None:
    pdf = shutil.copy(own_copy / "documents" / f"{name}.pdf", tmp_path)
    *full, _last = fullness(Path(pdf))
    assert all(share >= LEAST_FULL for share in full), full


SCREENS = (
    "check",
    "analyse",
    "recommend",
    "recommend --plan 2",
    "recommend --explain A1",
    "predict",
    "build",
    "quote",
    "quote --options",
    "quote --shop",
    "verify",
    "report",
    "hours",
    "takes",
    "found",
)


@pytest.mark.parametrize("asked", SCREENS)
def test_the_first_screen_of_a_command_is_one_screen(
    own_copy: Path, capfd: pytest.CaptureFixture[str], asked: str
) -> None:
    command, *options = asked.split()
    assert main([command, str(own_copy), *options]) == 0
    lines = capfd.readouterr().out.splitlines()
    assert 0 < len(lines) <= 40
    assert max(map(len, lines)) <= 80
