"""The room drawn to scale: floor plan, and every face that carries something, seen from inside.

A drawing's lengths on paper are true: at its scale, a ruler on the print gives the room's lengths.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from roomcheck.geometry import Face, Point, Rectangle
from roomcheck.job import Framing, Job, Placement
from roomcheck.recommend import ReflectionChange
from roomcheck.report.figures.figures import BAND, INK, QUIET, SOFT, drawing, image_in, svg_of
from roomcheck.signs import visible
from roomcheck.units import M_PER_IN
from roomcheck.words import across, length, say

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SCALES = {"imperial": (24, 32, 48, 64, 96, 192), "metric": (20, 25, 50, 100, 200)}
_NAMES = {
    4: "3 in = 1 ft",
    6: "2 in = 1 ft",
    8: "1-1/2 in = 1 ft",
    12: "1 in = 1 ft",
    16: "3/4 in = 1 ft",
    24: "1/2 in = 1 ft",
    32: "3/8 in = 1 ft",
    48: "1/4 in = 1 ft",
    64: "3/16 in = 1 ft",
    96: "1/8 in = 1 ft",
}
PAGE_M, SHEET_M = (0.165, 0.078), (0.165, 0.120)
"""Room for a drawing among text, and on a sheet of its own; dimensions left out. [m]"""
_UNDER = "photograph"
"""Name of what keeps its place in a drawing."""
_CLEAR = {"facecolor": "white", "edgecolor": "none", "pad": 0.4}

Marks = Callable[["Axes"], None]
"""Draws what only one page wants on a drawing, in metres from its lower left corner."""

LABEL_M = 0.0032
"""Least distance of two dimensions on paper. [m]"""


def scale_of(
    job: Job, width_m: float, height_m: float, page_m: tuple[float, float] = PAGE_M
) -> int:
    """The largest usual scale at which this fits the page: 1 to so many."""
    fitting = (
        n for n in SCALES[job.units] if width_m / n <= page_m[0] and height_m / n <= page_m[1]
    )
    return next(fitting, SCALES[job.units][-1])


def scale_text(job: Job, scale: int) -> str:
    """How the scale is written under a drawing."""
    ratio = f"1:{scale}"
    if job.units == "imperial" and scale in _NAMES:
        ratio = f"{_NAMES[scale]} ({ratio})"
    return say("scale", scale=ratio)


def elevation_svg(
    job: Job,
    face: Face,
    pieces: Sequence[Placement],
    *,
    framing: bool = False,
    room_m: tuple[float, float] = SHEET_M,
    marks: Marks | None = None,
    under: bytes = b"",
) -> tuple[str, int]:
    """One face with its pieces, openings, keep-clear zones, studs and marks, and its scale.

    Distances run from the face's left corner and from the floor (ceiling: from the corner at the
    plan's origin). `framing` is for the sheet that the installer drills by: larger, as far as its
    room on paper allows. `under` is a JPEG of the whole face, which lies under the drawing.
    """
    page_m = room_m if framing else PAGE_M
    scale = scale_of(job, face.width_m, face.height_m, page_m)
    with _to_scale(face.width_m, face.height_m, scale) as (axes, done):
        whole = Rectangle(0.0, 0.0, face.width_m, face.height_m)
        if under:
            _box(axes, whole, facecolor="white", edgecolor="none", gid=_UNDER)
        _outline(axes, face.outline)
        stand = job.framing_of(face.name)
        if stand is not None:
            _studs(axes, face, stand)
        _surroundings(axes, job, face, bare=not under)
        for piece in pieces:
            _piece(axes, piece.place, f"{piece.name}\n{across(piece.place, job)}", scale)
        if marks is not None:
            marks(axes)
        _corner_names(axes, job, face, scale)
        _dimensions(axes, job, face, [piece.place for piece in pieces], scale)
        return _laid_under(done(), under), scale


def _laid_under(svg: str, jpeg: bytes) -> str:
    """The drawing with a photograph in the place that was kept for it."""
    kept = re.search(rf'<g id="{_UNDER}">.*?\bd="([^"]*)".*?</g>', svg, re.DOTALL)
    if kept is None:
        return svg
    numbers = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", kept[1])]
    xs, ys = numbers[0::2], numbers[1::2]
    box = (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
    return f"{svg[: kept.start()]}{image_in(jpeg, box)}{svg[kept.end() :]}"


def corners_of(job: Job, face: Face) -> tuple[str, str]:
    """What stands at a face's left and right edge: the neighbour that each corner is named after.

    On floor and ceiling: the walls along x = 0 and at the far end of x, where the plan has such
    walls.
    """
    walls = [f for f in job.room.faces if f.kind == "wall"]
    if face.kind == "wall":
        place = [wall.name for wall in walls].index(face.name)
        return walls[(place + 1) % len(walls)].name, walls[place - 1].name
    facing = {}
    if job.room.is_box:
        facing = {round(f.normal[0]): f.name for f in walls if abs(f.normal[0]) > 0.99}
    return facing.get(1, ""), facing.get(-1, "")


def _corner_names(axes: Axes, job: Job, face: Face, scale: int) -> None:
    """The corners that distances are measured from, by the wall that stands there."""
    left, right = corners_of(job, face)
    for x_m, side, name in ((0.0, "left", left), (face.width_m, "right", right)):
        if name:
            axes.text(
                x_m,
                face.height_m + 0.0012 * scale,
                say("corner_with", wall=plain(name)),
                ha=side,
                va="bottom",
                fontsize=6.5,
                color=QUIET,
            )


def bounces(face: Face, changes: Sequence[ReflectionChange]) -> Marks:
    """Where sound from each source bounces off a face to the seat, as marks."""

    def marks(axes: Axes) -> None:
        for change in (c for c in changes if c.face == face.name):
            axes.plot(
                [change.u_m], [change.v_m], marker="x", color=INK, ms=6, mew=1.4, clip_on=False
            )
            place = (change.u_m, change.v_m)
            axes.annotate(
                plain(change.source), place, (4, -9), textcoords="offset points", fontsize=6
            )

    return marks


def plan_svg(
    job: Job,
    pieces: Sequence[Placement] = (),
    *,
    positions: bool = True,
    marks: Marks | None = None,
) -> tuple[str, int]:
    """The floor plan with its walls' names, openings, positions and pieces, and its scale."""
    face = job.room.face("floor")
    scale = scale_of(job, face.width_m, face.height_m)
    with _to_scale(face.width_m, face.height_m, scale, (0.34, 0.3, 0.34, 0.3)) as (axes, done):
        _outline(axes, face.outline)
        for wall in (f for f in job.room.faces if f.kind == "wall"):
            _wall_name(axes, job, wall, scale)
        for thing in job.furnishings:
            if thing.place is not None:
                u_m, v_m, _ = face.to_face(Point(thing.place.u_m, thing.place.v_m, 0.0))
                stands = Rectangle(u_m, v_m, thing.place.width_m, thing.place.height_m)
                _box(axes, stands, facecolor="none", edgecolor=QUIET, lw=0.6)
                _word(axes, stands, thing.name, color=QUIET, size=6)
        for piece in sorted(pieces, key=lambda p: job.room.face(p.face).kind == "wall"):
            _piece_on_plan(axes, job, piece, scale)
        if marks is not None:
            marks(axes)
        if positions:
            _positions(axes, job)
        return done(), scale


