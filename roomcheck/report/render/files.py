"""Results as files for other programs: JSON with its schema and method, bands as CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence

from roomcheck import __version__
from roomcheck.analyse import UNITS, Analysis
from roomcheck.plain import to_plain
from roomcheck.signs import visible
from roomcheck.verify import Verification

SCHEMA = 1


def json_of(kind: str, result: object) -> str:
    """A result with the name of its schema and the version of the method that made it."""
    plain = {
        "schema": f"roomcheck {kind} {SCHEMA}",
        "method": f"roomcheck {__version__}",
        "result": to_plain(result),
    }
    return json.dumps(plain, ensure_ascii=False, indent=1) + "\n"


def bands_csv(analysis: Analysis) -> str:
    """Octaves and thirds: means over the positions, then every position; units stand in the
    heads."""
    heads = ["visit", "source", "microphone", "fraction", "band_hz"]
    mean_fields, decay_fields = [], []
    for quantity, unit in UNITS.items():
        mean_fields += [quantity + unit, f"{quantity}_u{unit}"]
        decay_fields += [quantity + unit, f"{quantity}_sd{unit}"]
    rows: list[list[object]] = []
    for fraction, means in ((1, analysis.octaves), (3, analysis.thirds)):
        for mean in means:
            row = mean.row()
            start = [analysis.visit, "mean", "mean", fraction, mean.band_hz]
            rows.append([*start, *(row[name] for name in mean_fields), mean.positions])
    for position in analysis.positions:
        pair = [analysis.visit, position.source, position.microphone]
        for fraction, decays in ((1, position.octaves), (3, position.thirds)):
            for decay in decays:
                values = [getattr(decay, name) for name in decay_fields]
                rows.append([*pair, fraction, decay.band_hz, *values, 1])
    return _csv([*heads, *mean_fields, "positions"], rows)


def change_csv(verification: Verification) -> str:
    """Before, after and promise per octave; the last row, without a band, is the mean."""
    heads = ["band_hz", "before_s", "after_s", "after_u_s", "change_s", "change_u_s"]
    heads += ["low_s", "high_s", "kept", "audible"]
    rows = [[getattr(change, head, None) for head in heads] for change in verification.changes]
    return _csv(heads, rows)


def _csv(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    """A value as a cell; a text that a spreadsheet would take for a formula stands behind an
    apostrophe, which spreadsheets read as the mark of a text.

    >>> _cell("=cmd()"), _cell(-1.5), _cell(None), _cell("S1")
    ("'=cmd()", -1.5, '', 'S1')
    """
    if value is None:
        return ""
    if not isinstance(value, str):
        return value
    text = visible(value)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
