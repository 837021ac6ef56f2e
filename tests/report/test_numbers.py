"""Drawings to scale, colours that can be read, results that can be read
back."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.plain import from_plain, to_plain
from roomcheck.report.figures.bars import bars_picture
from roomcheck.report.figures.drawings import elevation_svg, plan_svg
from roomcheck.report.figures.figures import BAND, INK, QUIET, decays_svg
from roomcheck.report.offer.front import today_bar
from roomcheck.report.render.files import bands_csv

Story = Callable[..., tuple[Job, dict[str, Any]]]


def test_an_elevation_is_to_scale(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    face = job.room.face("north")
    pieces = [piece for piece in known["plan"].pieces if piece.face == "north"]
    svg, scale = elevation_svg(job, face, pieces)
    boxes = []
    for path in re.findall(r'<path d="(M [^"]*z)', re.sub(r"\s+", " ", svg)):
        x, y = zip(
            *((float(a), float(b)) for a, b in re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", path)),
            strict=True,
        )
        boxes.append((max(x) - min(x), max(y) - min(y)))
    for piece in pieces:
        # SVG points are 1/72 in; on paper a metre is 1/scale of itself.
        wide, high = (
            side / scale / 0.0254 * 72 for side in (piece.place.width_m, piece.place.height_m)
        )
        assert any(
            w == pytest.approx(wide, abs=0.01) and h == pytest.approx(high, abs=0.01)
            for w, h in boxes
        )


def test_drawings_carry_their_dimensions(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    pieces = [piece for piece in known["plan"].pieces if piece.face == "east"]
    said = re.findall(r">([^<>]+)</text>", elevation_svg(job, job.room.face("east"), pieces)[0])
    words = {word.replace("&quot;", '"').replace("&#x27;", "'") for word in said}
    # A1 hangs 24 to 48 in from the left, A2 56 to 80 in, both 36 to 84 in above the floor.
    assert {"2'-0\"", "4'-0\"", "4'-8\"", "6'-8\"", "3'-0\"", "7'-0\"", "A1", "A2"} <= words
    plan = plan_svg(job, known["plan"].pieces)[0]
    assert all(f">{name}<" in plan for name in ("S1", "P1", "C1", "D1"))


def test_axes_name_their_units(story: Story, tmp_path: Path) -> None:
    known = story(tmp_path)[1]
    decays = decays_svg(known["before"], known["verdict"])
    assert "[Hz]" in decays
    assert "[s]" in decays
    picture = bars_picture(today_bar(known["verdict"]), None, (500.0, 1000.0), "Bars.")
    assert "[s]" in picture.svg and "[s]" in picture.narrow


def test_charts_leave_matplotlib_as_it_was(story: Story, tmp_path: Path) -> None:
    import matplotlib as mpl

    before = dict(mpl.rcParams)
    known = story(tmp_path)[1]
    assert decays_svg(known["before"], None) == decays_svg(known["before"], None)
    assert dict(mpl.rcParams) == before
    sources = Path(sys.modules["roomcheck.report"].__file__ or "").parent.glob("*.py")
    assert not [path for path in sources if "pyplot" in path.read_text("utf-8")]


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (W3C WCAG 2.1, definition; from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def test_text_can_be_read() -> None:
    # WCAG 2.1, 1.4.3: at least 4.5 to 1 (from memory), on white and on the shaded rows.
    page = (Path(sys.modules["roomcheck.report"].__file__ or "").parent / "page.typ").read_text(
        "utf-8"
    )
    colours = dict(re.findall(r'([\w-]+)(?: =|:) rgb\("(#\w{6})"\)', page))
    assert {"ink", "quiet", "wash", "good", "bad", "open"} <= set(colours)
    for name in ("ink", "quiet", "good", "bad", "open"):
        for ground in ("#ffffff", colours["wash"], BAND):
            dark, light = sorted((luminance(colours[name]), luminance(ground)))
            assert (light + 0.05) / (dark + 0.05) >= 4.5, (name, ground)
    assert (colours["ink"], colours["quiet"]) == (INK, QUIET)


def test_results_come_back_as_they_were(story: Story, tmp_path: Path) -> None:
    _, known = story(tmp_path)
    plain = json.loads(json.dumps(to_plain(known["before"])))
    assert from_plain(Analysis, plain) == known["before"]
    rows = list(csv.DictReader(io.StringIO(bands_csv(known["before"]))))
    assert len(rows) == 7 + 6 * 7
    assert float(rows[0]["t20_s"]) == known["before"].octaves[0].t20_s
    assert rows[0]["t30_s"] == ""