@contextmanager
def _to_scale(
    width_m: float,
    height_m: float,
    scale: int,
    margins_in: tuple[float, float, float, float] = (0.9, 0.86, 0.2, 0.2),
) -> Iterator[tuple[Axes, Callable[[], str]]]:
    """Axes in metres at a scale, with margins for dimensions, and what turns them into SVG."""
    inner = (width_m / scale / M_PER_IN, height_m / scale / M_PER_IN)
    left, below, right, above = margins_in
    wide, high = inner[0] + left + right, inner[1] + below + above
    with drawing(wide, high) as figure:
        figure.set_layout_engine("none")
        axes = figure.add_axes((left / wide, below / high, inner[0] / wide, inner[1] / high))
        axes.set_axis_off()
        axes.set_xlim(0, width_m)
        axes.set_ylim(0, height_m)
        yield axes, lambda: svg_of(figure)


def _outline(axes: Axes, corners: Sequence[tuple[float, float]]) -> None:
    x, y = zip(*corners, corners[0], strict=True)
    axes.plot(x, y, color=INK, lw=1.6, clip_on=False, solid_joinstyle="miter")


def _box(axes: Axes, place: Rectangle, **looks: object) -> None:
    from matplotlib.patches import Rectangle as Box

    axes.add_patch(Box((place.u_m, place.v_m), place.width_m, place.height_m, **looks))  # type: ignore[arg-type]


