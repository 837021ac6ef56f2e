"""Doors of stages: a name is imported when it is first asked for.

A door imports its names for type checkers alone, so that each stands in one list; whoever asks for
one imports the module behind it and no other.
"""

from __future__ import annotations

import ast
import importlib
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any


def door(package: str) -> tuple[Callable[[str], Any], Callable[[], list[str]]]:
    """The functions `__getattr__` and `__dir__` of a package's `__init__`.

    Parameters
    ----------
    package : str
        Its `__name__`; what its `__init__` imports below `if TYPE_CHECKING:` are the names.
    """
    homes = _homes(Path(str(sys.modules[package].__file__)))

    def give(name: str) -> Any:
        home = homes.get(name)
        if home is None:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        module, known_as = home
        return getattr(importlib.import_module(module), known_as)

    return give, lambda: sorted({*vars(sys.modules[package]), *homes})


def _homes(path: Path) -> dict[str, tuple[str, str]]:
    """Name at the door: its module, and what it is called there."""
    homes = {}
    for block in ast.parse(path.read_text(encoding="utf-8")).body:
        for node in block.body if isinstance(block, ast.If) else ():
            if isinstance(node, ast.ImportFrom) and node.module and node.module != "typing":
                for alias in node.names:
                    homes[alias.asname or alias.name] = node.module, alias.name
    return homes
