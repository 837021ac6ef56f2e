"""A stage's door gives every name it lists, and brings in no room before one is asked for."""

from __future__ import annotations

import importlib
import subprocess
import sys

import pytest

STAGES = (
    "materials", "job", "measure", "analyse", "judge", "predict", "recommend", "workshop",
    "quote", "verify", "scene", "words", "report", "chain",
)  # fmt: skip


@pytest.mark.parametrize("stage", STAGES)
def test_a_door_gives_every_name_that_it_lists(stage):
    door = importlib.import_module(f"roomcheck.{stage}")
    assert set(door.__all__) <= set(dir(door))
    assert all(getattr(door, name) is not None for name in door.__all__)
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = door.no_such_name


def test_a_door_that_is_opened_brings_in_the_room_that_is_asked_for_alone():
    script = (
        "import sys, roomcheck.measure as door\n"
        "before = {m for m in sys.modules if m.startswith('roomcheck.measure.')}\n"
        "door.Sweep\n"
        "print(sorted(before), 'roomcheck.measure.signal.sweep' in sys.modules, "
        "'roomcheck.measure.photo.fit' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[] True False"
