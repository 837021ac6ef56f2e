"""shop.toml: the stock a shop builds, what it buys, and what it charges."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import cast, get_args

from roomcheck.job.document import Document, FileMistakes
from roomcheck.job.reader import Table
from roomcheck.job.shop import Mount, Need, PieceKind, PorousCore, Price, Rates, Resonator, Shop, StockPiece
from roomcheck.job.values import meant, shown

SHOP_SCHEMA = 1
KINDS = get_args(PieceKind)
RESONATORS = ("slatted resonator", "perforated resonator", "membrane trap")
MOUNTS = ("wall", "ceiling", "corner")
DEFAULT = Path(__file__).with_name("shop.toml")
"""The file that comes with roomcheck: planning values."""

_RESISTIVITY = {
    unit: factor
    for spelt in ("Pa s/m2", "Pa s/m²", "Pa·s/m²", "Pa·s/m2", "Pa.s/m2")
    for unit, factor in ((spelt, 1.0), (f"k{spelt}", 1e3))
}
_SURFACE_MASS = {"kg/m2": 1.0, "kg/m²": 1.0, "lb/ft2": 4.88243, "lb/ft²": 4.88243}
_ROUNDING_M = 1e-6


@cache
def default_shop() -> Shop:
    """The shop file that comes with roomcheck: planning values for a one-to-three-person wood shop."""
    return read_shop(DEFAULT)


def shop_path(folder: Path) -> Path | None:
    """The shop file that serves a job: its own copy, else the one in the folder above, else none."""
    for path in (folder / "shop.toml", folder.absolute().parent / "shop.toml"):
        if path.is_file():
            return path
    return None


def read_shop(path: Path) -> Shop:
    """Read a shop file.

    Raises
    ------
    CannotRead, NewerFile, FileMistakes
        As for the job's file.
    """
    document = Document.read(path, SHOP_SCHEMA)
    top = Table.of(document)
    top.whole("schema", least=1)
    about = top.table("shop")
    prices = tuple(_price(table) for table in top.tables("price"))
    stock = tuple(_piece(table, {price.item for price in prices}) for table in top.tables("piece"))
    _note_twice(top, "piece", "name")
    _note_twice(top, "price", "item")
    shop = Shop(
        name=about.text("name"),
        address=about.text("address", ""),
        contact=about.text("contact", ""),
        made_up=about.flag("made_up", False),
        kerf_m=about.length("kerf", above=0.0),
        fabric_roll_m=about.length("fabric_roll", above=0.0),
        stock=stock,
        prices=prices,
        rates=_rates(top.table("rates")),
    )
    about.close()
    top.close()
    if document.mistakes:
        raise FileMistakes(str(path.parent), document.found())
    return shop


def _note_twice(top: Table, key: str, field: str) -> None:
    seen: set[str] = set()
    for table in top.tables(key):
        name = str(table.data.get(field))
        if name in seen:
            table.note(field, f"a second [[{key}]] with `{field}` {shown(name)}")
        seen.add(name)


def _price(table: Table) -> Price:
    price = Price(
        item=table.text("item"),
        unit=table.text("unit", example="yd"),
        pack=table.exact("pack", what="units a pack", example="6"),
        price=table.exact("price", what="money", example="72.00"),
        waste_pct=table.percent("waste"),
    )
    if not table.spoiled and price.pack == 0:
        table.note("pack", "`pack` is 0; how many units does the smallest pack hold?")
    table.close()
    return price


def _rates(table: Table) -> Rates:
    rates = Rates(
        hour=table.exact("hour", what="money", example="65.00"),
        margin_pct=table.percent("margin"),
        contingency_pct=table.percent("contingency"),
        tax_pct=table.percent("tax"),
        travel=table.exact("travel", what="money"),
        consumables=table.exact("consumables", what="money"),
        survey_fee=table.exact("survey_fee", what="money"),
        minimum_job=table.exact("minimum_job", what="money"),
        survey_hours=table.exact("survey_hours", what="hours", example="2.5"),
        verify_hours=table.exact("verify_hours", what="hours", example="1.5"),
        valid_days=table.whole("valid_days", least=1),
        deposit_pct=table.percent("deposit"),
        bench_hours_week=table.exact("bench_hours_week", Decimal(30), what="hours", example="30"),
        lead_weeks=table.exact("lead_weeks", Decimal(2), what="weeks", example="2"),
    )
    if not table.spoiled and rates.bench_hours_week == 0:
        table.note("bench_hours_week", "`bench_hours_week` is 0; how many hours go into building in a week?")
    if not table.spoiled and rates.margin_pct >= 100:
        table.note("margin", "`margin` is of the price, so it must be below 100 %")
    table.close()
    return rates


def _piece(table: Table, priced: set[str]) -> StockPiece:
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
        resonator=_resonator(table.table("resonator"), kind) if table.has("resonator") else table.raw("resonator"),
        fire_papers=table.text("fire_papers", ""),
    )
    _check_piece(table, piece)
    table.close()
    return piece


def _core(table: Table) -> PorousCore:
    core = PorousCore(
        thickness_m=table.length("thickness", above=0.0),
        gap_m=table.length("gap", least=0.0),
        flow_resistivity_pa_s_m2=table.measure("flow_resistivity", _RESISTIVITY, "10 kPa s/m2"),
    )
    table.close()
    return core


def _resonator(table: Table, kind: str) -> Resonator:
    membrane = kind == "membrane trap"
    opening = "hole" if kind == "perforated resonator" else "slit"
    filled = table.has("fill")
    resonator = Resonator(
        cavity_m=table.length("cavity", above=0.0),
        thickness_m=0.0 if membrane else table.length("thickness", above=0.0),
        opening_m=0.0 if membrane else table.length(opening, above=0.0),
        pitch_m=0.0 if membrane else table.length("pitch", above=0.0),
        mass_kg_m2=table.measure("mass", _SURFACE_MASS, "3.5 kg/m2") if membrane else 0.0,
        fill_m=table.length("fill", 0.0, least=0.0),
        flow_resistivity_pa_s_m2=table.measure("flow_resistivity", _RESISTIVITY, "10 kPa s/m2") if filled else 0.0,
    )
    if not table.spoiled and resonator.fill_m > resonator.cavity_m + _ROUNDING_M:
        table.note("fill", "`fill` is more than the cavity holds")
    if not table.spoiled and not membrane and resonator.opening_m >= resonator.pitch_m:
        table.note("pitch", f"`pitch` runs from one {opening} to the next: it must be more than `{opening}`")
    table.close()
    return resonator


def _need(table: Table, priced: set[str]) -> Need:
    need = Need(item=table.text("item"), amount=table.number("amount"))
    if need.item and need.item not in priced:
        table.note("item", f"{shown(need.item)} has no [[price]]")
    table.close()
    return need


def _material(table: Table) -> str | None:
    if not table.has("material"):
        table.raw("material")
        return None
    found = table.text("material")
    from roomcheck.materials import MATERIALS

    if found and found not in MATERIALS:
        table.note("material", f"`material` is {shown(found)}, no material of the table; {meant(found, MATERIALS)}")
    return found


def _check_piece(table: Table, piece: StockPiece) -> None:
    """What one piece must say, by its kind."""
    core, diffuser = piece.core, piece.kind.endswith("diffuser")
    if not piece.mounts:
        table.note("mounts", "`mounts` must name a place: wall, ceiling or corner")
    sources = [source for source in (core, piece.material, piece.resonator) if source is not None]
    if len(sources) != 1 and not table.spoiled:
        told = "a piece has either a `core` or a `resonator`, to compute its absorption from, or a `material`"
        table.note(None, f"{told} of the table")
    if (piece.resonator is not None) > (piece.kind in RESONATORS):
        table.note("resonator", f"a {piece.kind} has no `resonator`; kinds that have one: {', '.join(RESONATORS)}")
    if piece.resonator is not None and piece.resonator.cavity_m + piece.resonator.thickness_m > piece.depth_m + 1e-6:
        table.note("depth", "`depth` is less than the cavity and its front together")
    if diffuser and core is not None:
        table.note("core", "a diffuser has no `core`; give it a `material`")
    if diffuser and not (piece.cell_m > 0 and piece.steps_m):
        table.note(None, f"a {piece.kind} needs `cell`, the width of a cell or well, and `steps`, their heights")
    if diffuser and piece.steps_m and max(piece.steps_m) >= piece.depth_m:
        table.note("steps", "the highest of `steps` leaves no room for a backing within `depth`")
    if core is not None and core.thickness_m + core.gap_m > piece.depth_m + _ROUNDING_M:
        table.note("depth", "`depth` is less than the core and its gap together")
