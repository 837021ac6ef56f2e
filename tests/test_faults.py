"""A small part of the campaign of `benchmarks/faults.py`: kills, full disks, two at once."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from .campaigns import campaign

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork") or not Path("/proc/self/fd").is_dir(),
    reason="cases run in forked processes and look at /proc",
)


@pytest.mark.parametrize(("name", "share"), [("crash", 0.03), ("at_once", 0.03)])
def test_a_small_part_of_the_campaign_finds_nothing(name, share):
    assert not campaign(name, share, seed=14, least=1)
