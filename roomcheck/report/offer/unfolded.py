"""What will hang on walls unfolded in a row: for pieces that the shop's file knows no longer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from roomcheck.geometry import Face
from roomcheck.job import Job, Placement
from roomcheck.report.figures.drawings import plain
from roomcheck.report.figures.figures import INK, QUIET, SOFT, WIDE_IN, drawing, svg_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LETTER = 0.62
"""Width of a letter, as a share of its size. [1]"""
TALLEST_IN = 1.6


def unfolded_svg(job: Job, pieces: Sequence[Placement]) -> str:
    """The walls that carry a piece unfolded in a row, and the ceiling, each piece with its name:
    SVG text."""
    faces = _shown(job, pieces)
    gap = 0.06 * sum(face.width_m for face in faces) / len(faces)
    wide = sum(face.width_m for face in faces) + gap * (len(faces) - 1)
    tall = max(face.height_m for face in faces)
    scale = min(WIDE_IN / wide, TALLEST_IN / tall)
    with drawing(WIDE_IN, scale * tall + 0.3) as figure:
        axes = figure.add_subplot()
        axes.set_axis_off()
        axes.set_aspect("equal")
        axes.set_xlim(0, max(wide, WIDE_IN / scale))
        axes.set_ylim(-0.2 / scale, tall)
        left = 0.0
        for face in faces:
            _face(axes, job, face, left, scale)
            for piece in pieces:
                if piece.face == face.name:
                    _piece(axes, piece, left, scale)
            left += face.width_m + gap
        return svg_of(figure)


def _shown(job: Job, pieces: Sequence[Placement]) -> list[Face]:
    """The faces that carry something, walls first; every wall where nothing hangs."""
    used = {piece.face for piece in pieces}
    faces = [face for face in job.room.faces if face.name in used]
    if not faces:
        faces = [face for face in job.room.faces if face.kind == "wall"]
    return sorted(faces, key=lambda face: face.kind != "wall")


def _face(axes: Axes, job: Job, face: Face, left: float, scale: float) -> None:
    from matplotlib.patches import Rectangle as Box

    u, v = zip(*(*face.outline, face.outline[0]), strict=True)
    axes.plot([left + x for x in u], v, color=INK, lw=1.0)
    for patch in job.patches:
        if patch.face == face.name:
            place = patch.place
            hatch = "...." if patch.opening else ""
            box = Box(
                (left + place.u_m, place.v_m),
                place.width_m,
                place.height_m,
                facecolor="white",
                edgecolor=QUIET,
                lw=0.6,
                hatch=hatch,
            )
            axes.add_patch(box)
    axes.text(left, -0.04 / scale, plain(face.name), fontsize=8, color=QUIET, va="top")


def _piece(axes: Axes, piece: Placement, left: float, scale: float) -> None:
    from matplotlib.patches import Rectangle as Box

    place = piece.place
    corner = (left + place.u_m, place.v_m)
    axes.add_patch(
        Box(corner, place.width_m, place.height_m, facecolor=SOFT, edgecolor=INK, lw=0.9)
    )
    wide_pt, tall_pt = (72 * scale * side for side in (place.width_m, place.height_m))
    upright = tall_pt > wide_pt
    room_pt = max(wide_pt, tall_pt) / (LETTER * len(piece.name))
    size = min(8.0, room_pt, 0.85 * min(wide_pt, tall_pt))
    axes.text(
        left + place.u_m + place.width_m / 2,
        place.v_m + place.height_m / 2,
        plain(piece.name),
        fontsize=max(size, 5.0),
        rotation=90 if upright and wide_pt < LETTER * size * len(piece.name) else 0,
        ha="center",
        va="center",
        color=INK,
    )
