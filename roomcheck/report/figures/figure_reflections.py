"""Reflections drawn: level over time with every arrival named, the paths on the plan, the points on
the walls."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from roomcheck.analyse import Reflection
from roomcheck.geometry import Face, Point
from roomcheck.job import Job
from roomcheck.judge import Limit
from roomcheck.report.figures.drawings import OnPaper, elevation_svg, plan_svg
from roomcheck.report.figures.figures import BAND, INK, QUIET, WIDE_IN, drawing, svg_of
from roomcheck.report.figures.labels import spread
from roomcheck.words import say

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

Numbered = Sequence[tuple[int, Reflection]]
FLOOR_DB, TOP_DB = -36.0, 14.0
HALF_M = (0.060, 0.060)
"""Room for a wall with its numbered places, two in a row. [m]"""
APART_PT = 8.5
"""From one name to the next [pt]."""
NAMES_PT = 400.0
"""What the axis of time takes of the width, at least: names keep apart by it [pt]."""


def arrivals_svg(
    curve: tuple[NDArray[np.float64], NDArray[np.float64]],
    numbered: Numbered,
    limit: Limit | None,
    seconds: float,
) -> str:
    """Level over time of one pair; named arrivals filled, unnamed hollow."""
    with drawing(WIDE_IN, 3.3) as figure:
        axes = figure.add_subplot()
        t, level = curve
        axes.plot(1000 * t, level.clip(min=FLOOR_DB), color=QUIET, lw=0.7)
        if limit is not None:
            span = [1000 * max(limit.from_s, 0.0007), 1000 * limit.to_s]
            axes.fill_between(span, limit.level_db, 0, color=BAND, lw=0, zorder=0)
            label = say("fig_limit", db=f"{limit.level_db:.0f}", ms=f"{1000 * limit.to_s:.0f}")
            axes.plot(span, [limit.level_db] * 2, color=INK, lw=1, ls=(0, (4, 2)), label=label)
        for named, fill, key in ((True, INK, "fig_named"), (False, "white", "fig_unnamed")):
            chosen = [r for _, r in numbered if bool(r.causes) is named]
            if chosen:
                times_ms = [1000 * r.delay_s for r in chosen]
                levels_db = [r.level_db for r in chosen]
                looks: dict[str, Any] = {"color": INK, "mfc": fill, "ms": 4.5, "lw": 0}
                axes.plot(times_ms, levels_db, "o", label=say(key), **looks)
        _names(axes, numbered, seconds)
        axes.set_xlim(-1, 1000 * seconds)
        axes.set_ylim(FLOOR_DB, TOP_DB)
        axes.set_yticks([-30, -20, -10, 0])
        axes.grid(axis="y", color=BAND, lw=0.5)
        axes.set_axisbelow(True)
        axes.set_xlabel(say("axis_delay"))
        axes.set_ylabel(say("axis_relative"))
        figure.legend(loc="outside upper right", fontsize=7.5, ncols=3)
        return svg_of(figure)


def _names(axes: Axes, numbered: Numbered, seconds: float) -> None:
    """Write every arrival's name over the chart, as near to its moment as the others allow."""
    in_order = sorted(numbered, key=lambda pair: pair[1].delay_s)
    times_ms = [1000 * r.delay_s for _, r in in_order]
    low_ms, high_ms = -1.0, 1000 * seconds
    apart_ms = APART_PT / NAMES_PT * (high_ms - low_ms)
    places_ms = spread(times_ms, apart_ms, low_ms, high_ms)
    for (number, r), at_ms in zip(in_order, places_ms, strict=True):
        axes.annotate(
            f"{number} {_cause(r)}",
            (1000 * r.delay_s, r.level_db + 0.8),
            (at_ms, 1.5),
            rotation=90,
            ha="center",
            va="bottom",
            fontsize=6.5,
            arrowprops={"arrowstyle": "-", "color": QUIET, "lw": 0.5, "shrinkA": 0, "shrinkB": 0},
        )


def _cause(reflection: Reflection) -> str:
    """The surfaces of the first explanation, in a label's few words."""
    if not reflection.causes:
        return say("fig_no_cause")
    faces = say("fig_then").join(reflection.causes[0].faces)
    return say("fig_or_other", faces=faces) if len(reflection.causes) > 1 else faces


def paths_svg(job: Job, pairs: Sequence[tuple[Point, Point, Numbered]]) -> tuple[str, int]:
    """First-order paths off walls on the floor plan, and its scale."""
    origin = job.room.face("floor").origin

    def marks(on: OnPaper) -> None:
        for (start, end, numbered), dashes in zip(
            pairs, ("-", (0, (4, 2)), (0, (1, 1.5))), strict=False
        ):
            for number, r in numbered:
                meeting = r.causes[0].meetings[0] if r.causes and r.causes[0].order == 1 else None
                if meeting is None or job.room.face(meeting.face).kind != "wall":
                    continue
                x = [p - origin.x for p in (start.x, meeting.x_m, end.x)]
                y = [p - origin.y for p in (start.y, meeting.y_m, end.y)]
                on.axes.plot(x, y, color=QUIET, lw=0.9, ls=dashes)
                _dot(on, x[1], y[1], number)

    return plan_svg(job, marks=marks)


def _dot(on: OnPaper, x_m: float, y_m: float, number: int) -> None:
    """A sign where a path meets a face, and its number beside it."""
    on.axes.plot([x_m], [y_m], "o", color=INK, mfc="white", ms=4, clip_on=False)
    on.name(str(number), on.sign(x_m, y_m), size_pt=7)


def points_svg(job: Job, face: Face, numbered: Numbered) -> tuple[str, int]:
    """One face with the points where its reflections meet it, and its scale."""

    def marks(on: OnPaper) -> None:
        for number, r in numbered:
            m = r.causes[0].meetings[0]
            _dot(on, m.u_m, m.v_m, number)

    return elevation_svg(job, face, (), marks=marks, room_m=HALF_M)
