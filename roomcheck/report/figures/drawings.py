"""The room drawn to scale: floor plan, and every face that carries something, seen from inside.

A drawing's lengths on paper are true: at its scale, a ruler on the print gives the room's lengths.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from math import atan2
from typing import TYPE_CHECKING, Any

from roomcheck.geometry import Face, Point, Rectangle
from roomcheck.job import Framing, Job, Placement
from roomcheck.report.figures.figures import BAND, INK, QUIET, SOFT, drawing, image_in, svg_of
from roomcheck.report.figures.labels import (
    LINE,
    Box,
    Label,
    Placed,
    Spot,
    box_round,
    lines_size_mm,
    place_labels,
    spread,
)
from roomcheck.signs import visible
from roomcheck.units import M_PER_IN
from roomcheck.words import across, length, say

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from roomcheck.recommend import ReflectionChange

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
MM_PER_PT, MM_PER_IN = 25.4 / 72, 25.4

NAME_PT, SMALL_PT = 7.5, 6.5
"""Sizes of names, and of dimensions. [pt]"""

MARK_MM = 2.4
"""Width of a sign that stands for a place. [mm]"""


@dataclass(frozen=True, kw_only=True)
class OnPaper:
    """A face on paper: what is drawn in metres, and the texts that are placed when all is known."""

    figure: Figure
    axes: Axes
    scale: int
    inner_mm: Spot
    """Lower left corner of the face on the sheet [mm]."""
    sheet: Box
    labels: list[tuple[Label, str, str]] = field(default_factory=list)
    """With colour and ground."""
    taken: list[Box] = field(default_factory=list)
    """Texts and signs that stand already [mm]."""

    def spot(self, x_m: float, y_m: float) -> Spot:
        """A place of the face on paper. [mm]"""
        left, below = self.inner_mm
        return left + 1000 * x_m / self.scale, below + 1000 * y_m / self.scale

    def box(self, place: Rectangle) -> Box:
        """A rectangle of the face on paper. [mm]"""
        return Box(*self.spot(place.u_m, place.v_m), *self.spot(place.right_m, place.top_m))

    def name(
        self,
        text: str,
        home: Box,
        *,
        size_pt: float = NAME_PT,
        colour: str = INK,
        ground: str = "white",
        priority: int = 0,
        toward: Spot = (1.0, 0.0),
    ) -> None:
        """A text that belongs to a place: inside where it fits, else beside, in the direction
        `toward` where that is free, with a leader where it is not plain."""
        label = Label(
            lines=tuple(text.split("\n")),
            home=home,
            size_mm=size_pt * MM_PER_PT,
            priority=priority,
            toward_rad=atan2(toward[1], toward[0]),
        )
        self.labels.append((label, colour, ground))

    def sign(self, x_m: float, y_m: float) -> Box:
        """A sign is drawn at a place: no text covers it. [mm]"""
        box = box_round(self.spot(x_m, y_m), (MARK_MM, MARK_MM))
        self.taken.append(box)
        return box

    def fixed(
        self, middle: Spot, text: str, *, size_pt: float, colour: str = INK, upright: bool = False
    ) -> Box:
        """A text at a place that nothing moves it from; returns its box. [mm]"""
        box = text_box(middle, text, size_pt, upright=upright)
        self.taken.append(box)
        self._write(box, text, size_pt, colour, upright=upright)
        return box

    def drawn(self) -> str:
        """The sheet as SVG, its texts in their places."""
        looks = {id(label): look for label, *look in self.labels}
        placed, _ = place_labels([label for label, *_ in self.labels], self.sheet, self.taken)
        for one in placed:
            colour, ground = looks[id(one.label)]
            self._place(one, colour, ground)
        return svg_of(self.figure)

    def _place(self, placed: Placed, colour: str, ground: str) -> None:
        if placed.leader is not None:
            (x1, y1), (x2, y2) = placed.leader
            self.line([x1, x2], [y1, y2])
        box = placed.box
        if not placed.label.home.holds(box):
            ground = "white"
        size_mm = placed.label.size_mm
        step = LINE * size_mm
        for number, line in enumerate(placed.lines):
            top = box.top_mm - number * step
            row = Box(box.left_mm, top - size_mm, box.right_mm, top)
            self._write(row, line, size_mm / MM_PER_PT, colour, ground=ground)

    def _write(
        self,
        box: Box,
        text: str,
        size_pt: float,
        colour: str,
        *,
        upright: bool = False,
        ground: str = "",
    ) -> None:
        wide, high = self.sheet.width_mm, self.sheet.height_mm
        x, y = box.centre
        looks: dict[str, Any] = {"rotation": 90} if upright else {}
        if ground:
            looks["bbox"] = {"facecolor": ground, "edgecolor": "none", "pad": 0.3}
        self.figure.text(
            x / wide,
            y / high,
            plain(text),
            ha="center",
            va="center",
            fontsize=size_pt,
            color=colour,
            **looks,
        )

    def line(self, x_mm: Sequence[float], y_mm: Sequence[float]) -> None:
        """A thin line through places on the sheet. [mm]"""
        from matplotlib.lines import Line2D

        wide, high = self.sheet.width_mm, self.sheet.height_mm
        line = Line2D([x / wide for x in x_mm], [y / high for y in y_mm], color=QUIET, lw=0.6)
        self.figure.add_artist(line)


def text_box(middle: Spot, text: str, size_pt: float, *, upright: bool = False) -> Box:
    """What a text takes up round its middle. [mm]"""
    size = lines_size_mm(text.split("\n"), size_pt * MM_PER_PT)
    return box_round(middle, (size[1], size[0]) if upright else size)


Marks = Callable[[OnPaper], None]
"""Draws what only one page wants on a drawing, in metres from its lower left corner."""

LABEL_MM = 3.2
"""Least distance of two dimensions on paper. [mm]"""


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
    room_m: tuple[float, float] | None = None,
    marks: Marks | None = None,
    under: bytes = b"",
) -> tuple[str, int]:
    """One face with its pieces, openings, keep-clear zones, studs and marks, and its scale.

    Distances run from the face's left corner and from the floor (ceiling: from the corner at the
    plan's origin). `framing` is for the sheet that the installer drills by: larger, as far as its
    room on paper allows. `under` is a JPEG of the whole face, which lies under the drawing.
    """
    page_m = room_m or (SHEET_M if framing else PAGE_M)
    scale = scale_of(job, face.width_m, face.height_m, page_m)
    edges = _edges(job, face, [piece.place for piece in pieces])
    with _to_scale(face.width_m, face.height_m, scale, _margins_in(*edges)) as on:
        whole = Rectangle(0.0, 0.0, face.width_m, face.height_m)
        if under:
            _box(on.axes, whole, facecolor="white", edgecolor="none", gid=_UNDER)
        _outline(on.axes, face.outline)
        stand = job.framing_of(face.name)
        if stand is not None:
            _studs(on.axes, face, stand)
        _dimensions(on, *edges)
        _corner_names(on, job, face)
        _surroundings(on, job, face, bare=not under)
        for piece in pieces:
            _box(on.axes, piece.place, facecolor=SOFT, edgecolor=INK, lw=1.2)
            words = f"{piece.name}\n{across(piece.place, job)}"
            on.name(words, on.box(piece.place), ground=SOFT)
        if marks is not None:
            marks(on)
        return _laid_under(on.drawn(), under), scale


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


def _corner_names(on: OnPaper, job: Job, face: Face) -> None:
    """The corners that distances are measured from, by the wall that stands there; one above the
    other where the face is too narrow for both."""
    _, top = on.spot(0.0, face.height_m)
    high = top + 2.2
    before: Box | None = None
    for x_m, side, name in zip((0.0, face.width_m), (1, -1), corners_of(job, face), strict=True):
        if not name:
            continue
        text = say("corner_with", wall=name)
        x, _ = on.spot(x_m, 0.0)
        half = text_box((x, high), text, SMALL_PT).width_mm / 2
        # A name that is wider than its face stays on the sheet.
        middle = max(min(x + side * half, on.sheet.right_mm - half), on.sheet.left_mm + half)
        if before and text_box((middle, high), text, SMALL_PT).covers(before):
            high += 3.0
        before = on.fixed((middle, high), text, size_pt=SMALL_PT, colour=QUIET)


def bounces(face: Face, changes: Sequence[ReflectionChange]) -> Marks:
    """Where sound from each source bounces off a face to the seat, as marks."""

    def marks(on: OnPaper) -> None:
        for change in (c for c in changes if c.face == face.name):
            place = [change.u_m], [change.v_m]
            on.axes.plot(*place, marker="x", color=INK, ms=6, mew=1.4, clip_on=False)
            home = on.sign(change.u_m, change.v_m)
            on.name(change.source, home, size_pt=SMALL_PT, priority=-1)

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
    with _to_scale(face.width_m, face.height_m, scale, (0.34, 0.3, 0.34, 0.3)) as on:
        _outline(on.axes, face.outline)
        for wall in (f for f in job.room.faces if f.kind == "wall"):
            _wall_name(on, job, wall)
        for thing in job.furnishings:
            if thing.place is not None:
                u_m, v_m, _ = face.to_face(Point(thing.place.u_m, thing.place.v_m, 0.0))
                stands = Rectangle(u_m, v_m, thing.place.width_m, thing.place.height_m)
                _box(on.axes, stands, facecolor="none", edgecolor=QUIET, lw=0.6)
                on.name(thing.name, on.box(stands), colour=QUIET, size_pt=6, priority=1)
        for piece in sorted(pieces, key=lambda p: job.room.face(p.face).kind == "wall"):
            _piece_on_plan(on, job, piece)
        if marks is not None:
            marks(on)
        if positions:
            _positions(on, job)
        return on.drawn(), scale


@contextmanager
def _to_scale(
    width_m: float,
    height_m: float,
    scale: int,
    margins_in: tuple[float, float, float, float] = (0.9, 0.86, 0.2, 0.2),
) -> Iterator[OnPaper]:
    """A sheet for a face at a scale, with margins for dimensions."""
    inner = (width_m / scale / M_PER_IN, height_m / scale / M_PER_IN)
    left, below, right, above = margins_in
    wide, high = inner[0] + left + right, inner[1] + below + above
    with drawing(wide, high) as figure:
        figure.set_layout_engine("none")
        axes = figure.add_axes((left / wide, below / high, inner[0] / wide, inner[1] / high))
        axes.set_axis_off()
        axes.set_xlim(0, width_m)
        axes.set_ylim(0, height_m)
        yield OnPaper(
            figure=figure,
            axes=axes,
            scale=scale,
            inner_mm=(left * MM_PER_IN, below * MM_PER_IN),
            sheet=Box(0.0, 0.0, wide * MM_PER_IN, high * MM_PER_IN),
        )


def _outline(axes: Axes, corners: Sequence[tuple[float, float]]) -> None:
    x, y = zip(*corners, corners[0], strict=True)
    axes.plot(x, y, color=INK, lw=1.6, clip_on=False, solid_joinstyle="miter")


def _box(axes: Axes, place: Rectangle, **looks: object) -> None:
    from matplotlib.patches import Rectangle as Box

    axes.add_patch(Box((place.u_m, place.v_m), place.width_m, place.height_m, **looks))  # type: ignore[arg-type]


def _surroundings(on: OnPaper, job: Job, face: Face, *, bare: bool = True) -> None:
    """What is on a face; filled where nothing lies under it."""
    paper, band = ("white", BAND) if bare else ("none", "none")
    for patch in (p for p in job.patches if p.face == face.name):
        r = patch.place
        _box(on.axes, r, facecolor=paper, edgecolor=QUIET, lw=0.9)
        if patch.opening:
            on.axes.plot([r.u_m, r.right_m], [r.v_m, r.top_m], color=SOFT, lw=0.6)
            on.axes.plot([r.u_m, r.right_m], [r.top_m, r.v_m], color=SOFT, lw=0.6)
        on.name(patch.name, on.box(r), colour=QUIET, priority=1)
    for zone in (z for z in job.keep_clear if z.face == face.name):
        _box(on.axes, zone.zone, facecolor="none", edgecolor=QUIET, lw=0.7, ls=(0, (3, 2)))
        _box(on.axes, zone.place, facecolor=band, edgecolor=QUIET, lw=0.7)
        on.name(zone.name, on.box(zone.place), colour=QUIET, size_pt=6, priority=2)


def plain(text: str) -> str:
    """A person's words without their meaning as formula: matplotlib reads $…$ as one."""
    return visible(text).replace("$", r"\$")


