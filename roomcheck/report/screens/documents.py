"""What `roomcheck report` and `roomcheck demo` show."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from roomcheck.report.render.blocks import Block, Bullets, Facts, Heading, Text
from roomcheck.words import items, say


def files_written(files: Sequence[Path], lacking: Sequence[str]) -> tuple[Block, ...]:
    """Name the files, folder by folder, and what other documents need."""
    blocks: list[Block] = []
    if files:
        folder = Path(os.path.commonpath([file.parent for file in files]))
        blocks.append(Heading(text=say("files_in", count=len(files), folder=folder)))
        blocks.append(_names(files, folder))
    if lacking:
        blocks.append(Heading(text=say("not_made"), level=2))
        blocks.append(Bullets(items=tuple(lacking)))
    return tuple(blocks)


def _names(files: Sequence[Path], folder: Path) -> Block:
    names: dict[str, list[str]] = {}
    for file in files:
        place = file.parent.relative_to(folder).as_posix()
        names.setdefault(place, []).append(file.name)
    if len(names) == 1:
        return Bullets(items=tuple(file.name for file in files))
    return Facts(pairs=tuple((place, ", ".join(inside)) for place, inside in names.items()))


def demo_opening() -> tuple[Block, ...]:
    """Say that nothing of it is real."""
    return (Text(body=say("demo_made_up")),)


def demo_ending() -> tuple[Block, ...]:
    """Say how to go on with a room of one's own."""
    return (
        Heading(text=say("demo_your_own"), level=2),
        Bullets(items=items("demo_go_on")),
    )
