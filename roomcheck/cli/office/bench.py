"""Settings of the bench that `roomcheck build` takes: kept with the job, or for this sheet
alone."""

from __future__ import annotations

import argparse
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from roomcheck.errors import RoomcheckError
from roomcheck.job import PATTERNS_SAID, parse_pattern
from roomcheck.typed import LengthError, parse_length

if TYPE_CHECKING:
    from roomcheck.job import NumberPattern, Shop
    from roomcheck.workshop import Wanted

_LENGTHS = {"stick": "stick_m", "trim": "trim_m", "hold": "hold_m", "clearance": "clearance_m"}


def add_settings(parser: argparse.ArgumentParser) -> None:
    """Options of the bench; with a job they are written into its shop.toml."""
    bench = parser.add_argument_group(
        "bench", "with a job, these are kept in its shop.toml; report builds with them too"
    )
    bench.add_argument(
        "--stick", metavar="LENGTH", help="section of the stick as measured over many, divided"
    )
    bench.add_argument(
        "--seed", type=int, metavar="N", help="of a drawn block pattern: same seed, same panel"
    )
    bench.add_argument(
        "--pattern", metavar="TEXT", help='"quadratic residues 7", "primitive root 13", or "drawn"'
    )
    bench.add_argument(
        "--heights", metavar="LIST", help='block heights or well depths, such as "0 in, 1 in, 2 in"'
    )
    bench.add_argument(
        "--cell", metavar="LENGTH", help="nominal section of the stick, or width of a well"
    )
    bench.add_argument("--corner", choices=("butt", "mitre"), help="of the frame")
    bench.add_argument(
        "--runs-long",
        choices=("long", "short"),
        help="butt corners: which boards run over the others",
    )
    bench.add_argument("--clearance", metavar="LENGTH", help="between array and frame, each side")
    bench.add_argument("--kerf", metavar="LENGTH", help="width of the saw cut (with --piece)")
    bench.add_argument("--trim", metavar="LENGTH", help="cut off each end of a stick")
    bench.add_argument("--hold", metavar="LENGTH", help="what must stay in the clamp")


@dataclass(frozen=True)
class Settings:
    """What was set, as typed and as metres."""

    practice_text: dict[str, str | int]
    practice: dict[str, Any]
    kerf_m: float | None
    piece_text: dict[str, Any]
    piece_values: dict[str, Any]

    @property
    def any(self) -> bool:
        return bool(self.practice_text or self.piece_text)

    def applied(self, shop: Shop) -> Shop:
        """The shop that works so."""
        kerf = shop.kerf_m if self.kerf_m is None else self.kerf_m
        return replace(shop, practice=replace(shop.practice, **self.practice), kerf_m=kerf)

    def piece(self, one: Wanted) -> Wanted:
        """A piece with what was set for it; only diffusers take any."""
        if not self.piece_values or not one.piece.diffuser:
            return one
        from roomcheck.workshop import redrawn

        return replace(one, piece=redrawn(one.piece, self.piece_values))

    def pieces_text(self, shop: Shop) -> dict[str, dict[str, Any]]:
        """The same for every diffuser of a shop's file, as its file writes it."""
        kinds = [piece.name for piece in shop.stock if piece.kind == "block diffuser"]
        return dict.fromkeys(kinds, self.piece_text) if self.piece_text else {}


def read_settings(args: argparse.Namespace) -> Settings:
    """Read every option at once.

    Raises
    ------
    RoomcheckError
        Names the option, and what was meant.
    """
    practice: dict[str, Any] = {}
    text: dict[str, str | int] = {}
    for key, name in _LENGTHS.items():
        raw = getattr(args, key)
        if raw is not None:
            practice[name] = _length(f"--{key}", raw, zero=key != "stick")
            text[key] = raw
    for key in ("corner", "runs_long"):
        if getattr(args, key) is not None:
            practice[key] = text[key] = getattr(args, key)
    kerf = None if args.kerf is None else _length("--kerf", args.kerf, zero=False)
    if kerf is not None and args.job:
        raise RoomcheckError(
            "--kerf: a job's kerf stands in its shop.toml, under [shop]; change it there"
        )
    values, written = _piece(args)
    return Settings(
        practice_text=text, practice=practice, kerf_m=kerf, piece_text=written, piece_values=values
    )


def _piece(args: argparse.Namespace) -> tuple[dict[str, Any], dict[str, Any]]:
    values: dict[str, Any] = {}
    written: dict[str, Any] = {}
    if args.seed is not None:
        if args.seed < 0:
            raise RoomcheckError(f"--seed {args.seed}: it must be a whole number, 0 or more")
        values["seed"] = written["seed"] = args.seed
    if args.pattern is not None:
        values["pattern"] = _pattern(args.pattern)
        written["pattern"] = args.pattern if values["pattern"] else ""
    if args.heights is not None:
        texts = [item.strip() for item in args.heights.split(",") if item.strip()]
        values["steps_m"] = tuple(_length("--heights", item, zero=True) for item in texts)
        written["steps"] = texts
    if args.cell is not None:
        values["cell_m"], written["cell"] = _length("--cell", args.cell, zero=False), args.cell
    return values, written


def _pattern(text: str) -> NumberPattern | None:
    if text == "drawn":
        return None
    pattern = parse_pattern(text)
    if pattern is None:
        raise RoomcheckError(f"--pattern {text!r}: {PATTERNS_SAID.replace('left out', '“drawn”')}")
    return pattern


def _length(option: str, raw: str, *, zero: bool) -> float:
    try:
        found = parse_length(raw)
    except LengthError as problem:
        raise RoomcheckError(f"{option}: {problem}") from problem
    if found < 0 or (found == 0 and not zero):
        raise RoomcheckError(f"{option} {raw!r}: it must be {'0 or more' if zero else 'above 0'}")
    return found