def _studs(axes: Axes, face: Face, stand: Framing) -> None:
    for x_m in stand.centres_m(0.0, face.width_m, face.width_m):
        axes.plot([x_m, x_m], [0, face.height_m], color=QUIET, lw=0.6, ls=(0, (6, 2, 1, 2)))


Edges = Sequence[tuple[float, str]]
"""Places along a side and what is written at them. [m]"""

LEADER_MM = 6.75
"""From the edge of a face to its dimensions. [mm]"""


def _edges(job: Job, face: Face, places: Sequence[Rectangle]) -> tuple[Edges, Edges]:
    """Every edge along the bottom and up the side, with its length."""
    edges_m, levels_m = [0.0, face.width_m], [0.0, face.height_m]
    for place in places:
        edges_m += [place.u_m, place.right_m]
        levels_m += [place.v_m, place.top_m]
    across_m, up_m = _distinct(edges_m), _distinct(levels_m)
    return [(x, length(x, job)) for x in across_m], [(y, length(y, job)) for y in up_m]


def _margins_in(edges: Edges, levels: Edges) -> tuple[float, float, float, float]:
    """Left, below, right and above: what the longest dimensions take."""
    left, below = (
        (LEADER_MM + 1.5 + max(text_box((0, 0), text, SMALL_PT).width_mm for _, text in side))
        / MM_PER_IN
        for side in (levels, edges)
    )
    return left, below, 0.2, 0.26


