"""A face for the one who hangs on it: as many sheets as stay readable, each to scale, with studs,
cleats, screws, dimensions, and a key to the whole face."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, places_on
from roomcheck.report.figures.drawings import SCALES, corners_of
from roomcheck.report.figures.labels import (
    SMALL_MM,
    USUAL_MM,
    Box,
    Label,
    lines_size_mm,
    place_labels,
)
from roomcheck.report.figures.paper import Fill, Paper, Pen
from roomcheck.report.shop_figures.dimensions import STEP_MM, running, running_mm
from roomcheck.units import M_PER_IN
from roomcheck.words import by, say, size
from roomcheck.workshop import HangingLine

WIDE_MM = 165.0
"""Of every sheet's drawing. [mm]"""
LEAST_TALL_MM = 45.0
"""No face is drawn less tall where it could be larger. [mm]"""
_SMALLEST = 50
"""At a smaller scale nothing is read at arm's length: the face is split."""
_SAME_M = 5e-4
_MOST_SHEETS = 60
_KEY_MM = 16.0
"""Height of the key plan. [mm]"""
_NAME_MM = 1.2
"""Free round a name within its piece. [mm]"""
_EDGE_M = 0.15
"""Shown beyond the pieces of a stretch. [m]"""
_SCREW_FIRST_M, _SCREWS_OVER_M = 5 / 8 * M_PER_IN, 1.5 * M_PER_IN
"""The lowest screw above a cleat's lower edge, and from there to the highest. [m]"""
_CORNER_MM = 5.0
"""Above a drawing, for the names of its corners. [mm]"""


