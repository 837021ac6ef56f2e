"""The picture of a first page: bars on one line of seconds, each with its number written on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from roomcheck.report.figures.figures import (
    BAND,
    INK,
    QUIET,
    SOFT,
    TELEPHONE_IN,
    WIDE_IN,
    drawing,
    svg_of,
)
from roomcheck.report.render.blocks import Picture
from roomcheck.words import mean_name, say

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BAR_IN, FRAME_IN = 0.36, 0.62
"""Height of a bar's row, and of all that stands around the rows. [in]"""


NUMBER_IN = 1.8
"""What a number beside a bar takes of the width. [in]"""

NUMBER_SHARE = 0.25
"""What a number takes of the drawn width, at most."""


def bars_picture(
    bars: Sequence[Bar], strip: Strip | None, bands_hz: tuple[float, ...], alt: str
) -> Picture:
    """The bars over their strip, with a form for telephones.

    Parameters
    ----------
    bands_hz : tuple of float
        Octaves that the decays are the mean of. [Hz]
    """
    axis = say("axis_mean_of", mean=mean_name(bands_hz))
    return Picture(
        svg=bars_svg(bars, strip, axis),
        narrow=bars_svg(bars, strip, say("axis_seconds"), width_in=TELEPHONE_IN),
        alt=alt,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One state of the room."""

    name: str
    """As it stands to the left."""
    number: str
    """As it stands beside the bar, with its unit."""
    from_s: float
    """Where the bar begins; 0 for a value, the lower end of a range [s]."""
    to_s: float
    """Where it ends [s]."""
    u_s: float | None = None
    """Standard uncertainty of a measured value [s]."""
    hatched: bool = False
    """Whether it is the room without the work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The range that is aimed at, or promised."""

    name: str
    """With its numbers and unit."""
    low_s: float | None
    high_s: float | None
    """Either end may be open [s]."""


def bars_svg(
    bars: Sequence[Bar], strip: Strip | None, axis: str, *, width_in: float = WIDE_IN
) -> str:
    """Draw the bars below each other over the strip, from 0 on."""
    ends = [bar.to_s + 2 * (bar.u_s or 0.0) for bar in bars]
    if strip is not None:
        ends += [end for end in (strip.low_s, strip.high_s) if end is not None]
    # Room for a number to the right of the longest bar.
    most = (1 + NUMBER_IN / width_in) * max(ends, default=1.0)
    letters_pt = 8.0 if width_in > TELEPHONE_IN else 9.5
    with drawing(width_in, FRAME_IN + BAR_IN * len(bars)) as figure:
        axes = figure.add_subplot()
        if strip is not None:
            _strip(axes, strip, most, letters_pt)
        for row, bar in enumerate(bars):
            _bar(axes, row, bar, most, beyond_s=None if strip is None else strip.high_s)
        axes.set_yticks(range(len(bars)), [bar.name for bar in bars])
        axes.tick_params(axis="y", length=0, labelsize=max(letters_pt, 9))
        axes.tick_params(axis="x", labelsize=letters_pt)
        axes.locator_params(axis="x", nbins=7 if width_in > TELEPHONE_IN else 4)
        axes.set_ylim(len(bars) - 0.45, -0.55)
        axes.set_xlim(0, most)
        axes.set_xlabel(axis, fontsize=letters_pt)
        return svg_of(figure)


def _strip(axes: Axes, strip: Strip, most: float, letters_pt: float) -> None:
    low_s, high_s = strip.low_s or 0.0, strip.high_s
    axes.axvspan(low_s, most if high_s is None else high_s, color=BAND, lw=0)
    for edge in (strip.low_s, high_s):
        if edge is not None:
            axes.axvline(edge, color=QUIET, lw=1.1, ls=(0, (3, 2)))
    right_of = high_s is None or high_s < 0.55 * most
    edge = low_s if high_s is None else high_s
    axes.annotate(
        strip.name,
        (edge, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(3 if right_of else -3, 2),
        textcoords="offset points",
        ha="left" if right_of else "right",
        va="bottom",
        fontsize=letters_pt,
        color=QUIET,
    )


def _bar(axes: Axes, row: int, bar: Bar, most: float, beyond_s: float | None) -> None:
    """One bar; its number stands behind the line at `beyond_s` where it would lie across it."""
    looks: dict[str, Any] = {"height": 0.58, "edgecolor": INK, "lw": 0.9}
    fill: dict[str, Any] = {"color": SOFT}
    if bar.hatched:
        fill = {"color": "white", "hatch": "////"}
    axes.barh([row], [bar.to_s - bar.from_s], left=[bar.from_s], **fill, **looks)
    end = bar.to_s
    if bar.u_s is not None:
        axes.errorbar([bar.to_s], [row], xerr=[2 * bar.u_s], color=INK, capsize=3, lw=1)
        end += 2 * bar.u_s
    if beyond_s is not None and end < beyond_s < end + NUMBER_SHARE * most:
        end = beyond_s
    axes.text(
        end + 0.012 * most, row, bar.number, fontsize=10, weight="bold", va="center", color=INK
    )
