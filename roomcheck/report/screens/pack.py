"""A job that was packed or unpacked, as the commands show it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from roomcheck.report.render.blocks import Block, Bullets, Text
from roomcheck.words import say


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
    sizes = {"size": _megabytes(size), "packed": _megabytes(packed_size)}
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
    whole = say("pack_is_whole", job=job, files=files, size=_megabytes(size))
    return (Text(lead=f"{file}:", body=whole),)


def unpacked_blocks(folder: Path, files: int, size: int, extent: str) -> tuple[Block, ...]:
    """Show what stands again."""
    blocks: list[Block] = [
        Text(lead=f"{folder}:", body=say("unpacked", files=files, size=_megabytes(size)))
    ]
    if extent != "whole":
        blocks.append(Text(body=say(f"packed_{extent.replace(' ', '_')}")))
    return tuple(blocks)


def _megabytes(size: int) -> str:
    return f"{size / 1e6:.1f} MB"
