"""Cut lists, row maps, hanging lines."""

from roomcheck.build.results import BuildSheet, Cut, HangingLine, PieceSheet, Purchase

__all__ = ["BuildSheet", "Cut", "HangingLine", "PieceSheet", "Purchase"]
