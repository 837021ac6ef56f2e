"""Benchmarks are programs of their own: their names must leave the packages they import alone."""

from __future__ import annotations

import sys
from importlib.metadata import packages_distributions
from pathlib import Path

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"


def test_no_benchmark_has_the_name_of_a_package():
    names = {path.stem for path in BENCHMARKS.glob("*.py")}
    taken = names & (set(packages_distributions()) | set(sys.stdlib_module_names) | {"coverage"})
    assert not taken
