"""What every piece shares at the bench: draft, frame, cleats, fabric, finish."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import ceil

from roomcheck.facts import Fact, Value, fact
from roomcheck.job import (
    Job,
    Price,
    RunsLong,
    ShopMaterial,
    ShopPractice,
    StockPiece,
    UsedFor,
    hook_m,
)
from roomcheck.units import M_PER_IN
from roomcheck.workshop.cutting.bars import SawRules
from roomcheck.workshop.cutting.fabric import fabric_cut
from roomcheck.workshop.kinds import Caution, Note, Part, Step, Surface
from roomcheck.workshop.parts.materials_list import (
    Board,
    bar_m,
    boards_of,
    boards_on_sale,
    prices_of,
    sheet_m,
    stock_for,
    stock_of,
)
from roomcheck.workshop.patterns.blocks import PanelError
from roomcheck.workshop.results import Cut, HangingLine, Solid, Stock

_THICK_OFF = 0.2
"""Plywood may be so much thinner or thicker than drawn, as a share of it."""
_NAILS_IN = 8
"""Between nails into the backing's edge."""
_PLANED_M = M_PER_IN / 16
"""A board may be so much narrower than the piece is deep."""
_AS_DEEP = frozenset({"panel", "slatted box", "perforated box", "membrane trap"})
"""Kinds whose frame is as deep as the piece."""
_SPLICE = ((8, 200), (3, 75))
"""Plate over a joint of two parts in line: length and width. ([in], [mm])"""
_SQUARE_M = M_PER_IN / 16
"""Diagonals of a square frame differ by no more."""


def frame_lengths(
    inside_w_m: float,
    inside_h_m: float,
    clearance_m: float,
    board_m: float,
    runs_long: RunsLong = "long",
) -> tuple[float, float]:
    """Boards along the short and the long side of an array or core, butted; one pair overlaps by
    two thicknesses. [m]

    >>> frame_lengths(24, 48, 1 / 16, 3 / 4)
    (24.125, 49.625)
    >>> frame_lengths(24, 48, 1 / 16, 3 / 4, runs_long="short")
    (25.625, 48.125)
    """
    shorter, longer = sorted((inside_w_m, inside_h_m))
    over = 2 * board_m
    short, long = (over, 0.0) if runs_long == "short" else (0.0, over)
    return shorter + 2 * clearance_m + short, longer + 2 * clearance_m + long


def mitred_lengths(
    inside_w_m: float, inside_h_m: float, clearance_m: float, board_m: float
) -> tuple[float, float]:
    """Boards along the short and the long side, from long point to long point of their mitres. [m]

    >>> mitred_lengths(24, 48, 1 / 16, 3 / 4)
    (25.625, 49.625)
    """
    shorter, longer = sorted((inside_w_m, inside_h_m))
    return shorter + 2 * (clearance_m + board_m), longer + 2 * (clearance_m + board_m)


def finish_l(area_m2: float, end_grain_m2: float, practice: ShopPractice) -> float:
    """Finish for all coats; end grain drinks more. [l]

    >>> from roomcheck.job.model.practice import ShopPractice
    >>> round(finish_l(24 * 0.3048**2, 0.0, ShopPractice()) / 0.473176, 2)
    0.96
    """
    drinks = area_m2 + (practice.end_grain - 1) * end_grain_m2
    return drinks * practice.coats / practice.coverage_m2_l


def _split(length_m: float, longest_m: float, unit_m: float) -> list[float]:
    """Parts of a length, none longer than the longest: two of three and two fifths, so that a
    turned one has its joint elsewhere, else equal ones; whole units where there are any."""
    parts = ceil(length_m / longest_m - 1e-9)
    shares = [0.6, 0.4] if parts == 2 and 0.6 * length_m <= longest_m else [1 / parts] * parts
    ends = [sum(shares[: i + 1]) * length_m for i in range(len(shares))]
    if unit_m > 0:
        ends = [*(int(end / unit_m + 1e-6) * unit_m for end in ends[:-1]), length_m]
    return [end - start for start, end in zip([0.0, *ends[:-1]], ends, strict=True)]


def _as_cut(stock: Stock, size: tuple[float, float]) -> tuple[float, float]:
    """Length along the board, however short; long side first of everything that comes out of a
    sheet or roll."""
    return size if stock.material is ShopMaterial.BOARD else (max(size), min(size))


def _is_plywood(price: Price, thick_m: float) -> bool:
    if price.material is not ShopMaterial.PLYWOOD or price.thickness_m is None:
        return False
    return abs(price.thickness_m - thick_m) <= _THICK_OFF * thick_m