@dataclass(frozen=True, slots=True)
class Item:
    """A rectangle on the face that a piece takes, and what is written on it."""

    name: str
    place: Rectangle
    texts: tuple[str, ...]
    """Name first, then what fits."""
    line: HangingLine
    other_half: bool = False
    """Of a corner piece, the half on its other wall."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """The part of a face that one sheet shows, and the pieces that are named on it."""

    number: int
    of: int
    low: tuple[float, float]
    """[m]"""
    high: tuple[float, float]
    """[m]"""
    items: tuple[Item, ...]
    scale: int


def items_on(
    face: Face, lines: Sequence[HangingLine], turned: Callable[[HangingLine], bool]
) -> tuple[Item, ...]:
    """Pieces of a face, and the halves of corner pieces that reach over from the next wall."""
    found = []
    for line in lines:
        bottom = line.top_m - line.height_m
        if line.face == face.name:
            place = Rectangle(line.left_m, bottom, line.width_m, line.height_m)
            found.append(Item(line.name, place, (line.name,), line))
        if line.beside == face.name and line.beside_left_m is not None:
            wide = face.width_m - line.beside_left_m
            place = Rectangle(line.beside_left_m, bottom, wide, line.height_m)
            text = say("other_half", name=line.name)
            found.append(Item(line.name, place, (text,), line, other_half=True))
    return tuple(_marked(item, turned) for item in found)


def _marked(item: Item, turned: Callable[[HangingLine], bool]) -> Item:
    """Say on the piece what is not seen: that it hangs turned, that it goes round the corner."""
    texts = item.texts
    if not item.other_half and turned(item.line):
        texts = (*texts, say("turned"))
    if item.line.beside and not item.other_half:
        texts = (*texts, say("round_corner", wall=item.line.beside))
    return Item(item.name, item.place, texts, item.line, item.other_half)


def stretches(
    job: Job, face: Face, items: Sequence[Item], room_mm: tuple[float, float]
) -> tuple[Stretch, ...]:
    """Split a face so that every sheet is read: as few as do, by stretches, then by rows.

    Parameters
    ----------
    room_mm : (wide, tall)
        Of a sheet's drawing with its dimensions. [mm]
    """
    counts = sorted(product(range(1, 13), range(1, 6)), key=lambda n: (n[0] * n[1], n[1]))
    last: tuple[Stretch, ...] = ()
    for along, up in counts:
        if along * up > _MOST_SHEETS:
            continue
        last = _split(job, face, items, (along, up), room_mm)
        if all(_reads(job, face, stretch, room_mm) for stretch in last):
            return last
    return last


def _split(
    job: Job,
    face: Face,
    items: Sequence[Item],
    counts: tuple[int, int],
    room_mm: tuple[float, float],
) -> tuple[Stretch, ...]:
    """Equal parts of a face; each piece belongs to the one that holds its middle."""
    wide, tall = face.width_m / counts[0], face.height_m / counts[1]
    groups: dict[tuple[int, int], list[Item]] = {}
    for item in items:
        u, v = item.place.centre
        at = min(int(u / wide), counts[0] - 1), min(int(v / tall), counts[1] - 1)
        groups.setdefault((max(at[0], 0), max(at[1], 0)), []).append(item)
    if not groups:
        groups[0, 0] = []
    order = sorted(groups, key=lambda at: (-at[1], at[0]))
    found = []
    for number, at in enumerate(order, 1):
        own = tuple(groups[at])
        low, high = _window(face, own, (at[0] * wide, at[1] * tall), (wide, tall))
        if counts == (1, 1):
            low, high = (0.0, 0.0), (face.width_m, face.height_m)
        scale = _scale(job, low, high, _inner_mm(job, face, own, room_mm))
        found.append(Stretch(number, len(order), low, high, own, scale))
    return tuple(found)


def _window(
    face: Face, items: Sequence[Item], corner: tuple[float, float], part: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float]]:
    """A part of a face, wide enough for its pieces whole, and never beyond the face. [m]"""
    places = [item.place for item in items]
    low_u = min([corner[0], *(p.u_m - _EDGE_M for p in places)])
    high_u = max([corner[0] + part[0], *(p.right_m + _EDGE_M for p in places)])
    low_v = min([corner[1], *(p.v_m - _EDGE_M for p in places)])
    high_v = max([corner[1] + part[1], *(p.top_m + _EDGE_M for p in places)])
    low = max(low_u, 0.0), max(low_v, 0.0)
    return low, (min(high_u, face.width_m), min(high_v, face.height_m))


def _scale(
    job: Job, low: tuple[float, float], high: tuple[float, float], room: tuple[float, float]
) -> int:
    """The largest usual scale at which a window fits its room. ([m], [mm])"""
    scales = SCALES[job.units]
    wide, tall = 1000 * (high[0] - low[0]), 1000 * (high[1] - low[1])
    return next((n for n in scales if wide / n <= room[0] and tall / n <= room[1]), scales[-1])


def _inner_mm(
    job: Job, face: Face, items: Sequence[Item], room_mm: tuple[float, float]
) -> tuple[float, float]:
    """What dimensions leave of a sheet's room. [mm]"""
    texts_u = [size(at, job) for at in (*_edges(job, face, items), 0.0, face.width_m)]
    texts_v = [size(at, job) for at in (*_levels(job, face, items), 0.0, face.height_m)]
    wide = room_mm[0] - running_mm(texts_v) - 4.0
    texts_s = [size(at, job) for at in _studs(job, face, items)]
    above = running_mm(texts_s) if texts_s else 0.0
    tall = room_mm[1] - running_mm(texts_u) - above - _CORNER_MM
    return wide, max(tall, 20.0)


def _edges(job: Job, face: Face, items: Sequence[Item]) -> list[float]:
    """Left and right edges of the pieces; where there is none, of openings and clear zones. [m]"""
    places = [item.place for item in items] or _around(job, face)
    return _distinct([edge for place in places for edge in (place.u_m, place.right_m)])


def _around(job: Job, face: Face) -> list[Rectangle]:
    """What an empty face is measured from: its openings and what must stay clear."""
    return list(places_on(job, face.name).values())


def _levels(job: Job, face: Face, items: Sequence[Item]) -> list[float]:
    """Tops of the pieces and lines of their cleats; where there is no cleat, their lower edges
    too; without pieces those of openings and clear zones. [m]"""
    if not items:
        around = _around(job, face)
        return _distinct([level for place in around for level in (place.v_m, place.top_m)])
    levels = []
    for item in items:
        levels.append(item.place.top_m)
        hung = item.line.cleat_m is not None and face.kind == "wall"
        levels.append(item.line.cleat_m if hung else item.place.v_m)  # type: ignore[arg-type]
    return _distinct(levels)


def _distinct(values: Sequence[float]) -> list[float]:
    """Values more than half a millimetre apart, the smallest first."""
    distinct: list[float] = []
    for value in sorted(values):
        if not distinct or value - distinct[-1] > _SAME_M:
            distinct.append(value)
    return distinct


