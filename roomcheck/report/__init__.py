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
    from roomcheck.report.screens.predict import outlook_screen
    from roomcheck.report.screens.recommend import (
        change_screen,
        plan_screen,
        plans_screen,
        why_screen,
    )
    from roomcheck.report.shop_pages.bench import bench_sheets

_HOMES = {
    "Case": "make",
    "bench_sheets": "shop_pages.bench",
    "change_screen": "screens.recommend",
    "lacking": "make",
    "outlook_screen": "screens.predict",
    "plan_screen": "screens.recommend",
    "plans_screen": "screens.recommend",
    "report": "make",
    "why_screen": "screens.recommend",
    "write_bill": "pages.bills",
    "write_drawings": "figures.drawing_files",
}
"""Where the names below are made; add a line here and above for a new one."""

__all__ = [
    "Block",
    "Case",
    "bench_sheets",
    "change_screen",
    "lacking",
    "outlook_screen",
    "plan_screen",
    "plans_screen",
    "report",
    "text_of",
    "why_screen",
    "write_bill",
    "write_drawings",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'roomcheck.report' has no attribute {name!r}")
    return getattr(importlib.import_module(f"roomcheck.report.{_HOMES[name]}"), name)
