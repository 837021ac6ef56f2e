"""Parts and steps of one kind of piece, from its sizes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import ceil
from typing import Any

from roomcheck.facts import Fact, fact
from roomcheck.job import Job, PieceKind, ShopMaterial, ShopPractice, StockPiece, UsedFor
from roomcheck.workshop.kinds import Caution, Note, Part, Step
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.parts.block_parts import block_parts
from roomcheck.workshop.parts.box_parts import membrane_parts, perforated_parts, slatted_parts
from roomcheck.workshop.parts.materials_list import boards_of, core_grid, core_parts, refuse_unknown
from roomcheck.workshop.parts.order import in_order
from roomcheck.workshop.parts.stack_parts import stack_parts
from roomcheck.workshop.parts.weights import parts_kg
from roomcheck.workshop.parts.well_parts import well_parts
from roomcheck.workshop.parts.work import operations
from roomcheck.workshop.patterns.layout import outside_m
from roomcheck.workshop.results import Cut, HangingLine, PieceSheet

_HEAVIER, _LIGHTER = 1.2, 0.6
"""Parts that weigh so many times what the shop's file says ask for the scales: heavier is
dangerous, sooner told."""
_CORE_OFF_M = 0.005
"""A thickness off by less is no matter."""
_STOP = (1, 25)
"""Width of the strips that hold a core at the front. ([in], [mm])"""
_GUSSET = (8, 200)
"""Sides of the square that two gussets are cut from. ([in], [mm])"""


def built(
    job: Job, piece: StockPiece, lines: tuple[HangingLine, ...], practice: ShopPractice
) -> PieceSheet:
    """Draft the sheet for all pieces of one kind."""
    refuse_unknown(job.shop, piece)
    bench = Bench(job, piece, lines, practice)
    particulars = _draft(bench)
    _as_always(bench)
    if bench.joined:
        bench.caution(Caution.JOINED, parts=tuple(dict.fromkeys(bench.joined)))
    outside_width_m, outside_height_m = outside_m(piece, practice)
    hours = bench.count * piece.build_hours
    sheet = PieceSheet(
        piece=piece.name,
        names=tuple(line.name for line in lines),
        cuts=_longest_first(bench.cuts),
        steps=in_order(bench.steps),
        cautions=(),
        weight_kg=piece.weight_kg,
        hours=hours,
        operations=operations(piece.kind, hours, practice),
        outside_width_m=outside_width_m,
        outside_height_m=outside_height_m,
    )
    sheet = replace(sheet, **particulars)
    stick_m = practice.stick_m or piece.cell_m
    made_kg = parts_kg(bench.cuts, sheet.blocks, stick_m, practice, bench.count)
    if made_kg > 0 and not _LIGHTER * piece.weight_kg <= made_kg <= _HEAVIER * piece.weight_kg:
        bench.caution(Caution.WEIGH_ONE, made_kg=made_kg, file_kg=piece.weight_kg)
    return replace(
        sheet,
        solids=tuple(bench.solids),
        finish_l=bench.finish_l,
        made_kg=made_kg if made_kg > 0 else None,
        cautions=_once_each(bench.cautions),
    )


def _as_always(bench: Bench) -> None:
    """What holds for every frame and every batch, whatever the piece."""
    kinds = {step.kind for step in bench.steps}
    if Step.FRAME in kinds:
        if Step.ACCLIMATISE not in kinds:
            bench.step(Step.ACCLIMATISE)
        bench.step(Step.CHOOSE_WOOD, bow_m=bench.nice_m(1 / 8, 3), knot_m=bench.nice_m(2, 50))
        bench.step(Step.CLAMP)
    if Step.FINISH in kinds:
        bench.step(Step.FINISH_FIRST)
    if bench.count > 1:
        bench.step(Step.BATCH, pieces=bench.count)


def frame_depth_m(job: Job, piece: StockPiece, practice: ShopPractice) -> float:
    """Depth of a piece's frame: its board's width. [m]"""
    return Bench(job, piece, (), practice).board.wide_m


def rail_m(job: Job, piece: StockPiece, practice: ShopPractice) -> float:
    """Longest rail that the shop's stock gives for a kind of piece. [m]"""
    return Bench(job, piece, (), practice).longest_rail_m


def _longest_first(cuts: Sequence[Cut]) -> tuple[Cut, ...]:
    return tuple(sorted(cuts, key=lambda cut: (-cut.length_m, -cut.width_m, cut.part)))


def _once_each(cautions: Sequence[Fact[Caution]]) -> tuple[Fact[Caution], ...]:
    return tuple(dict.fromkeys(cautions))


def _draft(bench: Bench) -> dict[str, Any]:
    """Fill the bench; return what the sheet shows beside cuts, steps and cautions."""
    by_kind: dict[PieceKind, Callable[[Bench], dict[str, Any]]] = {
        "block diffuser": block_parts,
        "well diffuser": well_parts,
        "slatted box": slatted_parts,
        "perforated box": perforated_parts,
        "membrane trap": membrane_parts,
        "corner stack": stack_parts,
        "felt": _felt,
    }
    return by_kind.get(bench.piece.kind, _wrapped)(bench)


