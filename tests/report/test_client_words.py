"""What a client's documents never say."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from roomcheck.job import Job
from roomcheck.report import text_of
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.proposal import proposal
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.report.render.blocks import Document
from roomcheck.words.saying import Voices, sayings

Story = Callable[..., tuple[Job, dict[str, Any]]]

SHOP_TALK = {
    "a file's name": r"\w\.(?:toml|json|csv|wav|py)\b",
    "a command": r"\broomcheck (?:new|add|measure|analyse|recommend|quote|verify|report)\b",
    "a remark on a source": r"from memory|seen in a secondary source|to be checked in the document",
    "the solver": r"\b(?:solver|HiGHS|optim\w+|branch and bound|gap of|settled on|proved)\b",
    "a value of the program": r"\b(?:None|nan|inf|True|False)\b|\b\w+_(?:hz|s|db|m|kg)\b",
    "an empty quotation": r"“\s*”",
    "a brace that was not filled": r"[{}]",
}


@pytest.fixture(scope="module")
def documents(story: Story, tmp_path_factory: pytest.TempPathFactory) -> tuple[Document, ...]:
    job, known = story(tmp_path_factory.mktemp("story-room"))
    offer = {name: known[name] for name in ("before", "plans", "quotes", "plan", "quote")}
    verdict = known["verdict"]
    verdict = replace(verdict, target=replace(verdict.target, mark="memory"))
    return (
        measurement_report(job, known["before"], known["verdict"]),
        proposal(Offered(job=job, verdict=verdict, **offer)),
        certificate(job, known["agreement"], known["verification"]),
    )


@pytest.mark.parametrize("name", SHOP_TALK)
def test_client_documents_hold_no_shop_talk(documents: tuple[Document, ...], name: str) -> None:
    for document in documents:
        text = re.sub(r"\s+", " ", text_of(document.blocks))
        found = re.search(SHOP_TALK[name], text)
        assert found is None, f"{document.name}: …{text[found.start() - 60 : found.end() + 30]}…"


def client_texts() -> Iterator[tuple[str, str]]:
    for (_, kind), saying in sayings().items():
        if isinstance(saying, Voices) and saying.client:
            yield str(kind), saying.client


def test_sentences_for_clients_hold_no_shop_talk() -> None:
    rules = [rule for name, rule in SHOP_TALK.items() if "brace" not in name]
    for kind, text in client_texts():
        words = re.sub(r"\{[^}]*\}", "x", text)
        assert not [rule for rule in rules if re.search(rule, words)], f"{kind}: {text}"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a file's name", "No fire papers in shop.toml for 4 in panel"),
        ("a remark on a source", "common practice of the trade, from memory"),
        ("the solver", "Plan and prediction had not quite settled on each other"),
        ("an empty quotation", "What you told us “”"),
    ],
)
def test_the_list_finds_what_once_was_printed(name: str, text: str) -> None:
    assert re.search(SHOP_TALK[name], text)


def test_an_empty_complaint_prints_nothing(tmp_path: Path) -> None:
    from roomcheck.report.render.blocks import Said

    assert text_of([Said(body="")]) == ""