def _surroundings(axes: Axes, job: Job, face: Face, *, bare: bool = True) -> None:
    """What is on a face; filled where nothing lies under it."""
    paper, band = ("white", BAND) if bare else ("none", "none")
    for patch in (p for p in job.patches if p.face == face.name):
        _box(axes, patch.place, facecolor=paper, edgecolor=QUIET, lw=0.9)
        if patch.opening:
            r = patch.place
            axes.plot([r.u_m, r.right_m], [r.v_m, r.top_m], color=SOFT, lw=0.6)
            axes.plot([r.u_m, r.right_m], [r.top_m, r.v_m], color=SOFT, lw=0.6)
        _word(axes, patch.place, patch.name, color=QUIET)
    for zone in (z for z in job.keep_clear if z.face == face.name):
        _box(axes, zone.zone, facecolor="none", edgecolor=QUIET, lw=0.7, ls=(0, (3, 2)))
        _box(axes, zone.place, facecolor=band, edgecolor=QUIET, lw=0.7)
        _word(axes, zone.place, zone.name, color=QUIET, size=6)


def _word(
    axes: Axes,
    place: Rectangle,
    text: str,
    color: str = INK,
    size: float = 7.5,
    ground: str = "white",
) -> None:
    axes.annotate(
        plain(text),
        place.centre,
        ha="center",
        va="center",
        color=color,
        fontsize=size,
        bbox={"facecolor": ground, "edgecolor": "none", "pad": 0.8},
    )


def plain(text: str) -> str:
    """A person's words without their meaning as formula: matplotlib reads $…$ as one."""
    return visible(text).replace("$", r"\$")


def _piece(axes: Axes, place: Rectangle, name: str, scale: int) -> None:
    _box(axes, place, facecolor=SOFT, edgecolor=INK, lw=1.2, alpha=None)
    roomy = place.width_m / scale > 0.017 and place.height_m / scale > 0.009
    if roomy:
        _word(axes, place, name, size=7.5, ground=SOFT)
    else:
        _word(axes, place, name.partition("\n")[0], size=6.5, ground=SOFT)


def _studs(axes: Axes, face: Face, stand: Framing) -> None:
    for x_m in stand.centres_m(0.0, face.width_m, face.width_m):
        axes.plot([x_m, x_m], [0, face.height_m], color=QUIET, lw=0.6, ls=(0, (6, 2, 1, 2)))


def _dimensions(axes: Axes, job: Job, face: Face, places: Sequence[Rectangle], scale: int) -> None:
    """Leader and length of every edge, along the bottom and up the left side."""
    edges_m, levels_m = [0.0, face.width_m], [0.0, face.height_m]
    for place in places:
        edges_m += [place.u_m, place.right_m]
        levels_m += [place.v_m, place.top_m]
    edges_m, levels_m = _distinct(edges_m), _distinct(levels_m)
    gap = 0.0025 * scale
    leader = [-0.6 * gap, -1.3 * gap, -2.4 * gap]
    line: dict[str, Any] = {"color": QUIET, "lw": 0.6, "clip_on": False}
    small: dict[str, Any] = {"fontsize": 6.5}
    for x_m, label_m in zip(edges_m, _spread(edges_m, LABEL_M * scale), strict=True):
        axes.plot([x_m, x_m, label_m], leader, **line)
        text = length(x_m, job)
        axes.text(label_m, -2.7 * gap, text, rotation=90, ha="center", va="top", **small)
    for y_m, label_m in zip(levels_m, _spread(levels_m, LABEL_M * scale), strict=True):
        axes.plot(leader, [y_m, y_m, label_m], **line)
        axes.text(-2.7 * gap, label_m, length(y_m, job), ha="right", va="center", **small)