def _reads(job: Job, face: Face, stretch: Stretch, room_mm: tuple[float, float]) -> bool:
    """Whether a sheet is read: a scale that is large enough, room for every dimension, every name
    within its piece."""
    room = _inner_mm(job, face, stretch.items, room_mm)
    wide = 1000 * (stretch.high[0] - stretch.low[0]) / stretch.scale
    tall = 1000 * (stretch.high[1] - stretch.low[1]) / stretch.scale
    if stretch.scale > _SMALLEST or wide > room[0] + 0.1 or tall > room[1] + 0.1:
        return False
    edges = [*_edges(job, face, stretch.items), 0.0, 0.0]
    levels = [*_levels(job, face, stretch.items), 0.0, 0.0]
    studs = _studs(job, face, stretch.items)
    if max(len(edges), len(studs)) * STEP_MM > wide or len(levels) * STEP_MM > tall:
        return False
    return all(_named_within(item, stretch.scale) for item in stretch.items)


def _named_within(item: Item, scale: int) -> bool:
    if item.other_half:
        return True
    wide, tall = lines_size_mm(item.texts[:1], USUAL_MM, bold=True)
    fits = 1000 * item.place.width_m / scale >= wide + _NAME_MM
    return fits and 1000 * item.place.height_m / scale >= tall + _NAME_MM


def _studs(job: Job, face: Face, items: Sequence[Item]) -> list[float]:
    """Studs that cleats are screwed to; where nothing hangs, all of them. [m]"""
    framing = job.framing_of(face.name)
    if not items and framing is not None and framing.spacing_m is not None:
        return _distinct(framing.centres_m(0.0, face.width_m, face.width_m))
    return _distinct([stud for item in items if not item.other_half for stud in item.line.studs_m])


def _studs_shown(job: Job, face: Face, stretch: Stretch) -> list[float]:
    return [stud for stud in _studs(job, face, stretch.items) if _inside(stud, stretch, 0)]


@dataclass(frozen=True, slots=True)
class _Wall:
    """A stretch on its paper."""

    job: Job
    face: Face
    stretch: Stretch
    paper: Paper
    left_mm: float
    bottom_mm: float

    def x(self, u_m: float) -> float:
        return self.left_mm + 1000 * (u_m - self.stretch.low[0]) / self.stretch.scale

    def y(self, v_m: float) -> float:
        return self.bottom_mm + 1000 * (v_m - self.stretch.low[1]) / self.stretch.scale

    @property
    def whole(self) -> Box:
        low, high = self.stretch.low, self.stretch.high
        return Box(self.x(low[0]), self.y(low[1]), self.x(high[0]), self.y(high[1]))

    def box(self, place: Rectangle) -> Box | None:
        """A rectangle's part on this sheet."""
        whole = self.whole
        left, right = (
            max(self.x(place.u_m), whole.left_mm),
            min(self.x(place.right_m), whole.right_mm),
        )
        bottom, top = (
            max(self.y(place.v_m), whole.bottom_mm),
            min(self.y(place.top_m), whole.top_mm),
        )
        if right - left < 0.05 or top - bottom < 0.05:
            return None
        return Box(left, bottom, right, top)


def wall_drawing(
    job: Job, face: Face, stretch: Stretch, others: Sequence[Item] = ()
) -> tuple[Paper, tuple[str, ...]]:
    """One sheet of a face.

    Parameters
    ----------
    others : sequence of Item
        All pieces of the face: those of other sheets are outlined without a name.

    Returns
    -------
    Paper
        The drawing.
    tuple of str
        Names of openings and clear zones that found no room on it.
    """
    texts_v = [size(at, job) for at in _levels_shown(job, face, stretch)]
    texts_u = [size(at, job) for at in _edges_shown(job, face, stretch)]
    left, below = running_mm(texts_v), running_mm(texts_u)
    above = _above_mm(job, face, stretch) + _CORNER_MM
    key = _KEY_MM + 3.0 if stretch.of > 1 else 0.0
    tall = 1000 * (stretch.high[1] - stretch.low[1]) / stretch.scale
    paper = Paper(WIDE_MM, below + tall + above + key)
    wall = _Wall(job, face, stretch, paper, left, below)
    _outline(wall)
    _framing(wall)
    labels = _surroundings(wall)
    labels += _pieces(wall, others)
    _dimensions(wall)
    _corner_names(wall)
    if stretch.of > 1:
        _key(wall, others)
    return paper, _names(wall, labels)


