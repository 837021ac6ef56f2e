"""Documents, figures, and the same blocks on the terminal.

Names are imported when they are first used: a command that shows a table does not wait for the
typesetter.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from roomcheck.report.render.blocks import Block
from roomcheck.report.render.terminal import text_of

if TYPE_CHECKING:
    from roomcheck.report.figures.drawing_files import write_drawings
    from roomcheck.report.make import Case, lacking, report
    from roomcheck.report.pages.bills import write_bill
    from roomcheck.report.screens.analyse import analysis_screen
    from roomcheck.report.shop_pages.bench import bench_sheets

_HOMES = {
    "Case": "make",
    "analysis_screen": "screens.analyse",
    "bench_sheets": "shop_pages.bench",
    "lacking": "make",
    "report": "make",
    "write_bill": "pages.bills",
    "write_drawings": "figures.drawing_files",
}
"""Where the names below are made; add a line here and above for a new one."""

__all__ = [
    "Block",
    "Case",
    "analysis_screen",
    "bench_sheets",
    "lacking",
    "report",
    "text_of",
    "write_bill",
    "write_drawings",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'roomcheck.report' has no attribute {name!r}")
    return getattr(importlib.import_module(f"roomcheck.report.{_HOMES[name]}"), name)
