"""Parts and steps of one kind of piece, from its sizes."""

from __future__ import annotations

from math import ceil

from roomcheck.build import cautions
from roomcheck.build.bench import Bench
from roomcheck.build.diffuser_parts import block_parts, well_parts
from roomcheck.build.materials_list import boards_of, core_board_m
from roomcheck.build.practice import Practice
from roomcheck.build.results import HangingLine, PieceSheet
from roomcheck.build.work import operations
from roomcheck.job import Job, StockPiece
from roomcheck.units import M_PER_IN


def built(job: Job, piece: StockPiece, lines: tuple[HangingLine, ...], practice: Practice) -> PieceSheet:
    """Sheet for all pieces of one kind."""
    bench = Bench(job, piece, lines, practice)
    extra: dict[str, object] = {}
    match piece.kind:
        case "block diffuser":
            extra = block_parts(bench)
        case "well diffuser":
            extra = well_parts(bench)
        case "felt":
            _felt(bench)
        case _:
            _wrapped(bench)
    hours = bench.count * piece.build_hours
    base = {
        "piece": piece.name,
        "names": tuple(line.name for line in lines),
        "cuts": tuple(sorted(bench.cuts, key=lambda c: (-c.length_m, -c.width_m, c.part))),
        "steps": tuple(bench.steps),
        "cautions": tuple(dict.fromkeys(bench.said)),
        "weight_kg": piece.weight_kg,
        "hours": hours,
        "operations": operations(piece.kind, hours),
    }
    return PieceSheet(**{**base, **extra})  # type: ignore[arg-type]


def _felt(bench: Bench) -> None:
    piece = bench.piece
    bench.cut("felt tile", bench.item("felt sheet", "felt"), 1, (piece.width_m, piece.height_m))
    bench.steps.append("Cut face up with a sharp knife against a steel rule; mark the direction of the nap behind.")
    bench.said += [cautions.FIRE]


def _wrapped(bench: Bench) -> None:
    """Panels, clouds and corner traps: a frame on edge, a core trimmed to sit in it, fabric round both."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    inside_w, inside_h = piece.width_m - 2 * board.thick_m, piece.height_m - 2 * board.thick_m
    core = (inside_w - 2 * practice.clearance_m, inside_h - 2 * practice.clearance_m)
    bench.frame(*core, practice.clearance_m)
    _core(bench, core)
    cloth = bench.item("backing cloth", "backing")
    bench.cut("backing cloth", cloth, 1, (piece.width_m, piece.height_m), "open weave or mesh")
    bench.fabric(piece.width_m, piece.height_m, board.wide_m)
    bench.steps += [
        "Staple the cloth behind: it must let breath through, never film or plywood.",
        "Wrap the core in light scrim and lay it in flush with the front, without squeezing it.",
        f"Fabric from the middle outwards, a staple every {bench.size(2 * M_PER_IN)}, corners folded once.",
    ]
    bench.said += [cautions.SAW, cautions.DUST, cautions.WOOL, cautions.FIRE]
    if piece.kind == "cloud":
        _cloud(bench, inside_w)
    elif piece.kind == "corner":
        _corner(bench)
    else:
        _spacers(bench)
        bench.cleats()


def _core(bench: Bench, core: tuple[float, float]) -> None:
    piece = bench.piece
    if piece.core is None:
        return
    item = bench.item("core board", "wool")
    board = core_board_m(item) or (*bench.practice.core_board_m, piece.core.thickness_m)
    layers = max(round(piece.core.thickness_m / board[2]), 1)
    across, along = sorted(core)
    wide = max(ceil((across - 0.05) / board[0]), 1)
    tall = max(ceil((along - 0.05) / board[1]), 1)
    size = (across / wide, along / tall)
    note = f"knife, not a saw; {layers} layers, joints staggered" if layers > 1 else "knife, not a saw"
    bench.cut("core", item, layers * wide * tall, size, note)
    thick = layers * board[2]
    if abs(thick - piece.core.thickness_m) > 0.005:
        bench.said.append(
            f"The core should be {bench.size(piece.core.thickness_m)} thick; boards of {bench.size(board[2])} make "
            f"{bench.size(thick)}."
        )


def _spacers(bench: Bench) -> None:
    """What holds a frame off the wall where the piece is deeper than its boards."""
    piece, boards = bench.piece, boards_of(bench.job.shop, bench.piece)
    behind = piece.depth_m - bench.board.wide_m
    if behind < 0.005:
        return
    stock = boards[1] if len(boards) > 1 else bench.board
    bench.cut("spacer", stock.item, 4, (piece.width_m - 2 * bench.board.thick_m, stock.wide_m), "behind the frame")
    bench.said.append(
        f"It stands {bench.size(behind)} off the wall: check that cleat and spacers together make that depth before "
        "the wall cleat goes up."
    )


def _cloud(bench: Bench, inside_w: float) -> None:
    bench.cut("cross rail", bench.board.item, 1, (inside_w, bench.board.wide_m), "in the middle, carries no core")
    side = 8 * M_PER_IN
    bench.cut("gusset", bench.item("1/4 in plywood", "plywood", "1/4"), 2, (side, side), "square; cut corner to corner")
    bench.steps.append("Four lift points or more, in the frame's boards and never in the core; gussets at the corners.")
    bench.said += [cautions.LIFT, cautions.OVERHEAD]


def _corner(bench: Bench) -> None:
    piece = bench.piece
    strip = (piece.height_m - 4 * M_PER_IN, 1.5 * M_PER_IN)
    bench.cut("wall strip", bench.item("3/4 in plywood", "plywood", "3/4"), 2, strip, "one edge 45°; screwed to studs")
    bench.steps += [
        "The panel lies across the corner against two bevelled strips; leave outlets within reach.",
        "Loose fill behind it needs a shelf every 2 to 3 ft (0.6 to 0.9 m), so that it does not slump.",
    ]