def _edges_shown(job: Job, face: Face, stretch: Stretch) -> list[float]:
    """Stops along the bottom: edges of pieces, and the face's ends where they are on the sheet.
    [m]"""
    ends = [end for end in (0.0, face.width_m) if _inside(end, stretch, 0)]
    edges = [at for at in _edges(job, face, stretch.items) if _inside(at, stretch, 0)]
    return _distinct([*edges, *ends])


def _levels_shown(job: Job, face: Face, stretch: Stretch) -> list[float]:
    ends = [end for end in (0.0, face.height_m) if _inside(end, stretch, 1)]
    levels = [at for at in _levels(job, face, stretch.items) if _inside(at, stretch, 1)]
    return _distinct([*levels, *ends])


def _inside(value: float, stretch: Stretch, axis: int) -> bool:
    return stretch.low[axis] - _SAME_M <= value <= stretch.high[axis] + _SAME_M


def _outline(wall: _Wall) -> None:
    """The face's own edges heavy; where a sheet ends within the face, a dashed line."""
    stretch, face, box = wall.stretch, wall.face, wall.whole
    ends = (
        (stretch.low[0] < _SAME_M, (box.left_mm, box.bottom_mm), (box.left_mm, box.top_mm)),
        (
            stretch.high[0] > face.width_m - _SAME_M,
            (box.right_mm, box.bottom_mm),
            (box.right_mm, box.top_mm),
        ),
        (stretch.low[1] < _SAME_M, (box.left_mm, box.bottom_mm), (box.right_mm, box.bottom_mm)),
        (
            stretch.high[1] > face.height_m - _SAME_M,
            (box.left_mm, box.top_mm),
            (box.right_mm, box.top_mm),
        ),
    )
    for own, a, b in ends:
        wall.paper.line(a, b, pen=Pen.HEAVY if own else Pen.HIDDEN)
    # Where the face is no rectangle, its true outline stands within the frame.
    inner = [(u, v) for u, v in face.outline]
    if len(inner) != 4 and stretch.of == 1:
        wall.paper.outline([(wall.x(u), wall.y(v)) for u, v in inner], pen=Pen.HEAVY)


def _framing(wall: _Wall) -> None:
    """Studs or joists across the whole sheet."""
    framing = wall.job.framing_of(wall.face.name)
    if framing is None:
        return
    low, high = wall.stretch.low, wall.stretch.high
    box = wall.whole
    for u in framing.centres_m(low[0], high[0], wall.face.width_m):
        wall.paper.line(
            (wall.x(u), box.bottom_mm), (wall.x(u), box.top_mm), pen=Pen.CENTRE, layer="FRAMING"
        )


def _surroundings(wall: _Wall) -> list[Label]:
    """Openings and zones to keep clear, and what they are called."""
    labels = []
    job, paper = wall.job, wall.paper
    for zone in (z for z in job.keep_clear if z.face == wall.face.name):
        clear, box = wall.box(zone.zone), wall.box(zone.place)
        if clear is not None:
            paper.box(clear, pen=Pen.HIDDEN, layer="KEEP-CLEAR")
        if box is not None:
            paper.box(box, pen=Pen.THIN, fill=Fill.PALE, layer="KEEP-CLEAR")
            labels.append(Label(lines=(zone.name,), home=box, size_mm=2.0, priority=2))
    for patch in (p for p in job.patches if p.face == wall.face.name):
        box = wall.box(patch.place)
        if box is None:
            continue
        paper.box(box, pen=Pen.THIN, fill=Fill.WHITE, layer="OPENINGS")
        if patch.opening:
            ends = (box.left_mm, box.bottom_mm), (box.right_mm, box.top_mm)
            paper.line(*ends, pen=Pen.THIN, layer="OPENINGS")
            ends = (box.left_mm, box.top_mm), (box.right_mm, box.bottom_mm)
            paper.line(*ends, pen=Pen.THIN, layer="OPENINGS")
        labels.append(Label(lines=(patch.name,), home=box, size_mm=SMALL_MM, priority=1))
    return labels


