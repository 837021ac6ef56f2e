"""The tables of the documents' words: one home for each text, and each text there is asked for."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import roomcheck
from roomcheck.words.documents import texts

PACKAGE = Path(roomcheck.__file__).parent
TABLES = [
    texts.EVERY_PAGE,
    texts.FIGURES,
    texts.MEASUREMENT,
    texts.PROPOSAL,
    texts.SHOP_SHEETS,
    texts.CERTIFICATE,
    texts.LISTENING,
    texts.SCREENS,
    texts.SITE,
    texts.ALL_JOBS,
    texts.PROGRESS,
]


def _asked_for() -> Iterator[str]:
    """Every key that is asked for by its full name."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            named = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            if named and node.func.id in ("say", "items") and node.args:
                key = node.args[0]
                if isinstance(key, ast.Constant):
                    yield key.value


def test_no_text_has_two_homes():
    keys = Counter(key for table in TABLES for key in table)
    assert not [key for key, homes in keys.items() if homes > 1]
    assert set(keys) == set(texts.ENGLISH)


def test_every_text_that_is_asked_for_is_there():
    asked = set(_asked_for())
    assert len(asked) > 150
    assert not asked - set(texts.ENGLISH)
