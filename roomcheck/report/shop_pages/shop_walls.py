"""The installer's pages: one a wall, with marks, cleats, screws, rows and what must not be hung."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face
from roomcheck.job import Job
from roomcheck.recommend import Plan
from roomcheck.report.figures.drawings import scale_text
from roomcheck.report.pages.noted import found_on
from roomcheck.report.pages.parts import room_view
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    CautionBox,
    Heading,
    NewPage,
    Picture,
    Table,
    Text,
)
from roomcheck.report.shop_figures.wall_views import (
    WIDE_MM,
    Item,
    Stretch,
    items_on,
    stretches,
    wall_drawing,
)
from roomcheck.report.shop_pages.shop_bench import hangs_turned
from roomcheck.words import (
    NONE,
    Reader,
    by,
    heading,
    row_of_pieces,
    say,
    say_to,
    sentence,
    sentences,
    shortened,
    size,
)
from roomcheck.workshop import MAY_MOVE_M, BuildSheet, FaceFixing, HangingCaution, HangingLine

_SAME_M = 5e-4

_PAGE_MM = {"letter": 279.4, "a4": 297.0}
_TITLES_MM = 9.0 + 11.0
"""Heading, the drawing's caption and space. [mm]"""
_FRAME_MM = 33.0 + 21.0 + _TITLES_MM
"""Head and foot of the page beside these. [mm]"""
_ROW_MM = 5.5
_VIEW_PT, _LOW_VIEW_PT = 220.0, 165.0
"""Height of the picture of the room; where pieces hang on walls and overhead, so that the order of
work and what is said of cleats stay on its page. [pt]"""
_LEAST_MM, _MOST_MM = 72.0, 115.0
"""What a drawing with its dimensions may be tall: a lower one is not read at arm's length, so its
tables go to the next page; a taller one leaves a page empty that is little used before it. [mm]"""
_IN_TABLES = (HangingCaution.DEFER, HangingCaution.LITTLE_PLAY, HangingCaution.MOVED)
"""Cautions that stand last, or in a column of the tables."""
_SMALL, _WIDE, _CELL = 125, 105, 36
"""Letters on a line of small text and of a caution; letters after which a cell of a table
breaks."""


def wall_pages(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Block, ...]:
    """The room with its pieces, order of work, and every face that carries a piece."""
    if not sheet.hanging:
        return ()
    on_cleats_too = any(line.cleat_m is not None for line in sheet.hanging)
    overhead = any(line.lift_points for line in sheet.hanging)
    height_pt = _LOW_VIEW_PT if on_cleats_too and overhead else _VIEW_PT
    pages: list[Block] = [
        NewPage(),
        Heading(text=say("hang")),
        room_view(job, plan.pieces, sheet.hanging, height_pt=height_pt),
        NewPage(if_needed=True),
        Heading(text=say("order"), level=2),
        Boxes(items=sentences(sheet.order, Reader(units=job.units))),
    ]
    if on_cleats_too:
        pages += on_cleats(job)
    for face in job.room.faces:
        pages += face_pages(job, face, sheet)
    return tuple(pages)


def face_pages(job: Job, face: Face, sheet: BuildSheet) -> list[Block]:
    """Every page of a face that carries a piece; nothing for one that carries none."""
    items = items_on(face, sheet.hanging, _turned_by(sheet))
    return _face_pages(job, face, items, sheet) if items else []


def bare_pages(job: Job, face: Face) -> list[Block]:
    """A wall on which nothing hangs yet: its size, studs, openings and what must stay clear."""
    pages: list[Block] = []
    for part in stretches(job, face, (), (WIDE_MM, _MOST_MM)):
        pages += _drawn(job, face, part, ())[0]
    return pages


def on_cleats(job: Job) -> list[Block]:
    """What the installer must know of cleats, their columns and their ratio."""
    return [
        Text(
            lead=say("studs_off_title"),
            body=say("studs_off", most=size(_may_move_m(job), job)),
            small=True,
        ),
        Text(
            lead=say("cleats_title"),
            body=say("cleats_say", least=f"{job.shop.practice.least_ratio:g}"),
            small=True,
        ),
        Text(
            body=say_to(Reader(units=job.units), "ratio_says"), lead=say("ratio_title"), small=True
        ),
    ]


def _turned_by(sheet: BuildSheet) -> Callable[[HangingLine], bool]:
    """Whether a piece hangs the long way across where its own drawing stands upright."""
    sheets = {piece.piece: piece for piece in sheet.sheets}

    def turned(line: HangingLine) -> bool:
        return line.piece in sheets and hangs_turned(sheets[line.piece], line)

    return turned


