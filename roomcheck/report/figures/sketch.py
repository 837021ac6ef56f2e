"""The room on a screen: floor plan and walls to scale, every part of them to be taken hold of.

Drawn anew at every change in a few milliseconds, so made of plain SVG; the drawings of the
documents are in `drawings`. One unit of a sketch is a millimetre; `data-scale` is 1000 everywhere.
What can be chosen is a link, so that keys and browsers without scripts reach it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from urllib.parse import quote

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, KeepClear, Patch, Placement
from roomcheck.words import length

MARGIN = 0.13
"""Room for names and sizes around a drawing, as a share of its longer side. [1]"""

TEXT = 0.042
"""Height of letters, as a share of the longer side: 12 px where a telephone is 390 px wide. [1]"""

Corners = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Mark:
    """A numbered mark on a face, in the face's frame: where a reflection comes from."""

    face: str
    u_m: float
    v_m: float
    text: str
    what: str
    """What it is, for those who cannot see it."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A drawing's own frame: x to the right, y down, millimetres."""

    width_m: float
    height_m: float
    left_m: float = 0.0
    bottom_m: float = 0.0

    @property
    def longer_m(self) -> float:
        return max(self.width_m, self.height_m)

    def x(self, x_m: float) -> float:
        return round(1000 * (x_m - self.left_m), 1)

    def y(self, y_m: float) -> float:
        return round(1000 * (self.bottom_m + self.height_m - y_m), 1)

    def points(self, corners: Corners) -> str:
        return " ".join(f"{self.x(x):g},{self.y(y):g}" for x, y in corners)

    def rectangle(self, place: Rectangle, classes: str) -> str:
        return (
            f'<rect class="{classes}" x="{self.x(place.u_m):g}" y="{self.y(place.top_m):g}" '
            f'width="{1000 * place.width_m:.1f}" height="{1000 * place.height_m:.1f}"/>'
        )

    def text(self, x_m: float, y_m: float, words: str, classes: str = "", turned: float = 0) -> str:
        x, y = self.x(x_m), self.y(y_m)
        turn = f' transform="rotate({turned:.0f} {x:g} {y:g})"' if turned else ""
        size = 1000 * TEXT * self.longer_m
        return (
            f'<text class="{classes}" x="{x:g}" y="{y:g}" font-size="{size:.0f}"{turn}>'
            f"{escape(words)}</text>"
        )

    def whole(self, name: str, body: Sequence[str], more: str = "") -> str:
        """The drawing with a margin around it."""
        classes = f"sketch {more}".strip()
        return (
            f'<svg class="{classes}" {self.box(MARGIN)} role="group" aria-label="{escape(name)}" '
            f'data-scale="1000">{"".join(body)}</svg>'
        )

    def box(self, margin: float) -> str:
        """The attribute that says what the drawing covers, with a margin as a share of its longer
        side."""
        edge = 1000 * margin * self.longer_m
        wide, high = 1000 * self.width_m + 2 * edge, 1000 * self.height_m + 2 * edge
        return f'viewBox="{-edge:.0f} {-edge:.0f} {wide:.0f} {high:.0f}"'


def plan_sketch(
    job: Job, *, chosen: str = "", link: str = "?face=", pieces: Sequence[Placement] = ()
) -> str:
    """The floor plan as SVG: walls as links to their elevation, openings, places.

    Parameters
    ----------
    chosen : str
        Name of the face that is looked at.
    link : str
        What a face's name is put behind to make its link.
    pieces : sequence of Placement
        What a plan hangs: along the walls, and on the ceiling as from below.
    """
    floor, sheet = job.room.face("floor"), _plan_sheet(job)
    body = [f'<polygon class="floor" points="{sheet.points(_outline(job))}"/>']
    body += [sheet.rectangle(patch.place, "rug") for patch in job.patches if patch.face == "floor"]
    body += [
        sheet.rectangle(Rectangle(*_on_floor(floor, zone.place)), "clear")
        for zone in job.keep_clear
        if zone.face == "floor"
    ]
    body += _furniture(sheet, job)
    for face in job.room.faces:
        if face.kind == "wall":
            body.append(_wall(sheet, job, face, face.name == chosen, link))
    body += [_from_above(sheet, job, piece) for piece in pieces]
    body += _positions(sheet, job)
    return sheet.whole("floor plan", body)


