"""Proof: the 95 % of a mean over few places."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

import few_places
import open_data

TITLE = "Means over few places: does the printed 95 % hold"
DRAWS, BOXES, PLACES = 400, 3, 16

HEAD = """A mean over n places drawn from many, with its printed 95 %, against the mean of all of them. The truth is a
finite number N of places, of which the n are a part: *held* narrows the interval by sqrt(1 - n/N) for that; *as printed*
does not (the room itself has more places than N). Asked, of the published places alone: 92 to 98 % over all octaves, none
below 88 %, and with two places never more than 2.5 times as wide as with the spread of all places known.

| places | number | n | octaves | held | worst octave | as printed | its worst | width over spread known: median, most |
|---|---|---:|---:|---:|---:|---:|---:|---:|
"""


def write(figures: Path) -> str | None:
    """Every set of rooms, or None without the measured ones."""
    folder = open_data.folder()
    if folder is None:
        return None
    published, recorded = few_places.published(folder), few_places.recorded(folder)
    boxes = few_places.made_up(BOXES, PLACES)
    sets = (
        ("34 published, laboratory, two states", published, "t30_s", DRAWS),
        ("recorded: 13 hard room, 12 and 12 laboratory", recorded, "t20_s", DRAWS // 4),
        ("the same", recorded, "t30_s", DRAWS // 4),
        ("the same", recorded, "c50_db", DRAWS // 4),
        (f"{BOXES} boxes of images and rays, {PLACES} each", boxes, "t20_s", DRAWS // 4),
    )
    rows = [
        _row(title, number, n, found)
        for title, rooms, number, draws in sets
        for n, found in _by_places(list(few_places.cells(rooms, number, draws)))
    ]
    by_octave = list(few_places.cells(published, "t30_s", DRAWS))
    return HEAD + "\n".join(rows) + "\n\n" + _octaves(by_octave)


def _by_places(
    cells: Sequence[few_places.Cell],
) -> list[tuple[int, list[few_places.Cell]]]:
    return [(n, [cell for cell in cells if cell.places == n]) for n in few_places.SUBSETS]


def _row(title: str, number: str, n: int, cells: Sequence[few_places.Cell]) -> str:
    held = [cell.held for cell in cells]
    printed = [cell.held_as_printed for cell in cells]
    wider = [cell.wider for cell in cells]
    name = number.partition("_")[0].upper()
    return (
        f"| {title} | {name} | {n} | {len(cells)} | {np.mean(held):.1%} | {min(held):.1%} | "
        f"{np.mean(printed):.1%} | {min(printed):.1%} | {np.median(wider):.2f}, {max(wider):.2f} |"
    )


def _octaves(cells: Sequence[few_places.Cell]) -> str:
    """How often each octave of the published places is held, as printed."""
    lines = [
        "Octave by octave, the published places, as printed:",
        "",
        "| room | n | " + " | ".join(f"{hz:g} Hz" for hz in few_places.BANDS_HZ) + " |",
        "|---|---:|" + "---:|" * len(few_places.BANDS_HZ),
    ]
    for room in dict.fromkeys(cell.room for cell in cells):
        for n in few_places.SUBSETS:
            row = [cell for cell in cells if (cell.room, cell.places) == (room, n)]
            shares = " | ".join(f"{cell.held_as_printed:.0%}" for cell in row)
            lines.append(f"| {room} | {n} | {shares} |")
    return "\n".join(lines)
