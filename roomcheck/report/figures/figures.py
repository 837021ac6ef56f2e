"""Charts: decays against their target, before and after, the options. SVG, no display, same bytes
for same numbers.

Grey and hatched, so that a black and white print says the same.
"""

from __future__ import annotations

import io
import warnings
from base64 import b64encode
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from roomcheck.analyse import Analysis
from roomcheck.judge import Verdict
from roomcheck.signs import visible
from roomcheck.units import band_label
from roomcheck.words import say

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from roomcheck.verify import Verification

INK, QUIET, BAND, SOFT = "#18242b", "#4a5a63", "#d3dcdf", "#82949c"
WIDE_IN = 6.5
TELEPHONE_IN = 3.9
"""Width at which a telephone of 390 px shows a drawing at its own size. [in]"""

_STYLE = {
    "svg.hashsalt": "roomcheck",
    "svg.fonttype": "none",
    "font.family": "DejaVu Sans",
    "font.size": 8,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.7,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.color": INK,
    "hatch.linewidth": 0.6,
    "hatch.color": QUIET,
    "legend.frameon": False,
    "figure.autolayout": False,
    "figure.constrained_layout.use": False,
}


_SVG_DPI = 72
"""Points of an SVG in an inch, as matplotlib writes it."""

PLACE_DIGITS = 6
"""Of an area's place as a share of its figure: what other versions of a library make of the same
numbers differs far behind that."""


@contextmanager
def drawing(width_in: float, height_in: float) -> Iterator[Figure]:
    """A figure in the house's style; matplotlib's settings are as before when it is done."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context(_STYLE):  # type: ignore[arg-type]
        yield Figure(figsize=(width_in, height_in), layout="constrained")


@contextmanager
def chart(width_in: float, height_in: float) -> Iterator[Figure]:
    """The same, with letters and a height that suit a telephone where it is drawn for one."""
    import matplotlib as mpl

    narrow = width_in <= TELEPHONE_IN
    tall_in = height_in + 0.5 if narrow else height_in
    with drawing(width_in, tall_in) as figure:
        if narrow:
            mpl.rcParams["font.size"] = 9.5
        yield figure


def _legend(figure: Figure) -> None:
    """Above the chart: in one line on paper, line by line on a telephone."""
    wide = figure.get_figwidth() > TELEPHONE_IN
    letters_pt, columns = (7.5, 3) if wide else (9.5, 1)
    figure.legend(loc="outside upper right", fontsize=letters_pt, ncols=columns)


def svg_of(figure: Figure) -> str:
    """The figure as SVG text. Call it inside `drawing`."""
    out = io.BytesIO()
    with warnings.catch_warnings():
        # A sign that the font has not stands as a box; that is seen, and no news for a terminal.
        warnings.filterwarnings("ignore", "Glyph .* missing", UserWarning)
        _lay_out(figure)
        figure.savefig(
            out,
            format="svg",
            transparent=True,
            metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")),
        )
    return visible(out.getvalue().decode("utf-8"))


def _lay_out(figure: Figure) -> None:
    """Give everything its place, and let go of what does: with it, saving draws all once more."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    engine = figure.get_layout_engine()
    if engine is not None and figure.axes:
        # Texts are as wide as in the file alone where the canvas and its points are the file's.
        FigureCanvasSVG(figure)
        figure.dpi = _SVG_DPI
        engine.execute(figure)
    figure.set_layout_engine(None)
    for axes in figure.axes:
        # The file names what clips an area after every digit of the area's place.
        bounds = axes.get_position(original=True).bounds
        left, bottom, wide, high = (round(share, PLACE_DIGITS) for share in bounds)
        axes.set_position((left, bottom, wide, high), which="original")


def draw_nothing() -> None:
    """Have everything that drawing takes imported and its letters known: what is done first, where
    others go on from."""
    import scipy.fft  # noqa: F401

    with drawing(1.0, 1.0) as figure:
        figure.add_subplot()
        svg_of(figure)


def image_in(jpeg: bytes, box: tuple[float, float, float, float]) -> str:
    """A photograph within an SVG: left, top, width, height in its units."""
    left, top, wide, high = box
    return (
        f'<image x="{left:.3f}" y="{top:.3f}" width="{wide:.3f}" height="{high:.3f}" '
        'preserveAspectRatio="none" '
        f'href="data:image/jpeg;base64,{b64encode(jpeg).decode()}"/>'
    )


