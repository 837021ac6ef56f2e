"""What `roomcheck photo` shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job
from roomcheck.measure import Measured, WallPhoto, uncertainty_m
from roomcheck.report.render.blocks import Align, Block, Table, Text
from roomcheck.words import length, say


def photo_blocks(
    job: Job,
    face: Face,
    photo: WallPhoto,
    measured: Mapping[str, Measured],
    on_wall: Mapping[str, Rectangle],
    kept: Path | None = None,
    added: Sequence[str] = (),
) -> tuple[Block, ...]:
    """Show how well a photograph fits its wall, and what was measured on it beside what was taped.

    Parameters
    ----------
    measured : mapping
        By the thing's name.
    on_wall : mapping
        What the job has on the wall, by its name. [m]
    """
    place = photo.camera.place_m
    known = uncertainty_m(photo, face.width_m / 2, face.height_m / 2)
    stood = say(
        "photo_stood",
        away=length(float(place[2]), job),
        up=length(float(place[1]), job),
        known=length(known, job),
    )
    worst = say("photo_worst", off=f"{max(photo.off_px):.1f}", mark=f"{photo.mark_px:g}")
    blocks: list[Block] = [Text(body=stood), Text(body=worst, small=True)]
    if measured:
        rows = tuple(_row(job, name, each, on_wall.get(name)) for name, each in measured.items())
        heads = ("thing", "left_95", "up_95", "width_95", "height_95", "doubt_95", "beside")
        align: tuple[Align, ...] = ("left", "right", "right", "right", "right", "right", "left")
        blocks.append(
            Table(
                heads=tuple(say(f"head_{head}") for head in heads), rows=rows, align=align, wide=6
            )
        )
    else:
        blocks.append(Text(body=say("photo_no_things")))
    if added:
        blocks.append(Text(body=say("photo_added", names=", ".join(added))))
    if kept is not None:
        blocks.append(Text(body=say("photo_kept", file=kept)))
    blocks.append(Text(body=say("photo_people"), small=True))
    return tuple(blocks)


def _row(job: Job, name: str, found: Measured, taped: Rectangle | None) -> tuple[str, ...]:
    values = (found.left_m, found.bottom_m, found.width_m, found.height_m)
    doubts = (found.left_95_m, found.bottom_95_m, found.width_95_m, found.height_95_m)
    cells = tuple(length(value, job) for value in values)
    return (name, *cells, f"±{length(max(doubts), job)}", _beside(job, values, doubts, taped))


def _beside(
    job: Job, values: Sequence[float], doubts: Sequence[float], taped: Rectangle | None
) -> str:
    """Whether what was taped lies within what the photograph says."""
    if taped is None:
        return say("photo_new")
    sizes = (taped.u_m, taped.v_m, taped.width_m, taped.height_m)
    triples = zip(values, doubts, sizes, strict=True)
    if all(abs(value - size) <= doubt for value, doubt, size in triples):
        return say("photo_agrees")
    names = ("left", "bottom", "width", "height")
    return say("photo_differs", **{k: length(v, job) for k, v in zip(names, sizes, strict=True)})
