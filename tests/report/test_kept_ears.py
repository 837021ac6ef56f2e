"""What both ears get is kept as it was, and never taken for something else."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.report.sound.kept_ears import KEPT_EARS, kept_ears, packed, unpacked
from roomcheck.report.sound.listening import Ears, RoomAtEars


@pytest.fixture
def ears() -> Ears:
    rng = np.random.default_rng(4)
    rooms = [
        RoomAtEars(
            name=name,
            simulated=name == "after",
            left=rng.standard_normal(frames),
            right=rng.standard_normal(frames),
        )
        for name, frames in (("before", 7), ("after", 5))
    ]
    return Ears(rate_hz=44_100, about="what it is – ½", rooms=tuple(rooms))


def test_every_sample_and_word_comes_back(ears, tmp_path):
    path = tmp_path / KEPT_EARS
    path.parent.mkdir()
    path.write_bytes(packed(ears, "these takes"))
    again = kept_ears(tmp_path, "these takes")
    assert again is not None
    assert (again.rate_hz, again.about) == (44_100, "what it is – ½")
    assert [(room.name, room.simulated) for room in again.rooms] == [
        ("before", False),
        ("after", True),
    ]
    for room, was in zip(again.rooms, ears.rooms, strict=True):
        assert room.left.tolist() == was.left.tolist()
        assert room.right.tolist() == was.right.tolist()


def test_nothing_is_kept_of_other_takes_nor_where_there_is_no_file(ears, tmp_path):
    assert unpacked(packed(ears, "these takes"), "other takes") is None
    assert kept_ears(tmp_path, "these takes") is None


def test_no_changed_sample_and_no_part_of_a_file_is_taken_for_the_whole(ears):
    data = packed(ears, "these takes")
    begin = data.index(b"\n") + 1
    for at in range(begin, len(data), 11):
        changed = bytearray(data)
        changed[at] ^= 1
        assert unpacked(bytes(changed), "these takes") is None
    for length in range(0, len(data), 7):
        assert unpacked(data[:length], "these takes") is None