def _pieces(wall: _Wall, others: Sequence[Item]) -> list[Label]:
    """Pieces of this sheet grey with cleat and screws; those of other sheets as outlines. Return
    what their rails are called."""
    own = {(item.name, item.other_half) for item in wall.stretch.items}
    for item in others:
        box = wall.box(item.place)
        if box is not None and (item.name, item.other_half) not in own:
            wall.paper.box(box, pen=Pen.HIDDEN, fill=Fill.WHITE, layer="PIECES")
    for item in wall.stretch.items:
        box = wall.box(item.place)
        if box is not None:
            fill = Fill.HATCHED if item.other_half else Fill.PALE
            wall.paper.box(box, fill=fill, layer="PIECES")
    for item in wall.stretch.items:
        if not item.other_half:
            _hung(wall, item.line)
    return _rail_names(wall)


def _rail_names(wall: _Wall) -> list[Label]:
    """What the rails of this sheet are called, each once."""
    wide = wall.job.shop.practice.cleat_width_m
    labels = []
    for rail in dict.fromkeys(item.line.rail for item in wall.stretch.items):
        box = None
        if rail is not None:
            box = wall.box(Rectangle(rail.left_m, rail.at_m, rail.length_m, wide))
        if rail is not None and box is not None:
            labels.append(Label(lines=(rail.name,), home=box, size_mm=SMALL_MM, priority=1))
    return labels


def _hung(wall: _Wall, line: HangingLine) -> None:
    """The wall cleat with its screws; overhead the lift points and the safety wires."""
    paper, practice = wall.paper, wall.job.shop.practice
    left_m, long_m = _wall_cleat(line)
    if line.cleat_m is not None and left_m is not None:
        box = wall.box(Rectangle(left_m, line.cleat_m, long_m, practice.cleat_width_m))
        if box is not None:
            paper.box(box, pen=Pen.THIN, fill=Fill.WHITE, layer="PIECES")
        for stud, number in product(line.studs_m, range(line.per_stud or 0)):
            share = number / max((line.per_stud or 1) - 1, 1)
            up_m = _SCREW_FIRST_M + share * _SCREWS_OVER_M
            spot = wall.x(stud), wall.y(line.cleat_m + up_m)
            paper.dot(spot, 0.35, fill=Fill.GREY, pen=Pen.THIN, layer="PIECES")
    for u, v in line.lift_points:
        paper.dot((wall.x(u), wall.y(v)), 0.6, fill=Fill.WHITE, layer="PIECES")
    for u, v in line.tethers:
        x, y = wall.x(u), wall.y(v)
        paper.line((x - 0.6, y - 0.6), (x + 0.6, y + 0.6), layer="PIECES")
        paper.line((x - 0.6, y + 0.6), (x + 0.6, y - 0.6), layer="PIECES")


def _wall_cleat(line: HangingLine) -> tuple[float | None, float]:
    """Left end and length of what a piece hangs on: its own cleat, or the rail. [m]"""
    if line.rail is not None:
        return line.rail.left_m, line.rail.length_m
    return line.cleat_left_m, line.cleat_length_m or 0.0


def _dimensions(wall: _Wall) -> None:
    """Edges along the bottom, cleat lines and tops up the left side, studs along the top."""
    job, box, paper = wall.job, wall.whole, wall.paper
    edges = _edges_shown(wall.job, wall.face, wall.stretch)
    levels = _levels_shown(wall.job, wall.face, wall.stretch)
    studs = _studs_shown(wall.job, wall.face, wall.stretch)
    wide = (box.left_mm - 2.0, WIDE_MM - 2.0)
    # Texts may stand a little beyond the drawing where it is short.
    running(
        paper,
        [(wall.x(at), size(at, job)) for at in edges],
        box.bottom_mm,
        side="below",
        within_mm=wide,
    )
    running(
        paper,
        [(wall.y(at), size(at, job)) for at in levels],
        box.left_mm,
        side="left",
        within_mm=(box.bottom_mm - 1.5, box.top_mm + 1.5),
    )
    running(
        paper,
        [(wall.x(at), size(at, job)) for at in studs],
        box.top_mm,
        side="above",
        within_mm=wide,
    )


