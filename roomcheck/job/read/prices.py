"""`[[price]]` of shop.toml: what a material is, what it measures, what it costs."""

from __future__ import annotations

from roomcheck.job.model.kinds import NEEDED_SIZES, FramingKind, ShopMaterial, UsedFor
from roomcheck.job.model.shop import Price
from roomcheck.job.read.schema_1 import Bought, bought
from roomcheck.job.read.shop_practice import read_others
from roomcheck.job.toml.reader import TomlTable
from roomcheck.standards.awc_wood_screws import GAUGES
from roomcheck.units import KG_PER_LB, M2_PER_FT2, M_PER_FT

_DENSITIES = {"kg/m3": 1.0, "kg/m³": 1.0}
_DENSITIES |= dict.fromkeys(("lb/ft3", "lb/ft³", "pcf"), KG_PER_LB / M_PER_FT**3)
_ANCHORED = (FramingKind.STEEL_STUDS, FramingKind.MASONRY, FramingKind.CONCRETE)
_MASSES = {"kg/m2": 1.0, "kg/m²": 1.0, "g/m2": 1e-3, "g/m²": 1e-3}
_MASSES |= dict.fromkeys(("lb/ft2", "lb/ft²"), KG_PER_LB / M2_PER_FT2)


def read_price(table: TomlTable, schema: int) -> Price:
    """One price; schema 1 said in its name what it is, unless keys say it."""
    item, unit = table.text("item"), table.text("unit", example="yd")
    by_name = bought(item, unit) if schema == 1 else Bought()
    material = by_name.material
    if table.has("material") or schema > 1:
        material = _material(table)
    price = Price(
        item=item,
        unit=unit,
        pack=table.exact("pack", what="units a pack", example="6"),
        price=table.money("price"),
        waste_pct=table.percent("waste"),
        also=read_others(table.tables("also")),
        material=material,
        thickness_m=table.length("thickness", by_name.thickness_m, above=0.0),
        width_m=table.length("width", by_name.width_m, above=0.0),
        length_m=table.length("length", by_name.length_m, above=0.0),
        density_kg_m3=table.measure("density", _DENSITIES, "48 kg/m3", None),
        mass_kg_m2=table.measure("mass", _MASSES, "0.3 kg/m2", None),
        used_for=_used_for(table) if table.has("used_for") else by_name.used_for,
        into=_into(table) if table.has("into") else None,
        gauge=table.choice("gauge", tuple(GAUGES), "") if table.has("gauge") else "",
        supplier=table.text("supplier", ""),
    )
    table.known += ["material", "used_for", "into", "gauge"]
    if not table.spoiled and price.pack == 0:
        table.note("pack", "`pack` is 0; how many units does the smallest pack hold?")
    if schema > 1:
        _note_sizes(table, material)
    table.close()
    return price


def _material(table: TomlTable) -> ShopMaterial:
    return ShopMaterial(table.choice("material", list(ShopMaterial)) or ShopMaterial.UNKNOWN)


def _used_for(table: TomlTable) -> UsedFor | None:
    chosen = table.choice("used_for", list(UsedFor))
    return UsedFor(chosen) if chosen else None


def _into(table: TomlTable) -> FramingKind | None:
    chosen = table.choice("into", [*_ANCHORED, FramingKind.WOOD_STUDS])
    return FramingKind(chosen) if chosen else None


def _note_sizes(table: TomlTable, material: ShopMaterial) -> None:
    """Note every size without which nothing can be cut from the material."""
    if material is ShopMaterial.ANCHOR and not table.has("into"):
        table.note(None, 'a price of `material` "anchor" needs `into`, such as "masonry"')
    for key in NEEDED_SIZES.get(material, ()):
        if not table.has(key):
            table.note(None, f'a price of `material` "{material}" needs `{key}`')