def _dimensions(on: OnPaper, edges: Edges, levels: Edges) -> None:
    """Leader and length of every edge, along the bottom and up the left side."""
    leader = [-1.5, -3.25, -6.0]
    left, below = on.inner_mm
    for x, at, text in _spread_out(on, edges, 0, on.sheet.right_mm):
        on.line([x, x, at], [below + step for step in leader])
        wide = text_box((0, 0), text, SMALL_PT).width_mm
        on.fixed((at, below - LEADER_MM - wide / 2), text, size_pt=SMALL_PT, upright=True)
    for y, at, text in _spread_out(on, levels, 1, on.sheet.top_mm):
        on.line([left + step for step in leader], [y, y, at])
        wide = text_box((0, 0), text, SMALL_PT).width_mm
        on.fixed((left - LEADER_MM - wide / 2, at), text, size_pt=SMALL_PT)


def _spread_out(
    on: OnPaper, side: Edges, axis: int, end_mm: float
) -> Iterator[tuple[float, float, str]]:
    """Each edge on paper, and where along the side its length is written. [mm]"""
    homes = [on.spot(place, place)[axis] for place, _ in side]
    low, high = LABEL_MM / 2, end_mm - LABEL_MM / 2
    least = min(LABEL_MM, (high - low) / max(len(homes) - 1, 1))
    for home, at, (_, text) in zip(homes, spread(homes, least, low, high), side, strict=True):
        yield home, at, text


