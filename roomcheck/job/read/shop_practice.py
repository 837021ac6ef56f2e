"""`[practice]`, `[[work]]` and `[[offcut]]` of shop.toml: how the shop works, and what lies on its
rack."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from roomcheck.job.model.practice import ShopPractice
from roomcheck.job.model.shop import Offcut, OtherLength
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import shown
from roomcheck.standards.awc_wood_screws import GAUGES

LENGTHS = {
    "board": "board_m",
    "backing": "backing_m",
    "cleat": "cleat_m",
    "fin": "fin_m",
    "cleat_width": "cleat_width_m",
    "stick": "stick_m",
    "screw_length": "screw_m",
}
"""Keys of `[practice]` that are lengths above 0."""
MARGINS = {
    "clearance": "clearance_m",
    "trim": "trim_m",
    "hold": "hold_m",
    "offcut": "offcut_m",
    "wrap": "wrap_m",
    "selvedge": "selvedge_m",
    "slide": "freedom_m",
    "lift": "lift_m",
}
"""Keys that may be 0."""
NUMBERS = {
    "moisture_points": "moisture_points",
    "wood_kg_m3": "wood_kg_m3",
    "plywood_kg_m3": "plywood_kg_m3",
    "core_kg_m3": "core_kg_m3",
    "cloth_kg_m2": "cloth_kg_m2",
    "coverage_m2_l": "coverage_m2_l",
    "end_grain": "end_grain",
    "least_ratio": "least_ratio",
}
WEIGHTS = {"two_people": "two_people_kg", "engineer": "engineer_kg"}
_HUNDRED = Decimal(100)


def read_practice(table: TomlTable, work: list[TomlTable]) -> ShopPractice:
    """The shop's practice; what it does not name stays the trade's."""
    usual = ShopPractice()
    found: dict[str, Any] = {}
    if not table.absent:
        for key, name in LENGTHS.items():
            if table.has(key):
                found[name] = table.length(key, above=0.0)
        for key, name in MARGINS.items():
            found[name] = table.length(key, getattr(usual, name), least=0.0)
        for key, name in NUMBERS.items():
            found[name] = table.number(key, getattr(usual, name))
        for key, name in WEIGHTS.items():
            found[name] = table.weight(key, getattr(usual, name))
        found |= {
            "corner": table.choice("corner", ("butt", "mitre"), usual.corner),
            "runs_long": table.choice("runs_long", ("long", "short", "cheaper"), usual.runs_long),
            "nap": table.flag("nap", usual.nap),
            "spare_pct": int(table.percent("spare", Decimal(usual.spare_pct))),
            "spare_least": table.whole("spare_least", usual.spare_least),
            "coats": table.whole("coats", usual.coats, least=1),
            "screw": table.choice("screw", tuple(GAUGES), usual.screw),
            "screws_per_stud": table.whole("screws_per_stud", usual.screws_per_stud, least=1),
            "anchor_hours": table.exact(
                "anchor_hours", usual.anchor_hours, what="hours", example="0.1"
            ),
            "rail_hours": table.exact("rail_hours", usual.rail_hours, what="hours", example="0.25"),
            "day_hours": table.exact("day_hours", usual.day_hours, what="hours", example="7"),
        }
        sheet = table.lengths("sheet", usual.sheet_m)
        core = table.lengths("core_board", usual.core_board_m)
        for key, sizes in (("sheet", sheet), ("core_board", core)):
            if len(sizes) != 2 or min(sizes) <= 0:
                table.note(key, f'`{key}` must be a width and a length, such as ["48 in", "96 in"]')
        found |= {"sheet_m": tuple(sheet), "core_board_m": tuple(core)}
        if found["day_hours"] == 0:
            table.note("day_hours", "`day_hours` is 0; how long is a day?")
        for key in (*LENGTHS, *MARGINS, *NUMBERS, *WEIGHTS):
            if key not in table.known:
                table.known.append(key)
        table.close()
    shares = tuple(_shares(one) for one in work)
    return usual if table.spoiled and not table.absent else replace(usual, **found, shares=shares)


def _shares(table: TomlTable) -> tuple[str, tuple[tuple[str, Decimal, Decimal], ...]]:
    """One `[[work]]`: what a piece's hours go to."""
    kind = table.text("kind", example="block diffuser")
    rows = []
    for step in table.tables("operation"):
        wait = step.exact("wait", Decimal(0), what="hours", example="12")
        rows.append((step.text("name", example="cut blocks"), step.percent("share"), wait))
        step.close()
    total = sum((row[1] for row in rows), Decimal(0))
    if not table.spoiled and total != _HUNDRED:
        table.note(
            "operation", f"the shares of {shown(kind)} add up to {total} %; they must make 100 %"
        )
    table.close()
    return kind, tuple(rows)


def read_offcuts(tables: list[TomlTable], priced: set[str]) -> tuple[Offcut, ...]:
    """What lies on the rack, each of a priced item."""
    found = []
    for table in tables:
        offcut = Offcut(
            item=table.text("item"),
            length_m=table.length("length", above=0.0),
            count=table.whole("count", 1, least=1),
            width_m=table.length("width", above=0.0) if table.has("width") else None,
        )
        if "width" not in table.known:
            table.known.append("width")
        if offcut.item and offcut.item not in priced:
            table.note("item", f"{shown(offcut.item)} has no [[price]]")
        table.close()
        found.append(offcut)
    return tuple(found)


def read_others(tables: list[TomlTable]) -> tuple[OtherLength, ...]:
    """Other lengths of one `[[price]]`."""
    found = []
    for table in tables:
        length_m = table.length("length", above=0.0)
        found.append(OtherLength(length_m=length_m, price=table.money("price")))
        table.close()
    return tuple(found)