def _furniture(sheet: _Sheet, job: Job) -> list[str]:
    """What has its place on the floor, to be dragged."""
    drawn = []
    for thing in job.furnishings:
        if thing.place is not None:
            name = _label(sheet, thing.place, 0.0, thing.name)
            drawn.append(
                f'<g class="place stands" data-way="furnishing.{escape(thing.name)}" '
                f'data-x="{thing.place.u_m:.4f}" data-y="{thing.place.v_m:.4f}">'
                f"{sheet.rectangle(thing.place, 'box')}{name}</g>"
            )
    return drawn


def room_thumb(job: Job) -> str:
    """The room's outline with its openings, a few letters high, for a list of jobs."""
    sheet = _plan_sheet(job)
    body = [f'<polygon class="floor" points="{sheet.points(_outline(job))}"/>']
    for face in job.room.faces:
        if face.kind == "wall":
            body += _wall_lines(sheet, job, face)
    return f'<svg class="thumb" aria-hidden="true" {sheet.box(0.03)}>{"".join(body)}</svg>'


def wall_sketch(
    job: Job,
    face: Face,
    *,
    chosen: str = "",
    link: str = "?thing=",
    marks: Sequence[Mark] = (),
    pieces: Sequence[Placement] = (),
    piece_link: str = "",
    under: str = "",
) -> str:
    """A face as one sees it who stands in the room, with all that is on it.

    Parameters
    ----------
    chosen : str
        The thing that is looked at: "patch.window".
    marks : sequence of Mark
        Of this face or others; the others are left out.
    pieces : sequence of Placement
        What a plan hangs; those of other faces are left out.
    piece_link : str
        What a piece's name is put behind to make its link; without it pieces are no links.
    under : str
        Address of the wall's photograph, straightened, that lies under the drawing.
    """
    sheet = _Sheet(face.width_m, face.height_m)
    body = [
        f'<polygon class="face" points="{sheet.points(face.outline)}"/>',
        *_photograph(sheet, face, under),
        *_studs(sheet, job, face),
    ]
    things: tuple[Patch | KeepClear, ...] = (*job.patches, *job.keep_clear)
    for thing in things:
        if thing.face == face.name:
            body.append(_thing(sheet, way_of(thing), thing, chosen, link))
    for piece in pieces:
        if piece.face == face.name:
            body.append(_piece(sheet, piece, chosen, piece_link))
    size = 1000 * TEXT * sheet.longer_m
    for mark in marks:
        if mark.face == face.name:
            x, y = sheet.x(mark.u_m), sheet.y(mark.v_m)
            body.append(
                f'<g class="mark"><title>{escape(mark.what)}</title>'
                f'<circle cx="{x:g}" cy="{y:g}" r="{0.8 * size:.0f}"/>'
                f"{sheet.text(mark.u_m, mark.v_m - 0.35 * size / 1000, mark.text, 'middle')}</g>"
            )
    gap = 0.05 * sheet.longer_m
    wide, high = length(face.width_m, job), length(face.height_m, job)
    body.append(sheet.text(face.width_m / 2, -gap, wide, "middle size"))
    body.append(sheet.text(face.width_m + gap, face.height_m / 2, high, "middle size", 90))
    return sheet.whole(f"{face.name}, seen from inside", body, "over" if under else "")


def _photograph(sheet: _Sheet, face: Face, under: str) -> list[str]:
    """The straightened photograph to scale, cut to the face."""
    if not under:
        return []
    wide, high = 1000 * face.width_m, 1000 * face.height_m
    return [
        f'<clipPath id="the-face"><polygon points="{sheet.points(face.outline)}"/></clipPath>',
        f'<image href="{escape(under)}" x="0" y="0" width="{wide:.1f}" height="{high:.1f}" '
        'preserveAspectRatio="none" clip-path="url(#the-face)"/>',
    ]


