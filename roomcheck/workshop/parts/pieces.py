"""Parts and steps of one kind of piece, from its sizes."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

from roomcheck.job import Job, Practice, StockPiece
from roomcheck.units import M_PER_IN
from roomcheck.workshop.parts import cautions
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.parts.block_parts import block_parts
from roomcheck.workshop.parts.box_parts import membrane_parts, perforated_parts, slatted_parts
from roomcheck.workshop.parts.materials_list import boards_of, core_board_m, core_boards
from roomcheck.workshop.parts.stack_parts import stack_parts
from roomcheck.workshop.parts.weights import parts_kg
from roomcheck.workshop.parts.well_parts import well_parts
from roomcheck.workshop.parts.work import operations
from roomcheck.workshop.patterns.layout import outside_m
from roomcheck.workshop.results import BlockCount, HangingLine, PieceSheet

_HEAVIER, _LIGHTER = 1.2, 0.6
"""Parts that weigh so many times what the shop's file says ask for the scales: heavier is
dangerous, sooner told."""


def built(
    job: Job, piece: StockPiece, lines: tuple[HangingLine, ...], practice: Practice
) -> PieceSheet:
    """Sheet for all pieces of one kind."""
    bench = Bench(job, piece, lines, practice)
    extra = _parts(bench)
    if bench.joined:
        bench.said.append(
            "Longer than their stock, so made of several in line: "
            f"{', '.join(dict.fromkeys(bench.joined))}. Glue and screw a plate of plywood over "
            "each joint, and turn one of two opposite parts so that joints do not face each "
            "other; or buy longer stock."
        )
    outside = outside_m(piece, practice)
    hours = bench.count * piece.build_hours
    base: dict[str, object] = {
        "piece": piece.name,
        "names": tuple(line.name for line in lines),
        "cuts": tuple(sorted(bench.cuts, key=lambda c: (-c.length_m, -c.width_m, c.part))),
        "steps": tuple(bench.steps),
        "weight_kg": piece.weight_kg,
        "hours": hours,
        "operations": operations(piece.kind, hours, practice),
        "outside_width_m": outside[0],
        "outside_height_m": outside[1],
        **extra,
    }
    stick_m = practice.stick_m or piece.cell_m
    blocks = cast(tuple[BlockCount, ...], base.get("blocks", ()))
    made = parts_kg(bench.cuts, blocks, stick_m, practice, bench.count)
    base["made_kg"] = made if made > 0 else None
    if made > 0 and not _LIGHTER * piece.weight_kg <= made <= _HEAVIER * piece.weight_kg:
        bench.said.append(
            f"The parts make {_mass(bench, made)}, the shop's file says "
            f"{_mass(bench, piece.weight_kg)}: weigh one before it is hung."
        )
    return PieceSheet(**{**base, "cautions": tuple(dict.fromkeys(bench.said))})  # type: ignore[arg-type]


def _parts(bench: Bench) -> dict[str, object]:
    by_kind: dict[str, Callable[[Bench], dict[str, object]]] = {
        "block diffuser": block_parts,
        "well diffuser": well_parts,
        "slatted box": slatted_parts,
        "perforated box": perforated_parts,
        "membrane trap": membrane_parts,
        "corner stack": stack_parts,
        "felt": _felt,
    }
    return by_kind.get(bench.piece.kind, _wrapped)(bench)


def _mass(bench: Bench, kg: float) -> str:
    return f"{kg / 0.45359237:.0f} lb" if bench.job.units == "imperial" else f"{kg:.1f} kg"


def _felt(bench: Bench) -> dict[str, object]:
    piece = bench.piece
    bench.cut("felt tile", bench.item("felt sheet", "felt"), 1, (piece.width_m, piece.height_m))
    bench.steps.append(
        "Cut face up with a sharp knife against a steel rule; mark the direction of the nap behind."
    )
    bench.said += [cautions.FIRE]
    return {}


def _wrapped(bench: Bench) -> dict[str, object]:
    """Panels, clouds and corner traps: a frame on edge, a core trimmed to sit in it, fabric round
    both."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    outside_w, outside_h = outside_m(piece, practice)
    inside_w, inside_h = outside_w - 2 * board.thick_m, outside_h - 2 * board.thick_m
    core = (inside_w - 2 * practice.clearance_m, inside_h - 2 * practice.clearance_m)
    bench.frame(*core, practice.clearance_m)
    _core(bench, core)
    cloth = bench.item("backing cloth", "backing")
    bench.cut("backing cloth", cloth, 1, (outside_w, outside_h), "open weave or mesh")
    bench.fabric(outside_w, outside_h, board.wide_m)
    bench.steps += [
        "Staple the cloth behind: it must let breath through, never film or plywood.",
        "Blow through the fabric before it is cut: what stops breath stops sound.",
        "Wrap the core in light scrim and lay it in flush with the front, without squeezing it.",
        f"Fabric from the middle outwards, a staple every {bench.size(2 * M_PER_IN)}, corners "
        "folded once.",
    ]
    bench.said += [cautions.SAW, cautions.DUST, cautions.WOOL, cautions.FIRE]
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
    item = bench.item("core board", "wool")
    board = core_board_m(item) or (*bench.practice.core_board_m, piece.core.thickness_m)
    layers = max(round(piece.core.thickness_m / board[2]), 1)
    count, size = core_boards(core, board)
    note = (
        f"knife, not a saw; {layers} layers, joints staggered" if layers > 1 else "knife, not a saw"
    )
    bench.cut("core", item, layers * count, size, note)
    thick = layers * board[2]
    if abs(thick - piece.core.thickness_m) > 0.005:
        bench.said.append(
            f"The core should be {bench.size(piece.core.thickness_m)} thick; boards of "
            f"{bench.size(board[2])} make {bench.size(thick)}."
        )


