"""What every piece shares at the bench: its draft, its frame, its cleats, its fabric."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from roomcheck.build.fabric import fabric_cut
from roomcheck.build.materials_list import Board, boards_of, item_named
from roomcheck.build.practice import Practice
from roomcheck.build.results import Cut, HangingLine
from roomcheck.job import Job, StockPiece
from roomcheck.units import format_size


def frame_lengths(inside_w_m: float, inside_h_m: float, clearance_m: float, board_m: float) -> tuple[float, float]:
    """Short and long frame boards round an array or core; the long ones overlap the short by two thicknesses. [m]

    >>> frame_lengths(24, 48, 1 / 16, 3 / 4)
    (24.125, 49.625)
    """
    shorter, longer = sorted((inside_w_m, inside_h_m))
    return shorter + 2 * clearance_m, longer + 2 * clearance_m + 2 * board_m


@dataclass
class Bench:
    """A sheet in the making.

    Attributes
    ----------
    job, piece, lines, practice
        `lines` are the hanging lines of all pieces of this kind.
    """

    job: Job
    piece: StockPiece
    lines: tuple[HangingLine, ...]
    practice: Practice
    cuts: list[Cut] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.lines)

    def size(self, length_m: float) -> str:
        return format_size(length_m, self.job.units)

    def item(self, otherwise: str, *words: str) -> str:
        return item_named(self.job.shop, self.piece, words, otherwise)

    @property
    def board(self) -> Board:
        """The frame's board; where the price list names none, one as deep as the piece."""
        boards = boards_of(self.job.shop, self.piece)
        return boards[0] if boards else Board("frame board", self.practice.board_m, self.piece.depth_m)

    def cut(self, part: str, stock: str, each: int, size: tuple[float, float], note: str = "") -> None:
        """So many equal parts for every piece, long side first."""
        self.cut_all(part, stock, each * self.count, size, note)

    def cut_all(self, part: str, stock: str, count: int, size: tuple[float, float], note: str = "") -> None:
        if count:
            length, width = max(size), min(size)
            self.cuts.append(Cut(part=part, stock=stock, count=count, length_m=length, width_m=width, note=note))

    def frame(self, inside_w: float, inside_h: float, clearance: float) -> None:
        board = self.board
        short, long = frame_lengths(inside_w, inside_h, clearance, board.thick_m)
        self.cut("frame, long", board.item, 2, (long, board.wide_m), "butt: overlaps the short ones at both ends")
        self.cut("frame, short", board.item, 2, (short, board.wide_m), "stands between the long ones")
        self.steps.append(
            f"Frame: opening {self.size(inside_w + 2 * clearance)} x {self.size(inside_h + 2 * clearance)}; glue, two "
            f"nails a corner, one every {self.size(0.2032)}; drill first near the ends; both diagonals within "
            f"{self.size(0.0015875)}."
        )

    def cleats(self) -> None:
        """Cleats as the hanging lines have them: a turned piece has longer ones."""
        stock = self.item("3/4 in plywood", "plywood", "3/4")
        wide = self.practice.cleat_width_m
        walls = Counter(line.cleat_length_m for line in self.lines if line.cleat_length_m)
        items = Counter(
            line.width_m - 2 * self.board.thick_m - self.practice.freedom_m for line in self.lines if line.cleat_m
        )
        for length, count in walls.items():
            self.cut_all("wall cleat", stock, count, (length, wide), "45° bevel along the top, point into the room")
        for length, count in items.items():
            self.cut_all("piece's cleat", stock, count, (length, wide), "45° bevel along the bottom, point to the wall")
        if walls:
            self.steps.append(
                "Piece's cleat: glue and screw it to frame and backing under the top board, screws shorter than what "
                "they go into; a strip of the same thickness along the bottom, so that the piece hangs plumb."
            )

    def fabric(self, width: float, height: float, deep: float) -> None:
        size = fabric_cut(width, height, deep, self.practice.wrap_m)
        self.cut("fabric", self.item("fabric", "fabric"), 1, size, "check nap and pattern before it is turned")
