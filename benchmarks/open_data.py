"""Where the open measured recordings lie: where the tests look for them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path


def folder() -> Path | None:
    """Their folder, or None where they are not on this machine."""
    file = Path(__file__).resolve().parents[1] / "tests" / "conftest.py"
    spec = importlib.util.spec_from_file_location("conftest_of_the_tests", file)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclasses look themselves up there
    spec.loader.exec_module(module)
    found: Path = module.MEASURED_DATA
    return found if found.is_dir() else None