def _behind(bench: Bench) -> None:
    """Whether core and cleat both find room in the frame's depth."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    if piece.core is None:
        return
    stack, wide = piece.core.thickness_m + practice.cleat_m, max(board.wide_m, piece.depth_m)
    if stack > wide + 1e-6:
        bench.steps.append(
            f"Depth: {bench.size(piece.core.thickness_m)} core and "
            f"{bench.size(practice.cleat_m)} cleat make {bench.size(stack)}, the frame is "
            f"{bench.size(wide)} deep: hung, it stands {bench.size(stack - wide)} off the wall. "
            "Notch the core for the cleat, or take a thinner cleat, if it must lie tight."
        )


def _spacers(bench: Bench) -> None:
    """What holds a frame off the wall where the piece is deeper than its boards."""
    piece, boards = bench.piece, boards_of(bench.job.shop, bench.piece)
    behind = piece.depth_m - bench.board.wide_m
    if behind < 0.005:
        return
    stock = boards[1] if len(boards) > 1 else bench.board
    size = (piece.width_m - 2 * bench.board.thick_m, stock.wide_m)
    bench.cut_joined("spacer", stock.item, 4 * bench.count, size, "behind the frame")
    bench.said.append(
        f"It stands {bench.size(behind)} off the wall: check that cleat and spacers together "
        "make that depth before the wall cleat goes up."
    )


def _cloud(bench: Bench, inside_w: float) -> None:
    across = min(inside_w, bench.piece.height_m - 2 * bench.board.thick_m)
    note = "in the middle, the short way, carries no core"
    bench.cut_joined(
        "cross rail", bench.board.item, bench.count, (across, bench.board.wide_m), note
    )
    side = 8 * M_PER_IN
    bench.cut(
        "gusset",
        bench.plywood(bench.practice.fin_m),
        2,
        (side, side),
        "square; cut corner to corner",
    )
    bench.steps.append(
        "Four lift points or more, in the frame's boards and never in the core; gussets at the "
        "corners."
    )
    bench.said += [cautions.LIFT, cautions.OVERHEAD]


def _corner(bench: Bench) -> None:
    """A panel that straddles a corner: as far out on each wall as its width allows."""
    piece = bench.piece
    leg, deep = straddle_m(piece.width_m)
    strip = (piece.height_m - 4 * M_PER_IN, 1.5 * M_PER_IN)
    stock = bench.plywood(bench.practice.cleat_m)
    bench.cut_joined("wall strip", stock, 2 * bench.count, strip, "one edge 45°; screwed to studs")
    bench.steps += [
        "The panel lies across the corner against two bevelled strips: its edges "
        f"{bench.size(leg)} out on each wall, its face {bench.size(deep)} off the corner at the "
        "middle; leave outlets within reach.",
        (
            "Loose fill behind it needs a shelf every 2 to 3 ft (0.6 to 0.9 m), so that it does "
            "not slump."
        ),
    ]


def straddle_m(face_m: float) -> tuple[float, float]:
    """A flat face across a square corner: how far out it reaches on each wall, and how deep its
    middle is. [m]

    >>> tuple(round(side, 1) for side in straddle_m(24))
    (17.0, 12.0)
    """
    return face_m / 2**0.5, face_m / 2
