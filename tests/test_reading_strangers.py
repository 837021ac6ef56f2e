"""A small part of the campaign of mutated and hostile files; all of it: python benchmarks/faults.py."""

from __future__ import annotations

import os

import pytest

from .campaigns import campaign

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="cases run in forks of the process")


@pytest.mark.parametrize(("part", "share"), [("mutated", 0.004), ("hostile", 0.08)])
def test_no_traceback_no_hang_and_nothing_misread(part, share):
    assert not campaign(part, share, seed=15, least=20)
