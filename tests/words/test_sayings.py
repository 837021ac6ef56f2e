"""Every kind of every closed list has words, and its template names values that the stage gives."""

from __future__ import annotations

import importlib
import pkgutil

import roomcheck
from roomcheck.facts import Kind
from roomcheck.words.saying import sayings


def _kinds() -> list[Kind]:
    for module in pkgutil.walk_packages(roomcheck.__path__, "roomcheck."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    lists = [kind for kind in Kind.__subclasses__() if kind.__module__.startswith("roomcheck.")]
    return [member for members in lists for member in members]


def test_every_kind_has_a_sentence():
    said = sayings()
    without = [f"{type(k).__name__}.{k.name}" for k in _kinds() if (type(k), k) not in said]
    assert not without
