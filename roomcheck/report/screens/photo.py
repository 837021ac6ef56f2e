"""What `roomcheck photo` shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job
from roomcheck.measure import Measured, ReadOff, SharedCorner, WallPhoto, uncertainty_m
from roomcheck.report.render.blocks import Align, Block, Table, Text
from roomcheck.words import length, say


def photo_blocks(
    job: Job,
    face: Face,
    read: ReadOff,
    known: Mapping[str, Rectangle],
    kept: Path | None = None,
    added: Sequence[str] = (),
    corners: Sequence[SharedCorner] = (),
) -> tuple[Block, ...]:
    """Show how well a photograph fits its wall, and what was measured on it beside what was taped.

    Parameters
    ----------
    known : mapping
        What the job has on the wall, by its name. [m]
    corners : sequence of SharedCorner
        Those that photographs of two walls know.
    """
    blocks: list[Block] = list(_fit(job, face, read.photo))
    if read.things:
        rows = [_row(job, name, each, known.get(name)) for name, each in read.things.items()]
        heads = ("thing", "left_95", "up_95", "width_95", "height_95", "doubt_95", "beside")
        align: tuple[Align, ...] = ("left", "right", "right", "right", "right", "right", "left")
        blocks.append(
            Table(
                heads=tuple(say(f"head_{head}") for head in heads),
                rows=tuple(rows),
                align=align,
                wide=6,
            )
        )
    else:
        blocks.append(Text(body=say("photo_no_things")))
    blocks += [Text(body=text) for text in corner_texts(job, corners)]
    if added:
        blocks.append(Text(body=say("photo_added", names=", ".join(added))))
    if kept is not None:
        blocks.append(Text(body=say("photo_kept", file=kept)))
    blocks.append(Text(body=say("photo_people"), small=True))
    return tuple(blocks)


def fit_texts(job: Job, face: Face, photo: WallPhoto) -> tuple[str, str]:
    """How well the marks fit: where the camera stood with ±, and the mark farthest off."""
    place = photo.camera.place_m
    known = uncertainty_m(photo, face.width_m / 2, face.height_m / 2)
    stood = say(
        "photo_stood",
        away=length(float(place[2]), job),
        up=length(float(place[1]), job),
        known=length(known, job),
    )
    return stood, say("photo_worst", off=f"{max(photo.off_px):.1f}", mark=f"{photo.mark_px:g}")


def _fit(job: Job, face: Face, photo: WallPhoto) -> tuple[Block, ...]:
    stood, worst = fit_texts(job, face, photo)
    return Text(body=stood), Text(body=worst, small=True)


def corner_texts(job: Job, corners: Sequence[SharedCorner]) -> tuple[str, ...]:
    """Whether photographs of adjoining walls agree about the corner that they share."""
    texts = []
    for corner in corners:
        key = "photo_corner_agrees" if corner.agrees else "photo_corner_differs"
        values = [
            f"{length(height, job)} ±{length(doubt, job)}"
            for height, doubt in zip(corner.heights_m, corner.heights_95_m, strict=True)
        ]
        a, b = corner.walls
        texts.append(say(key, a=a, b=b, height_a=values[0], height_b=values[1]))
    return tuple(texts)


def measured_texts(job: Job, found: Measured, taped: Rectangle | None) -> tuple[str, ...]:
    """Left, up, width, height, ±, and how that is beside what was taped."""
    return _row(job, "", found, taped)[1:]


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
