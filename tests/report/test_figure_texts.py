"""No text of a chart covers another or leaves its sheet, whatever was measured."""

from __future__ import annotations

import os
import random

import numpy as np
import pytest
from matplotlib.text import Text

from roomcheck.analyse import CandidateImage, Meeting, Reflection, decays
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.report.figures import bars, figure_modes, figure_reflections, figures
from roomcheck.report.pages.reflections import LONGEST_S, MOST, SECONDS
from roomcheck.verify import verify

from .conftest import OCTAVES, a_verdict, an_analysis

CASES = int(os.environ.get("ROOMCHECK_FIGURES", "40"))
"""300 take three minutes."""
SLACK_PX = 1.0
FACES = ("south", "east", "north", "west", "floor", "ceiling")


@pytest.fixture
def sheets(monkeypatch):
    """The texts of every chart that is drawn, with their boxes, and the sheet's own size [pixel]."""
    found = []

    def collect(figure) -> str:
        figures._lay_out(figure)  # as the file is laid out
        figure.draw_without_rendering()
        # Of an annotation the letters alone: its own box holds its leader too.
        texts = [(text.get_text(), Text.get_window_extent(text)) for text in shown(figure)]
        found.append((texts, figure.bbox.width, figure.bbox.height))
        return "<svg/>"

    for module in (figures, bars, figure_reflections, figure_modes):
        monkeypatch.setattr(module, "svg_of", collect)
    return found


def shown(figure) -> list[Text]:
    """Texts that are drawn: ticks beyond an axis' ends are not."""
    beyond = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                if not low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                    beyond |= {tick.label1, tick.label2}
    texts = figure.findobj(Text)
    return [text for text in texts if text.get_text() and text.get_visible() and text not in beyond]


def a_cause(rng: random.Random) -> CandidateImage:
    """One or two faces, in order."""
    place = {"u_m": 1.0, "v_m": 1.0, "x_m": 1.0, "y_m": 1.0, "z_m": 1.0}
    faces = rng.sample(FACES, rng.randint(1, 2))
    meetings = tuple(Meeting(face=face, **place) for face in faces)
    return CandidateImage(meetings=meetings, due_s=0.01, residual_s=0.0)


def reflections(rng: random.Random, seconds: float) -> list[tuple[int, Reflection]]:
    """As many arrivals as a page names, some of them at nearly one moment."""
    found = []
    for number in range(1, MOST + 1):
        delay_s = rng.choice((rng.uniform(0.0005, seconds), 0.99 * seconds, 0.004))
        causes = (a_cause(rng),) * rng.randint(0, 2)
        level_db = rng.uniform(-30, 2)
        one = Reflection(delay_s=delay_s, level_db=level_db, stands_out_db=6.0, causes=causes)
        found.append((number, one))
    return found


def a_take(rng: random.Random, seed: int) -> Measurement:
    """A response that dies away at some speed over some noise, or is noise alone."""
    rate, noise = 16_000, np.random.default_rng(seed)
    t = np.arange(rate) / rate
    x = noise.normal(size=rate) * np.exp(-6.9 * t / rng.uniform(0.15, 1.5))
    x = np.concatenate([np.zeros(160), [20.0], x]) * rng.choice((0, 1, 1, 1, 1, 1))
    x += 10 ** rng.uniform(-4, -1) * noise.normal(size=len(x))
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0)
    response = ImpulseResponse(samples=x, rate_hz=rate)
    return Measurement(source="S1", microphone="P1", take="a", response=response, check=check)


def draw_all(job, agreement, rng: random.Random, seed: int) -> None:
    t20s = tuple(rng.uniform(0.1, 4) * rng.choice((1, 0.3)) for _ in OCTAVES)
    before = an_analysis("before", t20s, seed)
    after = an_analysis("after", tuple(t * rng.uniform(0.3, 1.1) for t in t20s), seed + 1)
    change = verify(job, before, after, agreement)
    for width_in in (figures.WIDE_IN, figures.TELEPHONE_IN):
        figures.decays_svg(before, a_verdict(before), width_in)
        figures.change_svg(change, width_in)
    states = [
        bars.Bar(name=name, number=f"{t:.2f} s", from_s=0.0, to_s=t, u_s=rng.uniform(0, 0.1 * t))
        for name, t in zip(("today", "planned", "measured"), t20s[:3], strict=True)
    ]
    low_s = rng.choice((None, rng.uniform(0.1, 0.8)))
    strip = bars.Strip(name="target 0.20–1.35 s", low_s=low_s, high_s=rng.uniform(0.9, 2))
    for width_in in (figures.WIDE_IN, figures.TELEPHONE_IN):
        bars.bars_svg(states, strip, "mean T20 [s]", width_in=width_in)
    curve = np.array([0.0, 0.02]), np.array([0.0, -30.0])
    seconds = rng.uniform(SECONDS, LONGEST_S)
    figure_reflections.arrivals_svg(curve, reflections(rng, seconds), None, seconds)
    if seed % 4 == 0:
        take = a_take(rng, seed)
        figure_modes.curves_svg(take, decays(take.response)[: rng.randint(1, 8)])


def test_no_text_of_a_chart_covers_another_or_is_cut(story, tmp_path, sheets, record_property):
    job, known = story(tmp_path)
    charts = texts_drawn = 0
    for seed in range(CASES):
        sheets.clear()
        draw_all(job, known["agreement"], random.Random(seed), seed)
        assert len(sheets) == (8 if seed % 4 == 0 else 7)
        charts += len(sheets)
        for texts, wide, high in sheets:
            texts_drawn += len(texts)
            for i, (name, box) in enumerate(texts):
                assert box.x0 > -SLACK_PX and box.x1 < wide + SLACK_PX, (seed, name)
                assert box.y0 > -SLACK_PX and box.y1 < high + SLACK_PX, (seed, name)
                for other, its in texts[i + 1 :]:
                    across = min(box.x1, its.x1) - max(box.x0, its.x0)
                    up = min(box.y1, its.y1) - max(box.y0, its.y0)
                    assert across < SLACK_PX or up < SLACK_PX, (seed, name, other)
    for what, count in (("charts", charts), ("chart_texts", texts_drawn), ("chart_faults", 0)):
        record_property(what, count)