def _corner_names(wall: _Wall) -> None:
    """The corners that distances run from, above the studs' texts."""
    paper, box = wall.paper, wall.whole
    top = box.top_mm + _above_mm(wall.job, wall.face, wall.stretch)
    left, right = corners_of(wall.job, wall.face)
    texts = []
    if left and wall.stretch.low[0] < _SAME_M:
        texts.append((box.left_mm, "left", say("corner_with", wall=left)))
    if right and wall.stretch.high[0] > wall.face.width_m - _SAME_M:
        texts.append((box.right_mm, "right", say("corner_with", wall=right)))
    widths = [lines_size_mm([text], SMALL_MM)[0] for _, _, text in texts]
    level = top + 0.6
    if sum(widths) > box.width_mm - 3.0 and len(texts) == 2:
        # A short wall: the right one stands to the right of its edge.
        texts[1] = (max(box.right_mm, box.left_mm + widths[0] + 3.0), "left", texts[1][2])
    for x, across, text in texts:
        if across == "left":
            start = min(x, WIDE_MM - lines_size_mm([text], SMALL_MM)[0])
            paper.text((start, level), text, across="left", up="bottom", quiet=True)
        else:
            paper.text((x, level), text, across="right", up="bottom", quiet=True)


def _above_mm(job: Job, face: Face, stretch: Stretch) -> float:
    """What the studs' texts take above a drawing. [mm]"""
    studs = _studs_shown(job, face, stretch)
    return running_mm([size(at, job) for at in studs]) if studs else 0.0


def _names(wall: _Wall, labels: Sequence[Label]) -> tuple[str, ...]:
    """Write the names of pieces, openings and zones; those without room are returned."""
    own = []
    for item in wall.stretch.items:
        box = wall.box(item.place)
        if box is None:
            continue
        lines = item.texts
        if not item.other_half:
            lines = (item.texts[0], by(item.place.width_m, item.place.height_m, wall.job))
            lines = (*lines, *item.texts[1:])
        own.append(Label(lines=lines, home=_clear_of_cleat(wall, item, box), bold=False))
    taken = [written.box for written in wall.paper.written]
    placed, left_out = place_labels([*own, *labels], wall.whole.grown(2.0), taken)
    for each in placed:
        ground = Fill.PALE if each.label.priority == 0 and each.leader is None else Fill.WHITE
        wall.paper.label(each, ground=ground)
    return tuple(label.lines[0] for label in left_out)


def _clear_of_cleat(wall: _Wall, item: Item, box: Box) -> Box:
    """The part of a piece below its cleat, where a name fits there."""
    line = item.line
    if line.cleat_m is None or item.other_half:
        return box
    top = min(wall.y(line.cleat_m) - 0.3, box.top_mm)
    if top - box.bottom_mm < USUAL_MM + _NAME_MM:
        return box
    return Box(box.left_mm, box.bottom_mm, box.right_mm, top)


def _key(wall: _Wall, items: Sequence[Item]) -> None:
    """The whole face small, with this sheet's part framed."""
    face, paper = wall.face, wall.paper
    mm = min(_KEY_MM / face.height_m, 60.0 / face.width_m)
    left, bottom = WIDE_MM - face.width_m * mm - 1.0, paper.height_mm - _KEY_MM - 0.5

    def at(place: Rectangle) -> Box:
        return Box(
            left + place.u_m * mm,
            bottom + place.v_m * mm,
            left + place.right_m * mm,
            bottom + place.top_m * mm,
        )

    paper.box(at(Rectangle(0.0, 0.0, face.width_m, face.height_m)), pen=Pen.EDGE)
    own = {item.name for item in wall.stretch.items}
    for item in items:
        fill = Fill.GREY if item.name in own else Fill.WHITE
        paper.box(at(item.place), pen=Pen.THIN, fill=fill)
    low, high = wall.stretch.low, wall.stretch.high
    frame = at(Rectangle(low[0], low[1], high[0] - low[0], high[1] - low[1]))
    paper.box(frame, pen=Pen.HIDDEN)
    text = say("sheet_of", number=wall.stretch.number, all=wall.stretch.of)
    paper.text((left - 2.0, bottom + _KEY_MM / 2), text, across="right", size_mm=USUAL_MM)