def _face_pages(job: Job, face: Face, items: Sequence[Item], sheet: BuildSheet) -> list[Block]:
    """One page where everything is read on it, else two; and as many drawings as it takes."""
    marks, fixing = _under(job, face, items, sheet)
    tall_mm = _room_mm(job, (*marks, *fixing))
    parts = stretches(job, face, items, (WIDE_MM, max(tall_mm, _LEAST_MM)))
    if len(parts) > 1 or tall_mm < _LEAST_MM:
        tall_mm = max(_room_mm(job, marks), _LEAST_MM)
        parts = stretches(job, face, items, (WIDE_MM, tall_mm))
    pages: list[Block] = []
    for part in parts:
        marks, fixing = _under(job, face, part.items, sheet)
        drawn, tall_mm = _drawn(job, face, part, items)
        pages += [*drawn, *_on_pages(tall_mm, [*marks, *fixing])]
    return pages


def _on_pages(tall_mm: float, under: Sequence[Block]) -> list[Block]:
    """What stands under a drawing, and in it where a page begins if they do not fit on one: so that
    the emptier of both holds as much as can be."""
    talls_mm = [_tall_mm(block) for block in under]
    begins = [at for at, block in enumerate(under) if _begins(block)]
    first_mm = _TITLES_MM + tall_mm
    at = max(begins, key=lambda i: min(first_mm + sum(talls_mm[:i]), sum(talls_mm[i:])), default=0)
    return [*under[:at], NewPage(if_needed=True), *under[at:]]


def _begins(block: Block) -> bool:
    """Whether a page may begin with a block: it has a head of its own."""
    return isinstance(block, Heading | CautionBox) or (isinstance(block, Text) and bool(block.lead))


def _room_mm(job: Job, under: Sequence[Block]) -> float:
    """What blocks under a drawing leave of its page. [mm]"""
    left = _PAGE_MM[job.paper] - _FRAME_MM - sum(_tall_mm(block) for block in under)
    return min(left, _MOST_MM)


def _title(face: Face, part: Stretch) -> str:
    if part.of == 1:
        return heading(face.name)
    return f"{heading(face.name)}: {say('sheet_of', number=part.number, all=part.of)}"


def _drawn(job: Job, face: Face, part: Stretch, items: Sequence[Item]) -> tuple[list[Block], float]:
    """A page's heading and its drawing, and how tall that is drawn. [mm]"""
    paper, unnamed = wall_drawing(job, face, part, items)
    keys = [say("cap_wall")] if face.kind == "wall" else [say("cap_overhead")]
    keys = keys if items else [say("cap_bare")]
    keys += [say("cap_framing")] if job.framing_of(face.name) is not None else []
    keys += [say("cap_unnamed", names=", ".join(unnamed))] if unnamed else []
    names = ", ".join(item.name for item in part.items)
    picture = Picture(
        svg=paper.svg(),
        alt=say("alt_wall", face=face.name, names=names or say("no_pieces")),
        caption=" ".join([*keys, scale_text(job, part.scale)]),
    )
    head = Heading(text=_title(face, part), level=2)
    return [NewPage(always=True), head, picture], paper.height_mm


def _under(
    job: Job, face: Face, items: Sequence[Item], sheet: BuildSheet
) -> tuple[list[Block], list[Block]]:
    """What is marked, with what must not be hung; and what is fixed, with its cautions."""
    reader = Reader(units=job.units)
    lines = [item.line for item in items if not item.other_half]
    halves = _other_halves(items)
    if not lines:
        return halves, []
    names = {line.name for line in lines}
    rows: list[Block] = [
        Text(body=row_of_pieces(row, reader), lead=say("rows_title"), small=True)
        for row in sheet.rows
        if row.face == face.name and names & set(row.names)
    ]
    fixing = [
        *rows,
        *_moved(lines, reader),
        *found_on(job, face.name),
        _cautions(lines, reader),
    ]
    if face.kind == "wall":
        marks = [*halves, *refusals(lines, reader), *_marks(job, lines)]
        marks += _round_corners(job, lines)
        return marks, [*_cleats(job, lines), *fixing]
    return [*halves, *refusals(lines, reader)], [*_overhead(job, lines), *fixing]


def _other_halves(items: Sequence[Item]) -> list[Block]:
    """Pieces of the next wall that reach over to this one."""
    halves = [item for item in items if item.other_half]
    if not halves:
        return []
    texts = [say("half_from", name=item.name, wall=item.line.face) for item in halves]
    return [Text(body=" ".join(texts), small=True)]