def decays_svg(analysis: Analysis, verdict: Verdict | None, width_in: float = WIDE_IN) -> str:
    """T20 per octave with its uncertainty, over the target's limits."""
    with chart(width_in, 2.9) as figure:
        axes = figure.add_subplot()
        bands = list(analysis.octaves)
        place = {band.band_hz: i for i, band in enumerate(bands)}
        if verdict is not None:
            judged = [v for v in verdict.bands if v.band_hz in place]
            _limits(axes, [(place[v.band_hz], v.low_s, v.high_s) for v in judged])
        known = []
        for band in bands:
            if band.t20_s is not None:
                known.append((place[band.band_hz], band.t20_s, 2 * (band.t20_u_s or 0.0)))
        if known:
            x, y, bars = zip(*known, strict=True)
            axes.errorbar(
                x,
                y,
                yerr=bars,
                fmt="o",
                color=INK,
                markersize=5,
                capsize=4,
                lw=1.2,
                label=say("fig_measured"),
            )
        _modal(axes, analysis, place)
        _octaves(axes, [band.band_hz for band in bands])
        _seconds(axes, top=max([y + u for _, y, u in known], default=0.5))
        _legend(figure)
        return svg_of(figure)


def _limits(axes: Axes, bands: Sequence[tuple[int, float | None, float | None]]) -> None:
    label: str | None = say("fig_target")
    for x, low, high in bands:
        if high is None and low is None:
            continue
        # Without an upper limit the strip goes on to well above the lower one.
        bottom = low or 0.0
        top = 3 * bottom if high is None else high
        axes.fill_between([x - 0.45, x + 0.45], bottom, top, color=BAND, lw=0, label=label)
        label = None
        for edge in (low, high):
            if edge is not None:
                axes.plot([x - 0.45, x + 0.45], [edge, edge], color=QUIET, lw=0.9)


def _modal(axes: Axes, analysis: Analysis, place: dict[float, int]) -> None:
    if analysis.transition_hz is None:
        return
    low = [i for hz, i in place.items() if hz < analysis.transition_hz]
    if low:
        axes.axvspan(
            -0.5,
            max(low) + 0.5,
            facecolor="none",
            edgecolor=SOFT,
            hatch="....",
            lw=0,
            label=say("fig_modal"),
        )


def _octaves(axes: Axes, bands_hz: Sequence[float]) -> None:
    axes.set_xticks(range(len(bands_hz)), [band_label(hz) for hz in bands_hz])
    axes.set_xlim(-0.5, len(bands_hz) - 0.5)
    axes.set_xlabel(say("axis_octave"))


def _seconds(axes: Axes, top: float) -> None:
    axes.set_ylabel(say("axis_decay"))
    axes.set_ylim(0, 1.1 * top)
    axes.grid(axis="y", color=BAND, lw=0.5)
    axes.set_axisbelow(True)


def change_svg(verification: Verification, width_in: float = WIDE_IN) -> str:
    """Before and after per octave, with the promise as signed."""
    with chart(width_in, 2.7) as figure:
        axes = figure.add_subplot()
        shown = [c for c in verification.bands if c.before_s is not None or c.after_s is not None]
        before, after = [c.before_s for c in shown], [c.after_s for c in shown]
        _pair(axes, before, after, [2 * (c.after_u_s or 0.0) for c in shown])
        _promised(axes, [(i, c.low_s, c.high_s) for i, c in enumerate(shown)])
        _octaves(axes, [c.band_hz for c in shown])
        _seconds(axes, top=max([time_s or 0 for time_s in (*before, *after)], default=0.5))
        _legend(figure)
        return svg_of(figure)


def _pair(
    axes: Axes, before: Sequence[float | None], after: Sequence[float | None], bars: Sequence[float]
) -> None:
    x = range(len(before))
    looks: dict[str, Any] = {"width": 0.36, "edgecolor": INK, "lw": 0.8}
    left, right = [i - 0.19 for i in x], [i + 0.19 for i in x]
    white: dict[str, Any] = {"color": "white", "hatch": "////"}
    axes.bar(left, [t or 0 for t in before], label=say("before"), **white, **looks)
    axes.bar(right, [t or 0 for t in after], label=say("after"), color=SOFT, **looks)
    known = [(i + 0.19, a, u) for i, a, u in zip(x, after, bars, strict=True) if a is not None]
    if known:
        bar_x, values, spread = zip(*known, strict=True)
        axes.errorbar(bar_x, values, yerr=spread, fmt="none", ecolor=INK, capsize=3, lw=1)


def _promised(axes: Axes, bands: Sequence[tuple[int, float | None, float | None]]) -> None:
    label: str | None = say("fig_promised")
    for x, low, high in bands:
        for edge in (low, high):
            if edge is None:
                continue
            strip, dashes = [x - 0.45, x + 0.45], (0, (2, 1))
            axes.plot(strip, [edge, edge], color=INK, lw=1.8, ls=dashes, label=label)
            label = None
