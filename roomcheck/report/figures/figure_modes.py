"""Charts of the low end: how long each mode rings, how each note dies away, and how loud each
frequency is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from roomcheck.analyse import BandDecay, Modes, Response, RoomMode
from roomcheck.measure import Measurement
from roomcheck.report.figures.figures import BAND, INK, QUIET, SOFT, WIDE_IN, drawing, svg_of
from roomcheck.units import band_name
from roomcheck.words import say

if TYPE_CHECKING:
    from roomcheck.analyse import ShownCurve

MARKS = {"axial": "o", "tangential": "s", "oblique": "^", None: "x"}
"""By kind of the standing wave; None where the room's size predicts none."""
SEAT_DASHES: tuple[Any, ...] = ("-", (0, (5, 2)), (0, (1.5, 1.5)), (0, (6, 1.5, 1.5, 1.5)))
"""Lines of the seat's responses, one a source."""
MAP_DB, MAP_STEP_DB = 42, 6
MAP_S = 0.6
LOWEST_DB, MIDDLE_HZ = -65, 1000.0
"""Where decay curves end; the octave that is drawn large, where it has a T20. [dB], [Hz]"""


def modes_svg(modes: Modes) -> str:
    """Decay of each mode over its frequency, with what holds the true value 95 times in 100."""
    with drawing(WIDE_IN, 2.7) as figure:
        axes = figure.add_subplot()
        for kind, mark in MARKS.items():
            of_kind = [mode for mode in modes.found if _kind(mode) == kind]
            if of_kind:
                _modes_of_kind(axes, of_kind, kind, mark)
        longest = modes.longest
        if longest is not None:
            axes.annotate(
                f"{longest.frequency_hz:.0f} Hz",
                (longest.frequency_hz, longest.decay_s),
                (4, 4),
                textcoords="offset points",
                fontsize=7.5,
            )
        highest_s = max((mode.decay_s + 2 * mode.decay_u_s for mode in modes.found), default=1.0)
        axes.set_xlim(modes.from_hz, modes.to_hz)
        axes.set_ylim(0, 1.15 * highest_s)
        axes.set_xlabel(say("axis_hz"))
        axes.set_ylabel(say("axis_mode_decay"))
        axes.grid(axis="y", color=BAND, lw=0.5)
        axes.set_axisbelow(True)
        if modes.found:
            figure.legend(loc="outside upper right", fontsize=7.5, ncols=4)
        return svg_of(figure)


def _kind(mode: RoomMode) -> str | None:
    """Kind of the room's own mode next to a measured one; None where there is none."""
    return None if mode.box is None else mode.box.kind


def _modes_of_kind(axes: Any, modes: Sequence[RoomMode], kind: str | None, mark: str) -> None:
    """Measured modes of one kind with their expanded uncertainties."""
    label = say(f"mode_{kind}") if kind else say("fig_unmatched")
    fill = "white" if kind in ("oblique", "tangential") else INK
    axes.errorbar(
        [mode.frequency_hz for mode in modes],
        [mode.decay_s for mode in modes],
        xerr=[2 * mode.frequency_u_hz for mode in modes],
        yerr=[2 * mode.decay_u_s for mode in modes],
        fmt=mark,
        color=INK,
        markerfacecolor=fill,
        markersize=5,
        capsize=2,
        lw=0.8,
        label=label,
    )


def map_svg(take: Measurement, from_hz: float, to_hz: float) -> str:
    """How each low note dies away at one place: greys in steps of 6 dB, darker is louder."""
    import numpy as np
    from matplotlib.colors import LinearSegmentedColormap

    from roomcheck.analyse import decay_map

    hz, t = np.linspace(from_hz, to_hz, 110), np.linspace(0.0, MAP_S, 25)
    level = decay_map(take.response, hz, t)
    steps = np.arange(-MAP_DB, 0.1, MAP_STEP_DB)
    with drawing(WIDE_IN, 2.9) as figure:
        axes = figure.add_subplot()
        greys = LinearSegmentedColormap.from_list("ink", ["white", BAND, SOFT, INK])
        filled = axes.contourf(hz, t, level, levels=steps, cmap=greys, extend="min")
        axes.contour(
            hz, t, level, levels=steps[1::2], colors=QUIET, linewidths=0.4, linestyles="solid"
        )
        bar = figure.colorbar(filled, ax=axes, ticks=steps[::2], pad=0.02)
        bar.set_label(say("axis_map_level"))
        axes.set_xlabel(say("axis_hz"))
        axes.set_ylabel(say("axis_map_time"))
        return svg_of(figure)


