"""Dimensions: running ones from an edge, and chains of distances, whose texts never meet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from roomcheck.report.figures.labels import SMALL_MM, lines_size_mm, spread
from roomcheck.report.figures.paper import Paper, Pen

STEP_MM = 3.1
"""Least distance of two dimensions along their line. [mm]"""
_GAP_MM = 0.8
_LEADER_MM = 4.0
"""From what is measured to the text, for the bend of a leader. [mm]"""
_ROW_MM = 3.6
"""From a chain's line to the texts that found no room within it. [mm]"""
LAYER = "DIMENSIONS"

Stop = tuple[float, str]
"""A place along a line, and the text that stands for it. [mm]"""


def running_mm(texts: Sequence[str]) -> float:
    """Depth that running dimensions take beside a drawing. [mm]"""
    widest = max((lines_size_mm([text], SMALL_MM)[0] for text in texts), default=0.0)
    return _GAP_MM + _LEADER_MM + 0.6 + widest


def running(
    paper: Paper,
    stops: Sequence[Stop],
    edge_mm: float,
    *,
    side: Literal["below", "above", "left"],
    within_mm: tuple[float, float],
) -> None:
    """Mark each stop with a leader off an edge, and write its text at the end.

    Parameters
    ----------
    stops : sequence of Stop
        The smallest first.
    edge_mm : float
        Of what is measured: its lower, upper or left one. [mm]
    within_mm : (low, high)
        Texts stay between. [mm]

    Raises
    ------
    ValueError
        Too many for the room: the caller shows a shorter stretch.
    """
    if not stops:
        return
    places = spread([at for at, _ in stops], STEP_MM, *within_mm)
    out = 1.0 if side == "above" else -1.0
    offs = _GAP_MM, _GAP_MM + 0.25 * _LEADER_MM, _GAP_MM + _LEADER_MM
    near, bend, end = (edge_mm + out * off for off in offs)
    for (at, text), place in zip(stops, places, strict=True):
        spots = ((at, near), (at, bend), (place, end))
        flat = [(y, x) for x, y in spots] if side == "left" else spots
        paper.line(*flat, pen=Pen.THIN, layer=LAYER)
        _beyond(paper, place, end, text, side)


def chain_mm(texts: Sequence[str]) -> float:
    """Depth that a chain takes beside a drawing, at the most. [mm]"""
    widest = max((lines_size_mm([text], SMALL_MM)[0] for text in texts), default=0.0)
    return _ROW_MM + 1.0 + widest


def chain(
    paper: Paper,
    stops_mm: Sequence[float],
    texts: Sequence[str],
    line_mm: float,
    *,
    side: Literal["below", "above", "left", "right"],
) -> None:
    """Distances of neighbouring stops along one line; those too short for their text have it
    beside, with a leader. An empty text leaves its distance out.

    Raises
    ------
    ValueError
        `texts` are not one fewer than the stops.
    """
    away = -1.0 if side in ("below", "left") else 1.0
    level = side in ("below", "above")

    def draw(*spots: tuple[float, float]) -> None:
        flat = spots if level else tuple((y, x) for x, y in spots)
        paper.line(*flat, pen=Pen.THIN, layer=LAYER)

    if len(stops_mm) < 2:
        return
    draw((stops_mm[0], line_mm), (stops_mm[-1], line_mm))
    for stop in stops_mm:
        draw((stop, line_mm - away * 1.2), (stop, line_mm + away * 0.8))
        draw((stop - 0.7, line_mm - 0.7), (stop + 0.7, line_mm + 0.7))
    short: list[tuple[float, str]] = []
    for (a, b), text in zip(pairwise(stops_mm), texts, strict=True):
        wide, _ = lines_size_mm([text], SMALL_MM)
        middle = (a + b) / 2
        if not text:
            continue
        if wide <= b - a - 1.6:
            _on_line(paper, middle, text, line_mm, away, level=level)
        else:
            short.append((middle, text))
    reach = STEP_MM * len(short) + 20.0
    low, high = stops_mm[0] - reach, stops_mm[-1] + reach
    places = spread([middle for middle, _ in short], STEP_MM, low, high) if short else []
    for (middle, text), place in zip(short, places, strict=True):
        end = line_mm + away * _ROW_MM
        draw((middle, line_mm), (place, end))
        _beyond(paper, place, end, text, side)


def _on_line(
    paper: Paper, middle: float, text: str, line_mm: float, away: float, *, level: bool
) -> None:
    """A text along its line, on the side away from the drawing."""
    at = line_mm + away * 0.5
    if level:
        up: Literal["top", "bottom"] = "top" if away < 0 else "bottom"
        paper.text((middle, at), text, up=up, layer=LAYER)
    else:
        part: Literal["left", "right"] = "right" if away < 0 else "left"
        paper.text((at, middle), text, across=part, turned=True, layer=LAYER)


def _beyond(paper: Paper, place: float, end: float, text: str, side: str) -> None:
    """A text at the end of its leader, standing across its line."""
    if side == "below":
        paper.text((place, end - 0.5), text, up="top", turned=True, layer=LAYER)
    elif side == "above":
        paper.text((place, end + 0.5), text, up="bottom", turned=True, layer=LAYER)
    elif side == "left":
        paper.text((end - 0.5, place), text, across="right", layer=LAYER)
    else:
        paper.text((end + 0.5, place), text, across="left", layer=LAYER)