def _distinct(values: Sequence[float]) -> list[float]:
    """Values more than half a millimetre apart, the smallest first."""
    distinct: list[float] = []
    for value in sorted(values):
        if not distinct or value - distinct[-1] > 0.5e-3:
            distinct.append(value)
    return distinct


def _wall_name(on: OnPaper, job: Job, wall: Face) -> None:
    origin = job.room.face("floor").origin
    middle = wall.to_room(wall.width_m / 2, 0, -0.0045 * on.scale)
    upright = abs(wall.u_axis[1]) > abs(wall.u_axis[0])
    on.fixed(
        on.spot(middle.x - origin.x, middle.y - origin.y),
        _fitting(on, job, wall),
        size_pt=NAME_PT,
        colour=QUIET,
        upright=upright,
    )
    for patch in (p for p in job.patches if p.face == wall.name and p.opening):
        ends = [wall.to_room(u, 0) for u in (patch.place.u_m, patch.place.right_m)]
        x, y = zip(*((p.x - origin.x, p.y - origin.y) for p in ends), strict=True)
        on.axes.plot(x, y, color="white", lw=3.2, clip_on=False)
        on.axes.plot(x, y, color=QUIET, lw=1, ls=(0, (1, 1)), clip_on=False)
        inside = wall.to_room(patch.place.centre[0], 0, 0.0015 * on.scale)
        home = box_round(on.spot(inside.x - origin.x, inside.y - origin.y), (0.1, 0.1))
        on.name(patch.name, home, size_pt=6, colour=QUIET, priority=2, toward=wall.normal[:2])


def _fitting(on: OnPaper, job: Job, wall: Face) -> str:
    """A wall's name and length; where that is wider than the wall, the name alone."""
    text = f"{wall.name}  {length(wall.width_m, job)}"
    wide = text_box((0.0, 0.0), text, NAME_PT).width_mm
    return text if wide < 1000 * wall.width_m / on.scale else wall.name


def _piece_on_plan(on: OnPaper, job: Job, piece: Placement) -> None:
    face, origin = job.room.face(piece.face), job.room.face("floor").origin
    if face.kind != "wall":
        _box(on.axes, piece.place, facecolor="none", edgecolor=INK, lw=0.9, ls=(0, (4, 2)))
        on.name(piece.name, on.box(piece.place), size_pt=7)
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
    on.axes.fill(x, y, facecolor=SOFT, edgecolor=INK, lw=0.9)
    home = Box(*on.spot(min(x), min(y)), *on.spot(max(x), max(y)))
    on.name(piece.name, home, size_pt=7, toward=face.normal[:2])


def _positions(on: OnPaper, job: Job) -> None:
    origin = job.room.face("floor").origin
    for kind, marks in (("^", job.sources), ("o", job.microphones)):
        for position in marks:
            x, y = position.point.x - origin.x, position.point.y - origin.y
            filled = kind == "^" or position.name == job.seat
            fill = INK if filled else "white"
            on.axes.plot([x], [y], marker=kind, color=INK, mfc=fill, ms=6, lw=0)
            on.name(position.name, on.sign(x, y), priority=-1)