def _felt(bench: Bench) -> dict[str, Any]:
    piece = bench.piece
    stock = bench.stock(ShopMaterial.FELT)
    bench.cut(Part.FELT_TILE, stock, 1, (piece.width_m, piece.height_m))
    bench.at(Part.FELT_TILE, (0.0, 0.0, 0.0), (piece.width_m, piece.height_m, piece.depth_m))
    bench.step(Step.CUT_FELT)
    bench.caution(Caution.FIRE)
    return {}


def _wrapped(bench: Bench) -> dict[str, Any]:
    """Panels, clouds and corner traps: a frame on edge, a core trimmed to sit in it, fabric round
    both."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    outside_w, outside_h = outside_m(piece, practice)
    inside_w, inside_h = outside_w - 2 * board.thick_m, outside_h - 2 * board.thick_m
    gap = practice.clearance_m
    bench.frame(inside_w - 2 * gap, inside_h - 2 * gap, gap)
    rails = _cross_rails(bench, inside_w, inside_h) if piece.kind == "cloud" else 0
    _core(bench, inside_w, inside_h, rails)
    cloth = bench.stock(ShopMaterial.FABRIC, UsedFor.BACK)
    bench.cut(Part.BACKING_CLOTH, cloth, 1, (outside_w, outside_h), fact(Note.OPEN_WEAVE))
    bench.fabric(outside_w, outside_h, board.wide_m)
    for step in (Step.BLOW_THROUGH, Step.LAY_CORE):
        bench.step(step)
    bench.step(Step.STRETCH_FABRIC, staples_m=bench.nice_m(2, 50))
    for caution in (Caution.SAW, Caution.DUST, Caution.WOOL, Caution.FIRE):
        bench.caution(caution)
    if piece.kind == "cloud":
        _cloud(bench, outside_w, outside_h)
    elif piece.kind == "corner":
        _corner(bench)
    else:
        _spacers(bench)
        bench.cleats()
        bench.cleat_in_place(outside_w, outside_h, min(_behind_core_m(bench) - practice.cleat_m, 0))
        _core_stops(bench, inside_w, inside_h)
        _behind(bench)
    bench.step(Step.STAPLE_BACKING)
    return {}


def _core(bench: Bench, inside_w: float, inside_h: float, rails: int) -> None:
    """The core, flush with the frame's front; between cross rails, where there are any, in bays
    across the longer side."""
    piece, gap = bench.piece, bench.practice.clearance_m
    if piece.core is None:
        return
    stock, board = bench.core_board(piece.core.thickness_m)
    layers = max(round(piece.core.thickness_m / board[2]), 1)
    note = fact(Note.LAYERS, layers=layers) if layers > 1 else fact(Note.KNIFE)
    thick, level = bench.board.thick_m, inside_w > inside_h
    bay_m = (max(inside_w, inside_h) - rails * thick) / (rails + 1)
    bay = (bay_m, inside_h) if level else (inside_w, bay_m)
    area = (bay[0] - 2 * gap, bay[1] - 2 * gap)
    sheets = layers * bench.count * (rails + 1)
    for count, size in core_parts(area, board, sheets):
        bench.cut(Part.CORE, stock, layers * count * (rails + 1), size, note)
    columns, rows = core_grid(area, board, sheets)
    for number in range(rails + 1):
        along = thick + gap + number * (bay_m + thick)
        corner = (along, thick + gap) if level else (thick + gap, along)
        _layers(bench, Part.CORE, corner, (columns, rows), (layers, board[2]))
    made_m = layers * board[2]
    if abs(made_m - piece.core.thickness_m) > _CORE_OFF_M:
        bench.caution(
            Caution.CORE_THICKNESS,
            core_m=piece.core.thickness_m,
            board_m=board[2],
            made_m=made_m,
        )


def _layers(
    bench: Bench,
    part: Part,
    corner: tuple[float, float],
    grid: tuple[tuple[float, ...], tuple[float, ...]],
    layers: tuple[int, float],
) -> None:
    """Parts of a core in their places, the front one flush with the frame's front. [m]"""
    count, thick = layers
    front_m = bench.board.wide_m
    for layer in range(count):
        x = corner[0]
        for wide in grid[0]:
            y = corner[1]
            for high in grid[1]:
                bench.at(part, (x, y, front_m - (layer + 1) * thick), (wide, high, thick))
                y += high
            x += wide


def _behind_core_m(bench: Bench) -> float:
    """Depth of the frame behind its core; below 0 where the core is deeper. [m]"""
    core = bench.piece.core
    return bench.board.wide_m - (core.thickness_m if core else 0.0)