@dataclass
class Bench:
    """A sheet in the making."""

    job: Job
    piece: StockPiece
    lines: tuple[HangingLine, ...]
    """Of all pieces of this kind."""
    practice: ShopPractice
    cuts: list[Cut] = field(default_factory=list)
    steps: list[Fact[Step]] = field(default_factory=list)
    cautions: list[Fact[Caution]] = field(default_factory=list)
    solids: list[Solid] = field(default_factory=list)
    """Of one piece."""
    finish_l: float = 0.0
    """Of one piece [l]."""
    joined: list[tuple[Part, float]] = field(default_factory=list)
    """Parts that are made of several in line, and how long they are ([m])."""

    def nice_m(self, inches: float, millimetres: float) -> float:
        """A planning size, round in the units that the shop reads. [m]"""
        return millimetres / 1000 if self.job.units == "metric" else inches * M_PER_IN

    @property
    def strip_m(self) -> float:
        """Width of the strip along a piece's bottom that keeps it plumb, and of wall strips. [m]"""
        return self.nice_m(1.5, 40)

    def step(self, kind: Step, **values: Value) -> None:
        """Add a step."""
        self.steps.append(fact(kind, **values))

    def caution(self, kind: Caution, **values: Value) -> None:
        """Add a caution."""
        self.cautions.append(fact(kind, **values))

    def at(
        self, part: Part, at_m: tuple[float, float, float], size_m: tuple[float, float, float]
    ) -> None:
        """Put a part in its place. [m]"""
        self.solids.append(Solid(part=part, at_m=at_m, size_m=size_m))

    @property
    def count(self) -> int:
        return len(self.lines)

    def stock(self, material: ShopMaterial, purpose: UsedFor | None = None) -> Stock:
        """The piece's stock of a material; without a price where the shop has none."""
        found = stock_for(self.job.shop, self.piece, material, purpose)
        return found or Stock(material=material, used_for=purpose)

    def core_board(self, thick_m: float) -> tuple[Stock, tuple[float, float, float]]:
        """The core's stock, and width, length and thickness of one board; as the practice has them
        where the shop has no price. [m]"""
        stock = self.stock(ShopMaterial.CORE)
        width, length = self.practice.core_board_m
        if stock.width_m is None or stock.length_m is None or stock.thickness_m is None:
            stock = replace(stock, width_m=width, length_m=length, thickness_m=thick_m)
            return stock, (width, length, thick_m)
        return stock, (stock.width_m, stock.length_m, stock.thickness_m)

    def plywood(self, thick_m: float) -> Stock:
        """The piece's plywood that is nearest to a thickness, else the shop's; without a price
        where none comes near. [m]"""
        shop = self.job.shop
        for prices in (prices_of(shop, self.piece), shop.prices):
            near = [price for price in prices if _is_plywood(price, thick_m)]
            if near:
                return stock_of(min(near, key=lambda p: abs((p.thickness_m or 0.0) - thick_m)))
        return Stock(material=ShopMaterial.PLYWOOD, thickness_m=thick_m)

    @property
    def board(self) -> Board:
        """The frame's board; where the piece needs none, one as deep as the piece."""
        boards = boards_of(self.job.shop, self.piece)
        if boards and self.piece.kind not in _AS_DEEP:
            return boards[0]
        deep_m, thick_m = self.piece.depth_m, self.practice.board_m
        usual_m = boards[0].thick_m if boards else thick_m
        for some in (boards, boards_on_sale(self.job.shop, usual_m)):
            deep = [board for board in some if board.wide_m >= deep_m - _PLANED_M]
            if deep:
                least = min(deep, key=lambda board: board.wide_m)
                return replace(least, wide_m=min(least.wide_m, deep_m))
        if boards and self.piece.kind == "panel":
            return boards[0]
        stock = Stock(material=ShopMaterial.BOARD, thickness_m=usual_m, width_m=deep_m)
        return Board(stock, usual_m, deep_m)

    def longest_m(self, stock: Stock) -> float | None:
        """Longest part that a stock gives; None where the price list does not say. [m]"""
        price = next((p for p in self.job.shop.prices if p.item == stock.item), None)
        if price is None:
            return None
        bar, sheet = bar_m(price, self.practice), sheet_m(price, self.practice)
        if bar is not None:
            longest = max([bar, *(other.length_m for other in price.also)])
            rules = SawRules(kerf_m=self.job.shop.kerf_m, trim_m=self.practice.trim_m)
            return rules.longest_part_m(longest)
        return None if sheet is None else max(sheet)

    def cut_joined(
        self,
        part: Part,
        stock: Stock,
        count: int,
        size: tuple[float, float],
        note: Fact[Note] | None = None,
        *,
        unit_m: float = 0.0,
    ) -> None:
        """As `cut_all`; a part longer than its stock is made of several in line, split at whole
        units."""
        length, width = _as_cut(stock, size)
        longest = self.longest_m(stock)
        if longest is None or length <= longest + 1e-9 or width <= 0:
            self.cut_all(part, stock, count, size, note)
            return
        shares = _split(length, longest, unit_m)
        for share in shares:
            self.cut_all(part, stock, count, (share, width), note, in_line=True)
        plates = self.plywood(self.practice.backing_m)
        length_m, width_m = (self.nice_m(*sizes) for sizes in _SPLICE)
        self.cut_all(Part.SPLICE, plates, (len(shares) - 1) * count, (length_m, width_m))
        self.joined.append((part, length))

    def cut(
        self,
        part: Part,
        stock: Stock,
        each: int,
        size: tuple[float, float],
        note: Fact[Note] | None = None,
    ) -> None:
        """So many equal parts for every piece: length and width of a board's, both sides of a
        sheet's. [m]"""
        self.cut_all(part, stock, each * self.count, size, note)

    def cut_all(
        self,
        part: Part,
        stock: Stock,
        count: int,
        size: tuple[float, float],
        note: Fact[Note] | None = None,
        *,
        in_line: bool = False,
    ) -> None:
        """So many equal parts for all pieces together. [m]

        Raises
        ------
        PanelError
            The part would have no size.
        """
        if not count:
            return
        if min(size) <= 0:
            raise PanelError(
                part.replace("_", " "),
                f"{size[0]:.4f} x {size[1]:.4f} m",
                "a part with some size: the piece is too small",
            )
        length, width = _as_cut(stock, size)
        self.cuts.append(
            Cut(
                part=part,
                stock=stock,
                count=count,
                length_m=length,
                width_m=width,
                note=note,
                in_line=in_line,
            )
        )

    def frame(self, inside_w: float, inside_h: float, clearance: float) -> None:
        """Four boards on edge round an array or core."""
        board, practice = self.board, self.practice
        runs = "" if practice.corner == "mitre" else practice.runs_long
        if practice.corner == "mitre":
            short, long = mitred_lengths(inside_w, inside_h, clearance, board.thick_m)
            notes = (fact(Note.MITRED), fact(Note.MITRED))
        else:
            short, long = frame_lengths(
                inside_w, inside_h, clearance, board.thick_m, practice.runs_long
            )
            over, between = fact(Note.RUNS_OVER), fact(Note.BUTTS_BETWEEN)
            notes = (between, over) if practice.runs_long == "short" else (over, between)
        self._boards(Part.FRAME_LONG, long, board, notes[0])
        self._boards(Part.FRAME_SHORT, short, board, notes[1])
        self._frame_in_place(inside_w + 2 * clearance, inside_h + 2 * clearance, board, runs)
        self.step(
            Step.FRAME,
            width_m=inside_w + 2 * clearance,
            height_m=inside_h + 2 * clearance,
            corner=practice.corner,
            runs=runs,
            nails_m=self.nice_m(_NAILS_IN, 200),
            square_m=_SQUARE_M,
        )

    def _frame_in_place(self, wide: float, high: float, board: Board, runs: str) -> None:
        """Boards round an opening: upright ones at its sides, level ones below and above. [m]"""
        thick, deep = board.thick_m, board.wide_m
        upright_long = high >= wide
        upright_over = upright_long != (runs == "short")
        sides, ends = Part.FRAME_LONG, Part.FRAME_SHORT
        if not upright_long:
            sides, ends = ends, sides
        below = 0.0 if upright_over else thick
        beside = thick if upright_over else 0.0
        for x in (0.0, thick + wide):
            self.at(sides, (x, below, 0.0), (thick, high + 2 * (thick - below), deep))
        for y in (0.0, thick + high):
            self.at(ends, (beside, y, 0.0), (wide + 2 * (thick - beside), thick, deep))

    def _boards(self, part: Part, length: float, board: Board, note: Fact[Note]) -> None:
        self.cut_joined(part, board.stock, 2 * self.count, (length, board.wide_m), note)

    def depth_stack(self, tallest: float) -> None:
        """Cleat, backing and relief within the board's width, or what to change."""
        practice, board = self.practice, self.board
        stack = practice.cleat_m + practice.backing_m + tallest
        reveal = board.wide_m - stack
        parts = {
            "cleat_m": practice.cleat_m,
            "backing_m": practice.backing_m,
            "relief_m": tallest,
            "stack_m": stack,
        }
        if reveal < -1e-6:
            self.caution(Caution.TOO_DEEP, **parts, board_m=board.wide_m)
        else:
            self.step(Step.DEPTH, **parts, reveal_m=reveal)

    def finish(self, surfaces: Sequence[tuple[Surface, float]], end_grain_m2: float) -> None:
        """Areas that take a finish, and how much that is. [m2]"""
        total = sum(area for _, area in surfaces)
        self.finish_l = finish_l(total, end_grain_m2, self.practice)
        self.step(
            Step.FINISH,
            surfaces=tuple(surfaces),
            coat_m2=total,
            coats=self.practice.coats,
            finish_l=self.finish_l,
            end_grain_m2=end_grain_m2,
            end_grain=self.practice.end_grain,
        )

    def cleats(self) -> None:
        """Cleats as the hanging lines have them: a turned piece has longer ones."""
        stock = self.plywood(self.practice.cleat_m)
        wide = self.practice.cleat_width_m
        walls = Counter(line.cleat_length_m for line in self.lines if line.cleat_length_m)
        items = Counter(
            line.width_m - 2 * self.board.thick_m - self.practice.freedom_m
            for line in self.lines
            if line.cleat_m is not None
        )
        for length, count in walls.items():
            self.cut_joined(Part.WALL_CLEAT, stock, count, (length, wide), fact(Note.BEVEL_TOP))
        for length, count in items.items():
            self.cut_joined(Part.PIECE_CLEAT, stock, count, (length, wide), fact(Note.BEVEL_BOTTOM))
            self.cut_joined(Part.BOTTOM_STRIP, stock, count, (length, self.strip_m))
        for line in self.lines:
            if line.begins_rail and line.rail is not None:
                size = line.rail.length_m, wide
                long = self.rail_stock(line.rail.length_m)
                self.cut_all(Part.WALL_RAIL, long, 1, size, fact(Note.BEVEL_TOP))
        if items:
            self.step(Step.FIT_CLEAT)

    def rail_stock(self, length_m: float) -> Stock:
        """What a rail is cut from in one length: the cleats' plywood, else a board as thick. [m]"""
        stocks = self._rail_stocks()
        return next((s for s, longest_m in stocks if longest_m >= length_m - 1e-9), stocks[0][0])

    @property
    def longest_rail_m(self) -> float:
        return max(longest_m for _, longest_m in self._rail_stocks())

    def _rail_stocks(self) -> list[tuple[Stock, float]]:
        practice = self.practice
        plywood = self.plywood(practice.cleat_m)
        found = [(plywood, self.longest_m(plywood) or max(practice.sheet_m))]
        boards = boards_on_sale(self.job.shop, practice.cleat_m)
        for board in sorted(boards, key=lambda board: board.wide_m):
            if board.wide_m >= practice.cleat_width_m - 1e-6:
                found.append((board.stock, self.longest_m(board.stock) or 0.0))
        return found

    def cleat_in_place(self, wide: float, high: float, back_m: float) -> None:
        """The piece's cleat under the top board and the strip over the bottom one, their backs so
        far out of the frame's back. [m]"""
        thick, practice = self.board.thick_m, self.practice
        long = wide - 2 * thick - practice.freedom_m
        left = (wide - long) / 2
        for part, y, tall in (
            (Part.PIECE_CLEAT, high - thick - practice.cleat_width_m, practice.cleat_width_m),
            (Part.BOTTOM_STRIP, thick, self.strip_m),
        ):
            self.at(part, (left, y, back_m), (long, tall, practice.cleat_m))
        self._notches(practice.cleat_m + back_m)

    def _notches(self, deep_m: float) -> None:
        """Room in the frame's sides for a rail, wide enough to lift the piece over it."""
        names = tuple(line.name for line in self.lines if line.rail is not None)
        if not names or deep_m <= 0:
            return
        practice, play_m = self.practice, self.nice_m(1 / 8, 3)
        hook = hook_m(practice)
        self.step(
            Step.NOTCH_FRAME,
            names=names,
            from_m=hook - practice.cleat_width_m - play_m,
            to_m=hook + practice.cleat_m + play_m,
            deep_m=deep_m + practice.clearance_m,
        )

    def fabric(self, width: float, height: float, deep: float) -> None:
        size = fabric_cut(width, height, deep, self.practice.wrap_m)
        stock = self.stock(ShopMaterial.FABRIC, UsedFor.FACE)
        self.cut(Part.FABRIC, stock, 1, size, fact(Note.NAP))
