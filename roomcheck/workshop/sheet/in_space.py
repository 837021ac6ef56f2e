"""One kind of piece as it stands in space: its parts, its outside, and what is wrapped."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.job import Job, ShopPractice, StockPiece
from roomcheck.workshop.kinds import Part
from roomcheck.workshop.parts.pieces import built
from roomcheck.workshop.patterns.layout import outside_m
from roomcheck.workshop.results import Solid
from roomcheck.workshop.sheet.sheet import bench_line, stock_piece


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceInSpace:
    """A kind of piece, upright as the shop's file has it."""

    piece: StockPiece
    width_m: float
    """Outside, with its frame [m]."""
    height_m: float
    """Outside, with its frame [m]."""
    solids: tuple[Solid, ...]
    """Its parts in their places; empty for a stack of triangles."""
    wrapped: bool
    """Whether fabric goes round its frame."""
    frame_m: float
    """From the frame's back to the front of the foremost part [m]."""


def piece_in_space(job: Job, name: str, practice: ShopPractice | None = None) -> PieceInSpace:
    """Build one piece of the shop's stock for nowhere in particular.

    Raises
    ------
    NotInStock, PanelError
        As `build` does.
    """
    practice = practice or job.shop.practice
    piece = stock_piece(job.shop, name)
    width_m, height_m = outside_m(piece, practice)
    sheet = built(job, piece, (bench_line("1", piece, practice),), practice)
    fronts = [solid.at_m[2] + solid.size_m[2] for solid in sheet.solids]
    return PieceInSpace(
        piece=piece,
        width_m=width_m,
        height_m=height_m,
        solids=sheet.solids,
        wrapped=any(cut.part is Part.FABRIC for cut in sheet.cuts),
        frame_m=max(fronts, default=piece.depth_m),
    )