def way_of(thing: Patch | KeepClear) -> str:
    """Where the job's file has it: "patch.window", "keep_clear.outlet"."""
    return f"{'patch' if isinstance(thing, Patch) else 'keep_clear'}.{thing.name}"


def _outline(job: Job) -> list[tuple[float, float]]:
    """The floor's corners in the room's frame. [m]"""
    floor = job.room.face("floor")
    corners = [floor.to_room(u, v) for u, v in floor.outline]
    return [(corner.x, corner.y) for corner in corners]


def _plan_sheet(job: Job) -> _Sheet:
    xs, ys = zip(*_outline(job), strict=True)
    return _Sheet(max(xs) - min(xs), max(ys) - min(ys), min(xs), min(ys))


def _on_floor(floor: Face, place: Rectangle) -> tuple[float, float, float, float]:
    corner = floor.to_room(place.u_m, place.v_m)
    return corner.x, corner.y, place.width_m, place.height_m


def _wall(sheet: _Sheet, job: Job, face: Face, chosen: bool, link: str) -> str:
    """A wall's line with its openings, name and length, as a link."""
    parts = [_along(sheet, face, 0, face.width_m, "hit"), *_wall_lines(sheet, job, face)]
    out = 0.06 * sheet.longer_m
    middle = face.to_room(face.width_m / 2, 0, -out)
    upright = abs(face.normal[0]) > abs(face.normal[1])
    words = f"{face.name} {length(face.width_m, job)}"
    parts.append(sheet.text(middle.x, middle.y, words, "middle", 90 if upright else 0))
    classes = "side chosen" if chosen else "side"
    label = escape(f"{words}: choose this wall")
    href = f"{escape(link)}{quote(face.name)}"
    return f'<a class="{classes}" href="{href}" aria-label="{label}">{"".join(parts)}</a>'


def _wall_lines(sheet: _Sheet, job: Job, face: Face) -> list[str]:
    """A wall from above, with its doors, windows and linings."""
    lines = [_along(sheet, face, 0, face.width_m, "wall")]
    for patch in job.patches:
        if patch.face == face.name:
            kind = "hole" if patch.opening else "lining"
            lines.append(_along(sheet, face, patch.place.u_m, patch.place.right_m, kind))
    return lines


def _from_above(sheet: _Sheet, job: Job, piece: Placement) -> str:
    """A piece on the floor plan: along its wall, or through the floor as it hangs overhead."""
    face, place = job.room.face(piece.face), piece.place
    if face.kind == "wall":
        return _along(sheet, face, place.u_m, place.right_m, "hung")
    ends = ((place.u_m, place.v_m), (place.right_m, place.v_m), (place.right_m, place.top_m))
    corners = [face.to_room(u, v) for u, v in (*ends, (place.u_m, place.top_m))]
    points = sheet.points([(corner.x, corner.y) for corner in corners])
    return f'<polygon class="overhead" points="{points}"/>'


def _along(sheet: _Sheet, face: Face, from_m: float, to_m: float, classes: str) -> str:
    """A line on a wall, seen from above."""
    a, b = face.to_room(from_m, 0), face.to_room(to_m, 0)
    return (
        f'<line class="{classes}" x1="{sheet.x(a.x):g}" y1="{sheet.y(a.y):g}" '
        f'x2="{sheet.x(b.x):g}" y2="{sheet.y(b.y):g}"/>'
    )


