"""A small part of the campaign of mutated and hostile files; all of it: python benchmarks/faults.py."""

from __future__ import annotations

import os

import pytest

import faults

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="cases run in forks of the process")


@pytest.mark.parametrize(("part", "share"), [("mutated", 0.004), ("hostile", 0.08)])
def test_no_traceback_no_hang_and_nothing_misread(part, share):
    tally = faults.run(part, share=share, seed=15)
    assert tally.total >= 20
    assert not tally.faults
