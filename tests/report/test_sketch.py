"""The room on a screen: nothing of a drawing runs off it, in 300 made-up rooms."""

from __future__ import annotations

import random
import re
from xml.etree import ElementTree

import pytest

from roomcheck.job import Edit, edit_job, load_job, new_job
from roomcheck.report import plan_sketch, wall_sketch

LETTER = 0.62
"""Width of a letter over its height: the widest of DejaVu Sans' usual text, measured."""


def boxes(svg):
    """Every text's box, [left, top, right, bottom] in the drawing's own units, and the drawing's."""
    root = ElementTree.fromstring(svg)
    left, top, wide, high = (float(part) for part in root.get("viewBox").split())
    found = []
    for text in root.iter("text"):
        size, words = float(text.get("font-size")), "".join(text.itertext())
        x, y = float(text.get("x")), float(text.get("y"))
        width = LETTER * size * len(words)
        start = {"middle": x - width / 2, "end": x - width}.get(
            (text.get("class") or "x").split()[0], x
        )
        box = [start, y - size, start + width, y]
        if text.get("transform"):
            half = width / 2
            box = [x - size, y - half, x + size, y + half]
        found.append((words, box))
    return found, [left, top, left + wide, top + high]


@pytest.mark.parametrize("seed", range(3))
def test_no_text_runs_off_the_drawing_in_300_rooms(tmp_path, seed):
    chance = random.Random(seed)
    folder = tmp_path / "room"
    new_job(
        folder, length="5 m", width="4 m", height="2.6 m", use="meeting room",
        client="Client A", title="Room",
    )  # fmt: skip
    text = (folder / "job.toml").read_text("utf-8")
    for _ in range(100):
        (folder / "job.toml").write_text(text, "utf-8")
        sides = [chance.uniform(2, 18), chance.uniform(2, 14), chance.uniform(2.1, 6)]
        edits = [
            Edit(("room", key), f"{side:.3f} m")
            for key, side in zip(("length", "width", "height"), sides, strict=True)
        ]
        width, height = chance.uniform(0.05, 1.5), chance.uniform(0.05, 1.5)
        edits.append(
            Edit(
                ("keep_clear",),
                {
                    "name": chance.choice(["outlet", "switch by the door", "radiator"]),
                    "face": "south",
                    "kind": "other",
                    "left": f"{chance.uniform(0, sides[0] - width):.3f} m",
                    "bottom": f"{chance.uniform(0, sides[2] - height):.3f} m",
                    "width": f"{width:.3f} m",
                    "height": f"{height:.3f} m",
                    "clearance": f"{chance.uniform(0, 1):.3f} m",
                },
            )
        )
        edit_job(folder, edits)
        job = load_job(folder)
        for svg in (plan_sketch(job), wall_sketch(job, job.room.face("south"))):
            found, sheet = boxes(svg)
            assert found
            for words, (left, top, right, bottom) in found:
                assert left >= sheet[0] - 1, words
                assert top >= sheet[1] - 1, words
                assert right <= sheet[2] + 1, words
                assert bottom <= sheet[3] + 1, words
            numbers = [float(n) for n in re.findall(r'(?:x|y)[12]?="(-?[\d.]+)"', svg)]
            assert max(numbers) < max(sheet[2:]) + 1


def test_what_a_person_typed_is_escaped(tmp_path):
    folder = tmp_path / "room"
    new_job(
        folder, length="5 m", width="4 m", height="2.6 m", use="meeting room",
        client="Client A", title="Room",
    )  # fmt: skip
    name = '<script>alert("x")</script>'
    edit_job(
        folder,
        [
            Edit(
                ("keep_clear",),
                {
                    "name": name, "face": "south", "kind": "other", "left": "1 m", "bottom": "1 m",
                    "width": "1 m", "height": "1 m", "clearance": "0 m",
                },
            ),
        ],
    )  # fmt: skip
    job = load_job(folder)
    for svg in (plan_sketch(job), wall_sketch(job, job.room.face("south"))):
        ElementTree.fromstring(svg)
        assert "<script" not in svg
