"""shop.toml: the stock a shop builds, what it buys, and what it charges."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Literal, cast, get_args

from roomcheck.job.logo.logo import read_logo
from roomcheck.job.logo.looks import read_looks
from roomcheck.job.logo.shop_words import read_words
from roomcheck.job.model.job import Units
from roomcheck.job.model.shop import (
    CoreFront,
    Fits,
    FrontKind,
    Mount,
    Need,
    NumberPattern,
    PieceKind,
    PorousCore,
    Rates,
    Shop,
    StockPiece,
    TaxedLine,
)
from roomcheck.job.read.learned import learned_shop, read_lessons
from roomcheck.job.read.pattern_text import PATTERNS_SAID, parse_pattern
from roomcheck.job.read.prices import read_price
from roomcheck.job.read.shop_practice import read_offcuts, read_practice
from roomcheck.job.toml.document import FileMistakes, TomlFile
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.regular import is_there
from roomcheck.job.toml.values import meant, shown

SHOP_SCHEMA = 2
KINDS = get_args(PieceKind)
BOXES = ("slatted box", "perforated box", "membrane trap")
MOUNTS = ("wall", "ceiling", "corner")
DEFAULT = Path(__file__).parents[1] / "shop.toml"
"""The file that comes with roomcheck: planning values."""
DEFAULT_METRIC = Path(__file__).parents[1] / "shop_metric.toml"
"""The same in sizes of the European market."""

_RESISTIVITY = {
    unit: factor
    for spelt in ("Pa s/m2", "Pa s/m²", "Pa·s/m²", "Pa·s/m2", "Pa.s/m2")
    for unit, factor in ((spelt, 1.0), (f"k{spelt}", 1e3))
}
_ROUNDING_M = 1e-6
_FRONTS = ("cloth", "holes", "slots", "sheet")


def default_path(units: Units = "imperial") -> Path:
    """The shop file that comes with roomcheck, in inch sizes or in metric ones."""
    return DEFAULT_METRIC if units == "metric" else DEFAULT


@cache
def default_shop(units: Units = "imperial") -> Shop:
    """What that file says: planning values for a one-to-three-person wood shop."""
    return read_shop(default_path(units))


def shop_path(folder: Path) -> Path | None:
    """The shop file that serves a job: its own copy, else the one in the folder above, else none.

    One that is there serves, even where it cannot be read: its prices are never replaced by others
    without a word.
    """
    for path in (folder / "shop.toml", folder.absolute().parent / "shop.toml"):
        if is_there(path):
            return path
    return None


def read_shop(path: Path) -> Shop:
    """Read a shop file.

    Raises
    ------
    CannotRead, NewerFile, FileMistakes
        As for the job's file.
    """
    return shop_from(TomlFile.read(path, SHOP_SCHEMA), path)


def shop_from(document: TomlFile, path: Path) -> Shop:
    """The shop that a document says.

    Raises
    ------
    FileMistakes
        As for the job's file.
    """
    top = TomlTable.of(document)
    schema = top.whole("schema", least=1)
    about = top.table("shop")
    prices = tuple(read_price(table, schema) for table in top.tables("price"))
    stock = tuple(_piece(table, {price.item for price in prices}) for table in top.tables("piece"))
    _note_twice(top, "piece", "name")
    _note_twice(top, "price", "item")
    _note_twice(top, "look", "name")
    shop = Shop(
        name=about.text("name"),
        address=about.text("address", ""),
        contact=about.text("contact", ""),
        made_up=about.flag("made_up", False),
        logo=read_logo(about, path.parent),
        kerf_m=about.length("kerf", above=0.0),
        fabric_roll_m=about.length("fabric_roll", above=0.0),
        stock=stock,
        prices=prices,
        rates=_rates(top.table("rates")),
        practice=read_practice(top.table("practice", required=False), top.tables("work")),
        offcuts=read_offcuts(top.tables("offcut"), {price.item for price in prices}),
        words=read_words(top.table("words", required=False)),
        looks=read_looks(top),
    )
    lessons = read_lessons(top)
    about.close()
    top.close()
    if document.mistakes:
        raise FileMistakes(str(path.parent), document.found())
    return learned_shop(shop, lessons)


def _note_twice(top: TomlTable, key: str, field: str) -> None:
    seen: set[str] = set()
    for table in top.tables(key):
        name = str(table.data.get(field))
        if name in seen:
            table.note(field, f"a second [[{key}]] with `{field}` {shown(name)}")
        seen.add(name)


def _rates(table: TomlTable) -> Rates:
    rates = Rates(
        hour=table.money("hour"),
        margin_pct=table.percent("margin"),
        contingency_pct=table.percent("contingency"),
        tax_pct=table.percent("tax"),
        travel=table.money("travel"),
        consumables=table.money("consumables"),
        survey_fee=table.money("survey_fee"),
        minimum_job=table.money("minimum_job"),
        survey_hours=table.exact("survey_hours", what="hours", example="2.5"),
        verify_hours=table.exact("verify_hours", what="hours", example="1.5"),
        valid_days=table.whole("valid_days", least=1),
        deposit_pct=table.percent("deposit"),
        delivery_pct=table.percent("delivery", Decimal(40)),
        disposal=table.exact("disposal", Decimal(0), what="money"),
        subcontract=table.exact("subcontract", Decimal(0), what="money"),
        taxed=cast(
            tuple[TaxedLine, ...], table.choices("taxed", get_args(TaxedLine), get_args(TaxedLine))
        ),
        tax_rounding=cast(
            Literal["net", "lines"], table.choice("tax_rounding", ("net", "lines"), "net")
        ),
        retainage_pct=table.percent("retainage", Decimal(0)),
        terms=table.text("terms", ""),
        payment_days=table.whole("payment_days", 14),
        pay_to=table.text("pay_to", ""),
        tax_id=table.text("tax_id", ""),
        bench_hours_week=table.exact("bench_hours_week", Decimal(30), what="hours", example="30"),
        lead_weeks=table.exact("lead_weeks", Decimal(2), what="weeks", example="2"),
    )
    if not table.spoiled and rates.bench_hours_week == 0:
        table.note(
            "bench_hours_week",
            "`bench_hours_week` is 0; how many hours go into building in a week?",
        )
    if not table.spoiled and rates.margin_pct >= 100:
        table.note("margin", "`margin` is of the price, so it must be below 100 %")
    table.close()
    return rates


def _piece(table: TomlTable, priced: set[str]) -> StockPiece:
    kind = table.choice("kind", KINDS)
    piece = StockPiece(
        name=table.text("name"),
        kind=cast(PieceKind, kind),
        width_m=table.length("width", above=0.0),
        height_m=table.length("height", above=0.0),
        depth_m=table.length("depth", above=0.0),
        weight_kg=table.weight("weight"),
        mounts=cast(tuple[Mount, ...], table.choices("mounts", MOUNTS)),
        core=_core(table.table("core")) if table.has("core") else table.raw("core"),
        material=_material(table),
        build_hours=table.exact("build_hours", what="hours", example="1.0"),
        install_hours=table.exact("install_hours", what="hours", example="0.4"),
        needs=tuple(_need(item, priced) for item in table.tables("needs")),
        cell_m=table.length("cell", 0.0, above=0.0),
        steps_m=table.lengths("steps", ()),
        turns=table.flag("turns", True),
        pattern=_pattern(table),
        seed=table.whole("seed", 7),
        fits=cast(Fits, table.choice("fits", get_args(Fits), "array")),
        hole_m=table.length("hole", 0.0, above=0.0),
        front_m=table.length("front", 0.0, above=0.0),
        fill_m=table.length("fill", 0.0, above=0.0),
        fire_papers=table.text("fire_papers", ""),
    )
    _check_piece(table, piece)
    table.close()
    return piece


def _pattern(table: TomlTable) -> NumberPattern | None:
    text = table.text("pattern", "", example="quadratic residues 7")
    pattern = parse_pattern(text) if text else None
    if text and pattern is None:
        table.note("pattern", f"`pattern` is {shown(text)}; {PATTERNS_SAID}")
    return pattern


def _core(table: TomlTable) -> PorousCore:
    core = PorousCore(
        thickness_m=table.length("thickness", above=0.0),
        gap_m=table.length("gap", least=0.0),
        flow_resistivity_pa_s_m2=table.measure("flow_resistivity", _RESISTIVITY, "10 kPa s/m2"),
        front=_front(table.table("front")) if table.has("front") else table.raw("front"),
        divided=table.flag("divided", False),
        solid=table.flag("solid", False),
    )
    table.close()
    return core


def _front(table: TomlTable) -> CoreFront:
    """What each kind of front must say: sizes of openings, or weight and flow resistance."""
    kind = table.choice("kind", _FRONTS)
    board, cloth = kind in ("holes", "slots"), kind == "cloth"
    front = CoreFront(
        kind=cast(FrontKind, kind),
        thickness_m=table.length("thickness", above=0.0) if board else 0.0,
        opening_m=table.length("opening", above=0.0) if board else 0.0,
        open_share=float(table.percent("open")) / 100 if board else 0.0,
        mass_kg_m2=0.0
        if board
        else table.measure("mass", {"kg/m2": 1.0, "g/m2": 1e-3}, "4.5 kg/m2"),
        resistance_pa_s_m=table.measure("resistance", {"Pa s/m": 1.0}, "80 Pa s/m")
        if cloth
        else 0.0,
    )
    if board and not table.spoiled and not 0 < front.open_share < 1:
        table.note("open", "`open` must be above 0 % and below 100 %")
    table.close()
    return front


def _need(table: TomlTable, priced: set[str]) -> Need:
    need = Need(item=table.text("item"), amount=table.number("amount"))
    if need.item and need.item not in priced:
        table.note("item", f"{shown(need.item)} has no [[price]]")
    table.close()
    return need


def _material(table: TomlTable) -> str | None:
    if not table.has("material"):
        table.raw("material")
        return None
    found = table.text("material")
    from roomcheck.materials import MATERIALS

    if found and found not in MATERIALS:
        table.note(
            "material",
            f"`material` is {shown(found)}, no material of the table; {meant(found, MATERIALS)}",
        )
    return found


def _check_piece(table: TomlTable, piece: StockPiece) -> None:
    """What one piece must say, by its kind."""
    core, diffuser = piece.core, piece.diffuser
    if piece.kind in BOXES and core is not None and core.front is None:
        told = "give the core its `front` (slots, holes or a sheet), or the piece a `material`"
        table.note("core", f"a {piece.kind} is no plain layer: {told}")
    if piece.kind in BOXES and not piece.front_m > 0:
        table.note(
            "front", f"a {piece.kind} needs `front`, the thickness of its slats, sheet or membrane"
        )
    if piece.kind in BOXES[:2] and not (piece.hole_m > 0 and piece.cell_m > 0):
        table.note(
            "hole",
            f"a {piece.kind} needs `hole`, its slot or hole, and `cell`, its slat or the holes' "
            "pitch",
        )
    if piece.kind == "block diffuser" and len(piece.steps_m) == 1:
        table.note(
            "steps", "`steps` has one height alone: such a panel is flat and scatters nothing"
        )
    if not piece.mounts:
        table.note("mounts", "`mounts` must name a place: wall, ceiling or corner")
    if (core is None) == (piece.material is None) and not table.spoiled:
        table.note(
            None,
            (
                "a piece has either a `core`, to compute its absorption from, or a `material` of "
                "the table"
            ),
        )
    if diffuser and core is not None:
        table.note("core", "a diffuser has no `core`; give it a `material`")
    if diffuser and not (piece.cell_m > 0 and piece.steps_m):
        table.note(
            None,
            f"a {piece.kind} needs `cell`, the width of a cell or well, and `steps`, their heights",
        )
    if diffuser and piece.steps_m and max(piece.steps_m) >= piece.depth_m:
        table.note("steps", "the highest of `steps` leaves no room for a backing within `depth`")
    if core is not None and core.thickness_m + core.gap_m > piece.depth_m + _ROUNDING_M:
        table.note("depth", "`depth` is less than the core and its gap together")
