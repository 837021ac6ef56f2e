"""Parts of one kind of piece, from its sizes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal

from roomcheck.build import cautions
from roomcheck.build.blocks import BlockArray, block_diffuser
from roomcheck.build.fabric import fabric_cut
from roomcheck.build.practice import Practice
from roomcheck.build.results import BlockCount, Cut, PieceSheet, SawSetup
from roomcheck.job import Job, StockPiece
from roomcheck.units import format_size

SEED = 7
"""Seed of the block patterns, so that a panel can be built again."""


@dataclass
class Draft:
    """A sheet in the making."""

    cuts: list[Cut] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def built(job: Job, piece: StockPiece, names: tuple[str, ...], practice: Practice) -> PieceSheet:
    """Sheet for all pieces of one kind."""
    draft, count = Draft(), len(names)
    bench = _Bench(job, piece, count, practice, draft)
    array = None
    if piece.kind == "block diffuser":
        array = bench.blocks()
    elif piece.kind == "well diffuser":
        bench.wells()
    elif piece.kind == "felt":
        bench.felt()
    elif piece.kind == "corner":
        bench.corner()
    else:
        bench.panel()
    cuts = tuple(sorted(draft.cuts, key=lambda c: (-c.length_m, -c.width_m, c.part)))
    sheet = PieceSheet(
        piece=piece.name,
        names=names,
        cuts=cuts,
        steps=tuple(draft.steps),
        cautions=tuple(draft.said),
        weight_kg=piece.weight_kg,
        hours=count * piece.build_hours,
        setups=tuple(
            SawSetup(stock=c.stock, part=c.part, stop_m=c.length_m, count=c.count, note=c.note)
            for c in cuts
            if c.stock in ("stick", "frame board", "cleat board", "fin")
        ),
    )
    return sheet if array is None else _with_array(sheet, array, count, practice)


def spares(cells: int, pct: int, least: int) -> int:
    """Blocks on top of so many: a share rounded up, and no fewer than the least.

    >>> spares(103, 10, 4), spares(20, 10, 4), spares(0, 10, 4)
    (11, 4, 0)
    """
    return max(-(-cells * pct // 100), least) if cells else 0


def frame_lengths(inside_w_m: float, inside_h_m: float, clearance_m: float, board_m: float) -> tuple[float, float]:
    """Short and long frame boards round an array or core; long ones overlap the short by two thicknesses. [m]

    >>> frame_lengths(24, 48, 1 / 16, 3 / 4)
    (24.125, 49.625)
    """
    shorter, longer = sorted((inside_w_m, inside_h_m))
    return shorter + 2 * clearance_m, longer + 2 * clearance_m + 2 * board_m


def _with_array(sheet: PieceSheet, array: BlockArray, count: int, practice: Practice) -> PieceSheet:
    blocks = tuple(
        BlockCount(height_m=h, cells=n * count, spares=spares(n * count, practice.spare_pct, practice.spare_least))
        for h, n in sorted(array.counts.items(), reverse=True)
        if h > 0
    )
    return replace(
        sheet,
        row_map=array.rows,
        blocks=blocks,
        pattern=array.pattern,
        array_width_m=array.width_m,
        array_height_m=array.height_m,
    )


class _Bench:
    def __init__(self, job: Job, piece: StockPiece, count: int, practice: Practice, draft: Draft) -> None:
        self.job, self.piece, self.count, self.practice, self.draft = job, piece, count, practice, draft

    def size(self, length_m: float) -> str:
        return format_size(length_m, self.job.units)

    def cut(self, part: str, stock: str, each: int, length_m: float, width_m: float, note: str = "") -> None:
        self.draft.cuts.append(
            Cut(part=part, stock=stock, count=each * self.count, length_m=length_m, width_m=width_m, note=note)
        )

    def frame(self, inside_w: float, inside_h: float, clearance: float, deep: float) -> None:
        short, long = frame_lengths(inside_w, inside_h, clearance, self.practice.board_m)
        self.cut("frame, long", "frame board", 2, long, deep, "overlaps the short ones at both ends")
        self.cut("frame, short", "frame board", 2, short, deep, "stands between the long ones")

    def cleats(self) -> None:
        inside = self.piece.width_m - 2 * self.practice.board_m
        wide = self.practice.cleat_width_m
        self.cut("item cleat", "cleat board", 1, inside, wide, "bevel 45°, point down, against the wall")
        self.cut("wall cleat", "cleat board", 1, inside - 2 * self.practice.freedom_m, wide, "bevel 45°, point up")

    def fabric(self, deep: float) -> None:
        w, h = fabric_cut(self.piece.width_m, self.piece.height_m, deep, self.practice.wrap_m)
        self.cut("fabric", "fabric roll", 1, max(w, h), min(w, h), "check nap and pattern before turning it")

    def panel(self) -> None:
        piece, practice = self.piece, self.practice
        deep = piece.core.thickness_m if piece.core else piece.depth_m
        core_w, core_h = (
            side - 2 * (practice.board_m + practice.clearance_m) for side in (piece.width_m, piece.height_m)
        )
        self.frame(core_w, core_h, practice.clearance_m, deep)
        self.cut("core", "core board", 1, max(core_w, core_h), min(core_w, core_h), "knife, not a saw")
        self.fabric(deep)
        if piece.kind == "panel":
            self.cleats()
        self.draft.steps += [
            "Cut the frame, longest first; glue and nail the corners; diagonals within 1/16 in (1.5 mm).",
            "Staple open mesh or breathable cloth behind: never film or plywood.",
            "Wrap the core in light scrim and lay it in without squeezing.",
            "Stretch the fabric from the middle outwards, staples every 2 in (50 mm), corners folded once.",
        ]
        self.draft.said += [cautions.WOOL, cautions.FIRE]
        if piece.kind == "cloud":
            self.draft.said.append(cautions.OVERHEAD)

    def felt(self) -> None:
        piece = self.piece
        self.cut("felt tile", "felt sheet", 1, max(piece.width_m, piece.height_m), min(piece.width_m, piece.height_m))
        self.draft.steps.append("Cut face up with a sharp knife against a steel rule; mark the direction of the nap.")

    def corner(self) -> None:
        piece = self.piece
        self.cut("core layer", "core board", 1, piece.height_m, piece.width_m, "knife, not a saw")
        self.fabric(piece.depth_m)
        self.draft.steps += [
            "Stack the core with a shelf every 2 to 3 ft (0.6 to 0.9 m) so that it does not slump.",
            "Close the face with a fabric frame; leave outlets within reach.",
        ]
        self.draft.said += [cautions.WOOL, cautions.FIRE]

    def blocks(self) -> BlockArray:
        piece, practice = self.piece, self.practice
        cell = practice.stick_m or piece.cell_m
        array = block_diffuser(piece.width_m, piece.height_m, cell, piece.steps_m, SEED)
        for height, cells in array.counts.items():
            if height > 0:
                total = cells * self.count
                more = spares(total, practice.spare_pct, practice.spare_least)
                note = f"{total} and {more} spare"
                self.draft.cuts.append(
                    Cut(part="block", stock="stick", count=total + more, length_m=height, width_m=cell, note=note)
                )
        self.cut("backing", "plywood", 1, max(array.width_m, array.height_m), min(array.width_m, array.height_m))
        self.cleats()
        self.draft.steps += [
            "Measure many sticks side by side and type the width in before anything is cut.",
            "Sand the long sticks first; cut the blocks longest first, a bin for each height.",
            "The row map is seen from the front: lay row 1 against a straight fence on the long edge.",
            "Glue to the backing only; check square after every fourth row and correct with gaps, not force.",
        ]
        self.draft.said += [cautions.SAW, cautions.DUST, cautions.LIFT]
        self.draft.said += list(array.unmet)
        return array

    def wells(self) -> None:
        piece, practice = self.piece, self.practice
        self.cut("backing", "plywood", 1, max(piece.width_m, piece.height_m), min(piece.width_m, piece.height_m))
        if piece.cell_m > 0:
            wells = int(piece.width_m / piece.cell_m + 1e-6)
            self.cut("fin", "fin", wells + 1, piece.height_m, piece.depth_m - practice.backing_m)
        self.cleats()
        self.draft.steps.append("Glue every fin over its whole length; seal the wells: a leaky one absorbs.")
        self.draft.said += [cautions.SAW, cautions.DUST, cautions.LIFT]


def hours(operations: tuple[Decimal, ...]) -> Decimal:
    return sum(operations, Decimal(0))