def _distinct(values: Sequence[float]) -> list[float]:
    """Values more than half a millimetre apart, the smallest first."""
    distinct: list[float] = []
    for value in sorted(values):
        if not distinct or value - distinct[-1] > 0.5e-3:
            distinct.append(value)
    return distinct


def _spread(values: Sequence[float], least: float) -> list[float]:
    """Places for labels, as near to their values as the least distance allows.

    >>> [round(x, 6) for x in _spread([0.0, 0.1, 1.0], 0.2)]
    [-0.05, 0.15, 1.0]
    """
    # Neighbours that stand too close become one group about their mean, as often as groups collide.
    groups: list[tuple[float, int]] = []
    for value in values:
        groups.append((value, 1))
        while len(groups) > 1:
            (a, n), (b, m) = groups[-2], groups[-1]
            if b - (m - 1) / 2 * least - (a + (n - 1) / 2 * least) >= least - 1e-12:
                break
            groups[-2:] = [((a * n + b * m) / (n + m), n + m)]
    return [centre + (i - (n - 1) / 2) * least for centre, n in groups for i in range(n)]


def _wall_name(axes: Axes, job: Job, wall: Face, scale: int) -> None:
    middle = wall.to_room(wall.width_m / 2, 0, -0.0045 * scale)
    turned = 90 if abs(wall.u_axis[1]) > abs(wall.u_axis[0]) else 0
    label = f"{plain(wall.name)}  {length(wall.width_m, job)}"
    origin = job.room.face("floor").origin
    axes.text(
        middle.x - origin.x,
        middle.y - origin.y,
        label,
        rotation=turned,
        ha="center",
        va="center",
        fontsize=7.5,
        color=QUIET,
    )
    for patch in (p for p in job.patches if p.face == wall.name and p.opening):
        ends = [wall.to_room(u, 0) for u in (patch.place.u_m, patch.place.right_m)]
        x, y = zip(*((p.x - origin.x, p.y - origin.y) for p in ends), strict=True)
        axes.plot(x, y, color="white", lw=3.2, clip_on=False)
        axes.plot(x, y, color=QUIET, lw=1, ls=(0, (1, 1)), clip_on=False)
        inside = wall.to_room(patch.place.centre[0], 0, 0.003 * scale)
        axes.text(
            inside.x - origin.x,
            inside.y - origin.y,
            plain(patch.name),
            fontsize=6,
            color=QUIET,
            ha="center",
            va="center",
            rotation=turned,
        )


def _piece_on_plan(axes: Axes, job: Job, piece: Placement, scale: int) -> None:
    face, origin = job.room.face(piece.face), job.room.face("floor").origin
    if face.kind != "wall":
        _box(axes, piece.place, facecolor="none", edgecolor=INK, lw=0.9, ls=(0, (4, 2)))
        axes.text(*piece.place.centre, plain(piece.name), fontsize=7, ha="center", va="center")
        return
    deep = job.shop.piece(piece.piece).depth_m
    corners = [
        (piece.place.u_m, 0.0),
        (piece.place.right_m, 0.0),
        (piece.place.right_m, deep),
        (piece.place.u_m, deep),
    ]
    points = [face.to_room(u, 0, off) for u, off in corners]
    x, y = zip(*((p.x - origin.x, p.y - origin.y) for p in points), strict=True)
    axes.fill(x, y, facecolor=SOFT, edgecolor=INK, lw=0.9)
    label = face.to_room(piece.place.centre[0], 0, deep + 0.0025 * scale)
    axes.text(
        label.x - origin.x,
        label.y - origin.y,
        plain(piece.name),
        fontsize=7,
        ha="center",
        va="center",
        bbox=_CLEAR,
    )


def _positions(axes: Axes, job: Job) -> None:
    origin = job.room.face("floor").origin
    for kind, marks in (("^", job.sources), ("o", job.microphones)):
        for position in marks:
            x, y = position.point.x - origin.x, position.point.y - origin.y
            filled = kind == "^" or position.name == job.seat
            fill = INK if filled else "white"
            axes.plot([x], [y], marker=kind, color=INK, mfc=fill, ms=6, lw=0)
            axes.annotate(
                plain(position.name),
                (x, y),
                (5, 4),
                textcoords="offset points",
                fontsize=7.5,
                bbox=_CLEAR,
            )