def response_svg(
    responses: Sequence[Response], seat: str | None, transition_hz: float | None
) -> str:
    """How loud each frequency is at each position; the seat in bold."""
    import numpy as np

    with drawing(WIDE_IN, 2.9) as figure:
        axes = figure.add_subplot()
        seat_last = sorted(responses, key=lambda response: response.microphone == seat)
        for place, response in enumerate(seat_last):
            looks: dict[str, Any] = {"color": SOFT, "lw": 0.6, "ls": "-"}
            if response.microphone == seat:
                looks = {"color": INK, "lw": 1.2, "ls": SEAT_DASHES[place % len(SEAT_DASHES)]}
                looks["label"] = f"{response.source}, {response.microphone}"
            elif place == 0:
                looks["label"] = say("fig_others")
            hz, level = np.array(response.hz), np.array(response.level_db)
            clear = (hz >= response.clear_from_hz) & (hz <= response.clear_to_hz)
            axes.plot(hz[clear], level[clear], **looks)
        if transition_hz is not None:
            axes.axvline(transition_hz, color=QUIET, lw=0.8, ls=":", label=say("fig_transition"))
        axes.set_xscale("log")
        ticks = [31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000]
        axes.set_xticks(ticks, [f"{f:g}" if f < 1000 else f"{f / 1000:g}k" for f in ticks])
        axes.minorticks_off()
        axes.set_xlim(20, 20_000)
        axes.set_ylim(-30, 15)
        axes.set_xlabel(say("axis_hz"))
        axes.set_ylabel(say("axis_level"))
        axes.grid(color=BAND, lw=0.5)
        axes.set_axisbelow(True)
        figure.legend(loc="outside upper right", fontsize=7.5, ncols=4)
        return svg_of(figure)


def curves_svg(take: Measurement, octaves: Sequence[BandDecay]) -> str:
    """Decay curves of one place with their fits and where the noise is: one octave large, the
    others small, all on the same axes."""
    from roomcheck.analyse import curve_shown

    bands = [band for band in octaves if band.range_db is not None]
    curves = [(band, curve_shown(take.response, band.band_hz)) for band in bands]
    large = min(range(len(bands)), key=lambda i: _off_middle(bands[i]), default=0)
    small = [i for i in range(len(bands)) if i != large]
    rows = max((len(small) + 1) // 2, 2)
    with drawing(WIDE_IN, 0.6 + 0.85 * rows) as figure:
        grid = figure.add_gridspec(rows, 4)
        axes = figure.add_subplot(grid[:, :2])
        labels: dict[str, Any] = _curve(axes, *curves[large]) if curves else {}
        for place, i in enumerate(small):
            spot = grid[place // 2, 2 + place % 2]
            beside = figure.add_subplot(spot, sharex=axes, sharey=axes)
            labels |= _curve(beside, *curves[i])
            beside.tick_params(labelleft=False, labelbottom=False)
        longest_s = [_shown_s(curve) for _, curve in curves if curve is not None]
        axes.set_xlim(0, 1.05 * max(longest_s, default=1.0))
        axes.set_ylim(LOWEST_DB, 3)
        axes.set_ylabel(say("axis_still"))
        figure.supxlabel(say("axis_after"), fontsize=8)
        if labels:
            figure.legend(
                labels.values(), labels.keys(), loc="outside upper right", fontsize=7.5, ncols=4
            )
        return svg_of(figure)


def _shown_s(curve: ShownCurve) -> float:
    """When a curve leaves the drawing. [s]"""
    return float(curve.t_s[curve.level_db >= LOWEST_DB].max(initial=0.01))


def _off_middle(band: BandDecay) -> tuple[bool, float]:
    """How far an octave is from the one that stands for speech; those with a T20 come first."""
    return band.t20_s is None, abs(math.log2(band.band_hz / MIDDLE_HZ))


def _curve(axes: Any, band: BandDecay, shown: ShownCurve | None) -> dict[str, Any]:
    """One octave with its T20 beside its name; what was drawn, by its name in the legend."""
    import numpy as np

    number = "" if band.t20_s is None else f", {band.t20_s:.2f} s"
    axes.set_title(f"{band_name(band.band_hz)}{number}", fontsize=8, loc="left", pad=2)
    axes.grid(axis="y", color=BAND, lw=0.5)
    if shown is None:
        centre = {"ha": "center", "va": "center", "transform": axes.transAxes}
        axes.text(0.5, 0.5, say("fig_no_decay"), fontsize=6.5, **centre)
        return {}
    curve = axes.plot(shown.t_s, shown.level_db, color=SOFT, lw=2.4, solid_capstyle="butt")[0]
    drawn = {say("fig_curve"): curve}
    for name, t60, to_db, dash in (
        ("T30", band.t30_s, -35, (0, (1.2, 1.2))),
        ("T20", band.t20_s, -25, (0, (5, 1.5))),
    ):
        if t60 is None:
            continue
        begin = float(np.interp(5.0, -shown.level_db, shown.t_s))
        ends = [begin, begin + t60 * (-5 - to_db) / 60]
        drawn[name] = axes.plot(ends, [-5, to_db], color=INK, lw=1.1, ls=dash)[0]
    floor = max(shown.floor_db, LOWEST_DB)
    drawn[say("fig_noise")] = axes.axhspan(
        LOWEST_DB, floor, facecolor="none", edgecolor=SOFT, hatch="////", lw=0
    )
    return drawn
