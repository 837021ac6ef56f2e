"""Results as files for other programs: JSON with its schema and method, bands as CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence

from roomcheck import __version__
from roomcheck.analyse import Analysis
from roomcheck.plain import to_plain
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
    names = ("t20", "t30", "edt", "c50", "c80", "d50", "ts")
    units = ("_s", "_s", "_s", "_db", "_db", "", "_s")
    heads = ["visit", "source", "microphone", "fraction", "band_hz"]
    heads += [n + mark + unit for n, unit in zip(names, units, strict=True) for mark in ("", "_u")]
    rows: list[list[object]] = []
    for fraction, means in ((1, analysis.octaves), (3, analysis.thirds)):
        for m in means:
            rows.append([analysis.visit, "mean", "mean", fraction, m.band_hz])
            rows[-1] += [
                getattr(m, n + mark + u)
                for n, u in zip(names, units, strict=True)
                for mark in ("", "_u")
            ]
            rows[-1].append(m.positions)
    for position in analysis.positions:
        for fraction, decays in ((1, position.octaves), (3, position.thirds)):
            for d in decays:
                rows.append(
                    [analysis.visit, position.source, position.microphone, fraction, d.band_hz]
                )
                rows[-1] += [
                    getattr(d, n + mark + u)
                    for n, u in zip(names, units, strict=True)
                    for mark in ("", "_sd")
                ]
                rows[-1].append(1)
    return _csv([*heads, "positions"], rows)


def change_csv(verification: Verification) -> str:
    """Before, after and promise per octave; the last row, without a band, is the mean."""
    heads = [
        "band_hz",
        "before_s",
        "after_s",
        "after_u_s",
        "change_s",
        "change_u_s",
        "low_s",
        "high_s",
    ]
    heads += ["kept", "audible"]
    rows = [[getattr(change, head, None) for head in heads] for change in verification.changes]
    return _csv(heads, rows)


def _csv(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows(["" if cell is None else cell for cell in row] for row in rows)
    return out.getvalue()