def _positions(sheet: _Sheet, job: Job) -> list[str]:
    """Loudspeaker places as triangles, microphone places as rings; the seat is filled."""
    size = 0.022 * sheet.longer_m
    drawn = []
    for kind, places in (("source", job.sources), ("microphone", job.microphones)):
        for position in places:
            x, y = position.point.x, position.point.y
            if kind == "source":
                corners = ((x - size, y - size), (x + size, y - size), (x, y + size))
                shape = f'<polygon points="{sheet.points(corners)}"/>'
            else:
                shape = f'<circle cx="{sheet.x(x):g}" cy="{sheet.y(y):g}" r="{1000 * size:.0f}"/>'
            classes = f"place {kind}" + (" seat" if position.name == job.seat else "")
            name = sheet.text(x + 1.5 * size, y + 0.4 * size, position.name)
            drawn.append(
                f'<g class="{classes}" data-way="{kind}.{escape(position.name)}" '
                f'data-x="{x:.4f}" data-y="{y:.4f}">{shape}{name}</g>'
            )
    return drawn


def _studs(sheet: _Sheet, job: Job, face: Face) -> list[str]:
    framing = job.framing_of(face.name)
    if framing is None:
        return []
    return [
        f'<line class="stud" x1="{sheet.x(u):g}" x2="{sheet.x(u):g}" '
        f'y1="{sheet.y(0):g}" y2="{sheet.y(face.height_m):g}"/>'
        for u in framing.centres_m(0.0, face.width_m, face.width_m)
    ]


def _thing(sheet: _Sheet, way: str, thing: Patch | KeepClear, chosen: str, link: str) -> str:
    """A window, an outlet, …: a link that can be dragged."""
    place, name, clearance_m = thing.place, thing.name, thing.clearance_m
    parts = []
    if clearance_m:
        parts.append(sheet.rectangle(_inside(sheet, place.grown(clearance_m)), "clear"))
    parts.append(sheet.rectangle(place, "thing"))
    parts.append(_label(sheet, place, clearance_m, name))
    classes = "part chosen" if way == chosen else "part"
    return (
        f'<a class="{classes}" href="{escape(link)}{quote(way)}" data-way="{escape(way)}" '
        f'data-u="{place.u_m:.4f}" data-v="{place.v_m:.4f}" '
        f'aria-label="{escape(name)}: choose">{"".join(parts)}</a>'
    )


def _piece(sheet: _Sheet, piece: Placement, chosen: str, link: str) -> str:
    """A piece with its name; a link that can be dragged where there is one."""
    u_m, v_m = piece.place.centre
    shape = sheet.rectangle(piece.place, "piece") + sheet.text(
        u_m, v_m - 0.3 * TEXT * sheet.longer_m, piece.name, "middle"
    )
    if not link:
        return shape
    way = f"piece.{piece.name}"
    classes = "part chosen" if way == chosen else "part"
    return (
        f'<a class="{classes}" href="{escape(link)}{quote(piece.name)}" data-way="{escape(way)}" '
        f'data-u="{piece.place.u_m:.5f}" data-v="{piece.place.v_m:.5f}" '
        f'aria-label="{escape(piece.name)}, {escape(piece.piece)}: choose">{shape}</a>'
    )


def _inside(sheet: _Sheet, place: Rectangle) -> Rectangle:
    """The part of a rectangle that lies on the face."""
    left, bottom = max(place.u_m, 0.0), max(place.v_m, 0.0)
    right, top = min(place.right_m, sheet.width_m), min(place.top_m, sheet.height_m)
    return Rectangle(left, bottom, max(right - left, 0.0), max(top - bottom, 0.0))


def _label(sheet: _Sheet, place: Rectangle, clearance_m: float, name: str) -> str:
    """A thing's name above it, below it where there is no room, never off the drawing."""
    letter_m = TEXT * sheet.longer_m
    gap = 0.3 * letter_m
    over = min(place.top_m + clearance_m, sheet.height_m) + gap
    under = max(place.v_m - clearance_m, 0.0) - gap - letter_m
    low = over if over + letter_m <= sheet.height_m + MARGIN * sheet.longer_m else under
    if place.u_m + 0.62 * letter_m * len(name) <= sheet.width_m + MARGIN * sheet.longer_m:
        return sheet.text(place.u_m, low, name)
    return sheet.text(min(place.right_m, sheet.width_m), low, name, "end")
