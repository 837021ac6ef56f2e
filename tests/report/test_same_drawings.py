"""Drawings of the same numbers are the same bytes, whatever library version laid them out."""

from __future__ import annotations

import re

from matplotlib.figure import Figure
from matplotlib.layout_engine import LayoutEngine

from roomcheck.report.figures.figures import drawing, svg_of

LAST_DIGIT = 1e-15
"""What sums of the same numbers in another order differ by, as a share of the figure."""


class _Laid(LayoutEngine):
    """Gives the only area its place, off by so much."""

    _adjust_compatible = _colorbar_gridspec = False

    def __init__(self, off: float) -> None:
        super().__init__()
        self.off = off

    def execute(self, fig: Figure) -> None:
        place = (0.1234567890123, 0.21 + self.off, 0.71 - self.off, 0.65 + self.off)
        fig.axes[0].set_position(place)


def chart_of(off: float) -> str:
    with drawing(4.0, 2.0) as figure:
        axes = figure.add_subplot()
        axes.plot([0, 1, 2], [0.41, 0.55, 0.48])
        axes.bar([0, 1, 2], [0.3, 0.2, 0.1], hatch="////")
        figure.set_layout_engine(_Laid(off))
        return svg_of(figure)


def test_the_last_digits_of_a_place_name_nothing():
    drawn = chart_of(0.0)
    assert re.search(r'clip-path="url\(#\w+\)"', drawn)
    assert chart_of(3 * LAST_DIGIT) == chart_of(-5 * LAST_DIGIT) == drawn


def test_a_place_that_is_another_is_seen():
    assert chart_of(1e-3) != chart_of(0.0)
