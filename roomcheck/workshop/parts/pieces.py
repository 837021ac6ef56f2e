"""Parts and steps of one kind of piece, from its sizes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from roomcheck.facts import Fact, fact
from roomcheck.job import Job, PieceKind, ShopMaterial, ShopPractice, StockPiece, UsedFor
from roomcheck.units import M_PER_IN
from roomcheck.workshop.kinds import Caution, Note, Part, Step
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.parts.block_parts import block_parts
from roomcheck.workshop.parts.box_parts import membrane_parts, perforated_parts, slatted_parts
from roomcheck.workshop.parts.materials_list import boards_of, core_parts, refuse_unknown
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
_STAPLES_M = 2 * M_PER_IN
_GUSSET_M = 8 * M_PER_IN


def built(
    job: Job, piece: StockPiece, lines: tuple[HangingLine, ...], practice: ShopPractice
) -> PieceSheet:
    """Draft the sheet for all pieces of one kind."""
    refuse_unknown(job.shop, piece)
    bench = Bench(job, piece, lines, practice)
    particulars = _draft(bench)
    if bench.joined:
        bench.caution(Caution.JOINED, parts=tuple(dict.fromkeys(bench.joined)))
    outside_width_m, outside_height_m = outside_m(piece, practice)
    hours = bench.count * piece.build_hours
    sheet = PieceSheet(
        piece=piece.name,
        names=tuple(line.name for line in lines),
        cuts=_longest_first(bench.cuts),
        steps=tuple(bench.steps),
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
        sheet, made_kg=made_kg if made_kg > 0 else None, cautions=_once_each(bench.cautions)
    )


def frame_depth_m(job: Job, piece: StockPiece, practice: ShopPractice) -> float:
    """Depth of a piece's frame: its board's width. [m]"""
    return Bench(job, piece, (), practice).board.wide_m


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
    bench.step(Step.CUT_FELT)
    bench.caution(Caution.FIRE)
    return {}


def _wrapped(bench: Bench) -> dict[str, Any]:
    """Panels, clouds and corner traps: a frame on edge, a core trimmed to sit in it, fabric round
    both."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    outside_w, outside_h = outside_m(piece, practice)
    inside_w, inside_h = outside_w - 2 * board.thick_m, outside_h - 2 * board.thick_m
    core = (inside_w - 2 * practice.clearance_m, inside_h - 2 * practice.clearance_m)
    bench.frame(*core, practice.clearance_m)
    _core(bench, core)
    cloth = bench.stock(ShopMaterial.FABRIC, UsedFor.BACK)
    bench.cut(Part.BACKING_CLOTH, cloth, 1, (outside_w, outside_h), fact(Note.OPEN_WEAVE))
    bench.fabric(outside_w, outside_h, board.wide_m)
    for step in (Step.STAPLE_BACKING, Step.BLOW_THROUGH, Step.LAY_CORE):
        bench.step(step)
    bench.step(Step.STRETCH_FABRIC, staples_m=_STAPLES_M)
    for caution in (Caution.SAW, Caution.DUST, Caution.WOOL, Caution.FIRE):
        bench.caution(caution)
    if piece.kind == "cloud":
        _cloud(bench, inside_w)
    elif piece.kind == "corner":
        _corner(bench)
    else:
        _spacers(bench)
        bench.cleats()
        _behind(bench)
    return {}


def _core(bench: Bench, core: tuple[float, float]) -> None:
    piece = bench.piece
    if piece.core is None:
        return
    stock, board = bench.core_board(piece.core.thickness_m)
    layers = max(round(piece.core.thickness_m / board[2]), 1)
    note = fact(Note.LAYERS, layers=layers) if layers > 1 else fact(Note.KNIFE)
    for count, size in core_parts(core, board, layers * bench.count):
        bench.cut(Part.CORE, stock, layers * count, size, note)
    made_m = layers * board[2]
    if abs(made_m - piece.core.thickness_m) > _CORE_OFF_M:
        bench.caution(
            Caution.CORE_THICKNESS,
            core_m=piece.core.thickness_m,
            board_m=board[2],
            made_m=made_m,
        )


def _behind(bench: Bench) -> None:
    """Whether core and cleat both find room in the frame's depth."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    if piece.core is None:
        return
    stack_m = piece.core.thickness_m + practice.cleat_m
    frame_m = max(board.wide_m, piece.depth_m)
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
    """What holds a frame off the wall where the piece is deeper than its boards."""
    piece, boards = bench.piece, boards_of(bench.job.shop, bench.piece)
    behind_m = piece.depth_m - bench.board.wide_m
    if behind_m < _CORE_OFF_M:
        return
    stock = boards[1] if len(boards) > 1 else bench.board
    size = (piece.width_m - 2 * bench.board.thick_m, stock.wide_m)
    bench.cut_joined(Part.SPACER, stock.stock, 4 * bench.count, size, fact(Note.BEHIND_FRAME))
    bench.caution(Caution.STANDS_OFF, behind_m=behind_m)


def _cloud(bench: Bench, inside_w: float) -> None:
    board = bench.board
    across = min(inside_w, bench.piece.height_m - 2 * board.thick_m)
    size = (across, board.wide_m)
    bench.cut_joined(Part.CROSS_RAIL, board.stock, bench.count, size, fact(Note.RAIL))
    plywood = bench.plywood(bench.practice.fin_m)
    bench.cut(Part.GUSSET, plywood, 2, (_GUSSET_M, _GUSSET_M), fact(Note.CORNER_TO_CORNER))
    bench.step(Step.LIFT_POINTS)
    bench.caution(Caution.LIFT)
    bench.caution(Caution.OVERHEAD)


def _corner(bench: Bench) -> None:
    """A panel that straddles a corner: as far out on each wall as its width allows."""
    piece = bench.piece
    leg_m, deep_m = straddle_m(piece.width_m)
    strip = (piece.height_m - 4 * M_PER_IN, 1.5 * M_PER_IN)
    plywood = bench.plywood(bench.practice.cleat_m)
    note = fact(Note.ONE_EDGE_BEVELLED)
    bench.cut_joined(Part.WALL_STRIP, plywood, 2 * bench.count, strip, note)
    bench.step(Step.STRADDLE, leg_m=leg_m, deep_m=deep_m)
    bench.step(Step.SHELVE_FILL)


def straddle_m(face_m: float) -> tuple[float, float]:
    """A flat face across a square corner: how far out it reaches on each wall, and how deep its
    middle is. [m]

    >>> tuple(round(side, 1) for side in straddle_m(24))
    (17.0, 12.0)
    """
    return face_m / 2**0.5, face_m / 2
