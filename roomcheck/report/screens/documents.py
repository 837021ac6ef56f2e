"""What `roomcheck report`, `demo`, `pack` and `unpack` show of files."""

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


def packed_blocks(
    file: Path,
    *,
    extent: str,
    files: int,
    size: int,
    packed_size: int,
    left_out: Sequence[str],
    removed: bool,
) -> tuple[Block, ...]:
    """Show what was packed, what never is, and whether the folder is gone.

    Parameters
    ----------
    size, packed_size : int
        Of the job and of the file. [bytes]
    """
    sizes = {"size": _bytes(size), "packed": _bytes(packed_size)}
    blocks: list[Block] = [Text(lead=f"{file}:", body=say("packed", files=files, **sizes))]
    if extent != "whole":
        blocks.append(Text(body=say(f"packed_{extent.replace(' ', '_')}")))
    if left_out:
        blocks += [Text(body=say("packed_never")), Bullets(items=tuple(left_out))]
    if removed:
        blocks.append(Text(body=say("packed_removed", file=file)))
    return tuple(blocks)


def whole_pack_blocks(file: Path | str, job: str, files: int, size: int) -> tuple[Block, ...]:
    """Show that every file of a packed job is whole."""
    whole = say("pack_is_whole", job=job, files=files, size=_bytes(size))
    return (Text(lead=f"{file}:", body=whole),)


def unpacked_blocks(folder: Path, files: int, size: int, extent: str) -> tuple[Block, ...]:
    """Show what stands again."""
    blocks: list[Block] = [
        Text(lead=f"{folder}:", body=say("unpacked", files=files, size=_bytes(size)))
    ]
    if extent != "whole":
        blocks.append(Text(body=say(f"packed_{extent.replace(' ', '_')}")))
    return tuple(blocks)


def _bytes(size: int) -> str:
    """A size as file managers show it.

    >>> _bytes(812), _bytes(48_200), _bytes(3_640_000)
    ('812 bytes', '48 kB', '3.6 MB')
    """
    if size < 1000:
        return f"{size} bytes"
    return f"{size / 1e3:.0f} kB" if size < 999_500 else f"{size / 1e6:.1f} MB"
