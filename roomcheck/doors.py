"""Doors of stages: a name is imported when it is first asked for.

A door imports its names for type checkers alone, so that each stands in one list; whoever asks for
one imports the module behind it and no other.
"""

from __future__ import annotations

import importlib
import re
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


_IMPORT = re.compile(r"^    from (\S+) import (\([^)]*\)|.+)$", re.MULTILINE)
"""One import below `if TYPE_CHECKING:`, on a line or in brackets. Read as text: to parse a door as
Python takes as long as to import what stands behind it."""


def _homes(path: Path) -> dict[str, tuple[str, str]]:
    """Name at the door: its module, and what it is called there."""
    homes = {}
    for module, names in _IMPORT.findall(path.read_text(encoding="utf-8")):
        for name in re.sub(r"#.*", "", names).strip("()").split(","):
            known_as, _, here = name.strip().partition(" as ")
            if known_as:
                homes[here or known_as] = module, known_as
    return homes