def _core_stops(bench: Bench, inside_w: float, inside_h: float) -> None:
    """Strips across the frame that hold the core at the front where it could slip back."""
    thick = bench.practice.cleat_m
    if bench.piece.core is None or _behind_core_m(bench) < 2 * thick - 1e-6:
        return
    plywood, stop = bench.plywood(thick), bench.nice_m(*_STOP)
    across = min(inside_w, inside_h)
    bench.cut_joined(Part.CORE_STOP, plywood, 2 * bench.count, (across, stop))
    bench.step(Step.CORE_STOPS, behind_m=bench.piece.core.thickness_m)
    upright = inside_w > inside_h
    frame, z = bench.board.thick_m, _behind_core_m(bench) - thick
    for share in (1 / 3, 2 / 3):
        along = frame + share * max(inside_w, inside_h) - stop / 2
        if upright:
            bench.at(Part.CORE_STOP, (along, frame, z), (stop, across, thick))
        else:
            bench.at(Part.CORE_STOP, (frame, along, z), (across, stop, thick))


def _behind(bench: Bench) -> None:
    """Whether core and cleat both find room in the frame's depth."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    if piece.core is None:
        return
    stack_m = piece.core.thickness_m + practice.cleat_m
    frame_m = board.wide_m
    if stack_m > frame_m + 1e-6:
        bench.step(
            Step.NOTCH_CORE,
            core_m=piece.core.thickness_m,
            cleat_m=practice.cleat_m,
            stack_m=stack_m,
            frame_m=frame_m,
            off_wall_m=stack_m - frame_m,
        )


def _spacers(bench: Bench) -> None:
    """What holds a frame off the wall where the piece is deeper than any board of the shop."""
    piece, boards = bench.piece, boards_of(bench.job.shop, bench.piece)
    behind_m = piece.depth_m - bench.board.wide_m
    if behind_m < _CORE_OFF_M:
        return
    stock = boards[1] if len(boards) > 1 else bench.board
    size = (piece.width_m - 2 * bench.board.thick_m, stock.wide_m)
    bench.cut_joined(Part.SPACER, stock.stock, 4 * bench.count, size, fact(Note.BEHIND_FRAME))
    bench.caution(Caution.STANDS_OFF, behind_m=behind_m)


def _cross_rails(bench: Bench, inside_w: float, inside_h: float) -> int:
    """Rails the short way, so that no bay of the core is wider than a core board; how many."""
    board, gap = bench.board, bench.practice.clearance_m
    widest = bench.core_board(bench.piece.depth_m)[1][0] + 2 * gap
    long, across = max(inside_w, inside_h), min(inside_w, inside_h)
    rails = max(ceil((long + board.thick_m) / (widest + board.thick_m) - 1e-6) - 1, 1)
    size = (across, board.wide_m)
    bench.cut_joined(Part.CROSS_RAIL, board.stock, rails * bench.count, size, fact(Note.RAIL))
    bay_m = (long - rails * board.thick_m) / (rails + 1)
    for number in range(rails):
        along = board.thick_m + bay_m + number * (bay_m + board.thick_m)
        if inside_w > inside_h:
            at, solid = (along, board.thick_m, 0.0), (board.thick_m, across, board.wide_m)
        else:
            at, solid = (board.thick_m, along, 0.0), (across, board.thick_m, board.wide_m)
        bench.at(Part.CROSS_RAIL, at, solid)
    return rails


def _cloud(bench: Bench, outside_w: float, outside_h: float) -> None:
    plywood, thick = bench.plywood(bench.practice.fin_m), bench.practice.fin_m
    side = bench.nice_m(*_GUSSET)
    bench.cut(Part.GUSSET, plywood, 2, (side, side), fact(Note.CORNER_TO_CORNER))
    for x in (0.0, outside_w - side):
        for y in (0.0, outside_h - side):
            bench.at(Part.GUSSET, (x, y, -thick), (side, side, thick))
    bench.step(Step.LIFT_POINTS)
    bench.caution(Caution.LIFT)
    bench.caution(Caution.OVERHEAD)


def _corner(bench: Bench) -> None:
    """A panel that straddles a corner: as far out on each wall as its width allows."""
    piece, frame_m = bench.piece, bench.board.wide_m
    leg_m, deep_m = straddle_m(piece.width_m)
    strip = (piece.height_m - bench.nice_m(4, 100), bench.strip_m)
    plywood = bench.plywood(bench.practice.cleat_m)
    bench.cut_joined(Part.WALL_STRIP, plywood, 2 * bench.count, strip, fact(Note.ONE_EDGE_BEVELLED))
    bench.step(
        Step.STRADDLE,
        leg_m=leg_m,
        reach_m=leg_m + frame_m / 2**0.5,
        deep_m=deep_m + frame_m,
        back_m=deep_m,
    )


def straddle_m(face_m: float) -> tuple[float, float]:
    """A flat face across a square corner: how far out it reaches on each wall, and how deep its
    middle is. [m]

    >>> tuple(round(side, 1) for side in straddle_m(24))
    (17.0, 12.0)
    """
    return face_m / 2**0.5, face_m / 2