def _round_corners(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    """Where pieces across a corner begin on the other wall."""
    texts = [
        say("across_corner", name=line.name, face=line.beside, left=size(line.beside_left_m, job))
        for line in lines
        if line.beside_left_m is not None
    ]
    texts += [
        say("strips_held", name=line.name, face=strip.face, fixings=_fixed_with(job, strip))
        for line in lines
        for strip in line.strips
    ]
    return [Text(body=" ".join(texts), small=True)] if texts else []


def _moved(lines: Sequence[HangingLine], reader: Reader) -> list[Block]:
    """Pieces that hang beside where the plan drew them, and how much further they may."""
    texts = [
        say(
            "moved_already",
            name=line.name,
            side=_side(line.moved_m, reader),
            left=size(_may_move_m(reader) + line.moved_m, reader),
            right=size(_may_move_m(reader) - line.moved_m, reader),
        )
        for line in lines
        if abs(line.moved_m) > _SAME_M
    ]
    return [Text(lead=say("moved_title"), body=" ".join(texts), small=True)] if texts else []


def _may_move_m(units_of: Job | Reader) -> float:
    """What the promise lets a piece move; where millimetres are read, in whole centimetres. [m]"""
    return floor(100 * MAY_MOVE_M) / 100 if units_of.units == "metric" else MAY_MOVE_M


def _side(off_m: float, reader: Job | Reader) -> str:
    """How far to which side; centred where that is nothing."""
    if abs(off_m) < 0.0008:
        return say("on_centre")
    return say("off_right" if off_m > 0 else "off_left", size=size(abs(off_m), reader))


def _tall_mm(block: Block) -> float:
    """About how much of the page's height a block takes. [mm]"""
    match block:
        case Heading():
            return 8.0
        case Text():
            return 3.0 + 4.2 * ceil(len(block.lead + block.body) / _SMALL)
        case Table():
            return 6.0 + sum(_ROW_MM + 4.2 * (max(map(len, row)) // _CELL) for row in block.rows)
        case CautionBox():
            return 17.0 + sum(4.6 * ceil(len(item) / _WIDE) for item in block.items)
        case _:
            return 0.0


def refusals(lines: Sequence[HangingLine], reader: Reader) -> list[Block]:
    """What must not be hung as drawn, and why; pieces that have the same reason together."""
    alike: dict[str, list[str]] = {}
    for line in lines:
        if line.refused:
            alike.setdefault(" ".join(sentences(line.refused, reader)), []).append(line.name)
    if not alike:
        return []
    items = tuple(f"{shortened(names)}: {why}" for why, names in alike.items())
    return [CautionBox(title=say("refused"), items=items)]


def _marks(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = (
        "head_done",
        "head_piece",
        "head_item",
        "head_size",
        "head_left_edge",
        "head_right_edge",
        "head_top",
        "head_off_centre",
    )
    rows = []
    for line in lines:
        right = _length_or_none(job, line.right_m)
        rows.append((*_named(job, line), right, size(line.top_m, job), _off(job, line)))
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "right", "left")
    table = Table(heads=tuple(map(say, heads)), rows=tuple(rows), align=align, wide=7)
    says = say_to(Reader(units=job.units), "marks_say")
    head = say("of_face", what=say("marks"), face=lines[0].face)
    return [Heading(text=head, level=3), Text(body=says, small=True), table]


def _named(job: Job, line: HangingLine) -> tuple[str, ...]:
    """Box to tick, name, kind, size and left edge, as every table of pieces begins."""
    return (
        "☐",
        line.name,
        line.piece,
        by(line.width_m, line.height_m, job),
        size(line.left_m, job),
    )


def _off(job: Job, line: HangingLine) -> str:
    """Off the wall's middle, and off the nearest door's or window's."""

    off_centre = NONE if line.off_centre_m is None else _side(line.off_centre_m, job)
    if line.off_opening_m is None:
        return off_centre
    return f"{off_centre}; {line.opening}: {_side(line.off_opening_m, job)}"


def _cleats(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    on_cleats = [line for line in lines if line.cleat_m is not None]
    if not on_cleats:
        return []
    heads = (
        "head_done",
        "head_piece",
        "head_cleat_line",
        "head_cleat_from",
        "head_cleat_long",
        "head_hook",
        "head_slide",
        "head_studs",
        "head_screws",
        "head_depth",
        "head_ratio",
    )
    rows = tuple(_cleat(job, line) for line in on_cleats)
    title = say("of_face", what=say("cleats"), face=on_cleats[0].face)
    if job.units == "metric":
        # Said once, it leaves the studs a line.
        title = say("in_mm", what=title)
        rows = tuple(tuple(cell.replace(" mm", "") for cell in row) for row in rows)
    right: tuple[Align, ...] = ("right",) * 5
    align: tuple[Align, ...] = ("center", "left", *right, "left", "left", "right", "right")
    return [
        Heading(text=title, level=3),
        Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=7),
    ]


def _fixings(job: Job, line: HangingLine) -> str:
    """How many of which screw or anchor."""
    if line.rail is not None and not line.begins_rail:
        return say("screws_of_rail", name=line.rail.names[0])
    own = [fixed for fixed in line.all_fixings if fixed.face == line.face and fixed.count]
    return _fixed_with(job, own[0]) if own else NONE


def _fixed_with(job: Job, fixed: FaceFixing) -> str:
    if fixed.screw_m is not None:
        return f"{fixed.count} × {fixed.screw} x {size(fixed.screw_m, job)}"
    return f"{fixed.count} × {say('fixing_' + fixed.fixing)}"


def _cleat(job: Job, line: HangingLine) -> tuple[str, ...]:
    slide, into_wood, ratio = NONE, NONE, NONE
    if line.freedom_m is not None:
        slide = f"± {size(line.freedom_m, job)}"
    if line.into_wood_m is not None:
        into_wood = size(line.into_wood_m, job)
    if line.load_ratio is not None:
        ratio = f"{line.load_ratio:.1f}"
    name, left_m, long_m = line.name, line.cleat_left_m, line.cleat_length_m
    if line.rail is not None:
        name = say("name_on_rail", name=line.name, rail=line.rail.name)
        left_m, long_m = line.rail.left_m, line.rail.length_m
    return (
        "☐",
        name,
        _length_or_none(job, line.cleat_m),
        _length_or_none(job, left_m),
        _length_or_none(job, long_m),
        _length_or_none(job, line.hook_m),
        slide,
        _framing(job, line),
        _fixings(job, line),
        into_wood,
        ratio,
    )


def _length_or_none(job: Job, length_m: float | None) -> str:
    return NONE if length_m is None else size(length_m, job)


def _framing(job: Job, line: HangingLine) -> str:
    """The studs or joists behind a piece, from the face's left corner."""
    texts = [size(stud_m, job) for stud_m in line.studs_m]
    # Millimetres are said once.
    return ", ".join([*(text.removesuffix(" mm") for text in texts[:-1]), *texts[-1:]]) or NONE


def _overhead(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = (
        "head_done",
        "head_piece",
        "head_item",
        "head_size",
        "head_left_edge",
        "head_far",
        "head_joists",
    )
    rows = tuple((*_named(job, line), size(line.top_m, job), _framing(job, line)) for line in lines)
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "left")
    return [
        Text(
            lead=say("of_face", what=say("marks"), face=lines[0].face) + ".",
            body=say("hang_ceiling_says"),
            small=True,
        ),
        Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=6),
        *_lifted(job, [line for line in lines if line.lift_points]),
    ]


def _lifted(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    """Where lift points and safety wires go, and how far each piece hangs down."""
    if not lines:
        return []
    heads = ("head_done", "head_piece", "head_points", "head_wires", "head_drop", "head_bottom")
    rows = tuple(_lift_row(job, line) for line in lines)
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right")
    return [
        Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=2),
        Text(body=say("lift_says"), small=True),
    ]


def _lift_row(job: Job, line: HangingLine) -> tuple[str, ...]:
    bottom_m = None
    if line.depth_m:
        bottom_m = job.room.height_m - line.depth_m
    return (
        "☐",
        line.name,
        _points(job, line.lift_points),
        _points(job, line.tethers),
        _length_or_none(job, line.drop_m),
        _length_or_none(job, bottom_m),
    )


def _points(job: Job, points: Sequence[tuple[float, float]]) -> str:
    """Points of a ceiling, along and across the plan."""
    found = [say("point", along=size(u, job), across=size(v, job)) for u, v in points]
    return "; ".join(found)


def _cautions(lines: Sequence[HangingLine], reader: Reader) -> CautionBox:
    """Once each, with the pieces that it is for; what is deferred stands last, for all of them."""
    names_of: dict[Fact[HangingCaution], list[str]] = {}
    for line in lines:
        for caution in line.cautions:
            if caution.kind not in _IN_TABLES:
                names_of.setdefault(caution, []).append(line.name)
    items = []
    for caution, names in names_of.items():
        every = len(names) == len(lines) > 1
        whose = say("all_pieces") if every else ", ".join(names)
        items.append(f"{whose}: {sentence(caution, reader)}")
    items.append(sentence(fact(HangingCaution.DEFER), reader))
    title = say("of_face", what=say("caution"), face=lines[0].face)
    return CautionBox(title=title, items=tuple(items))
