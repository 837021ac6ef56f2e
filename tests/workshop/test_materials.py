"""Materials by their kind: a name changes nothing, and what nobody knows is neither cut nor weighed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from roomcheck.job import Need, ShopMaterial, bench_job, default_shop
from roomcheck.workshop import MaterialUnknown, build_pieces, build_wanted, wanted

SHOP = default_shop()
ODD_NAMES = ("hemp batt, 24 x 48 x 2 in", "jute 60 in wide", "felt-faced plywood screw", "?")


def renamed(shop, names):
    """The shop with other names for what it buys."""
    prices = tuple(replace(p, item=names.get(p.item, p.item)) for p in shop.prices)
    stock = tuple(
        replace(
            piece,
            needs=tuple(Need(item=names.get(n.item, n.item), amount=n.amount) for n in piece.needs),
        )
        for piece in shop.stock
    )
    return replace(shop, prices=prices, stock=stock)


def sheet_of(shop, text):
    return build_wanted(bench_job(shop, units="imperial", title="one"), [wanted(text, shop)])


def bare(sheet):
    """Numbers of a sheet without its materials' names."""
    cuts = [
        (c.part, c.count, c.length_m, c.width_m, c.stock.material)
        for piece in sheet.sheets
        for c in piece.cuts
    ]
    bought = [(p.net, p.with_waste, p.packs, p.cost, p.left) for p in sheet.purchases]
    fabrics = [(f.roll_m, f.length_m) for f in sheet.fabrics]
    return cuts, bought, fabrics, sheet.weight_kg, [piece.made_kg for piece in sheet.sheets]


@pytest.mark.parametrize(
    "text", ["2 in panel 30 in x 40 in", "block diffuser", "slatted resonator"]
)
def test_no_name_of_a_material_changes_a_sheet(text):
    names = {price.item: f"{ODD_NAMES[i % 4]} {i}" for i, price in enumerate(SHOP.prices)}
    assert bare(sheet_of(renamed(SHOP, names), text)) == bare(sheet_of(SHOP, text))


def test_a_price_of_unknown_material_is_named_with_the_key_to_add():
    core = next(p for p in SHOP.prices if p.material is ShopMaterial.CORE)
    prices = tuple(
        replace(p, material=ShopMaterial.UNKNOWN) if p is core else p for p in SHOP.prices
    )
    shop = replace(SHOP, prices=prices)
    with pytest.raises(MaterialUnknown, match=r"2 in panel.*add `material`") as caught:
        sheet_of(shop, "2 in panel")
    assert (caught.value.item, caught.value.keys) == (core.item, ("material",))
    # What needs no core is built as before.
    assert bare(sheet_of(shop, "block diffuser")) == bare(sheet_of(SHOP, "block diffuser"))


def test_a_core_without_a_thickness_is_not_weighed():
    prices = tuple(
        replace(p, thickness_m=None) if p.material is ShopMaterial.CORE else p for p in SHOP.prices
    )
    with pytest.raises(MaterialUnknown, match="`thickness`"):
        sheet_of(replace(SHOP, prices=prices), "2 in panel")


def test_a_density_of_the_price_is_weighed():
    """Twice the density of the core adds its weight once more: 24 x 48 x 2 in less the frame."""
    prices = tuple(
        replace(p, density_kg_m3=96.0) if p.material is ShopMaterial.CORE else p
        for p in SHOP.prices
    )
    job = bench_job(SHOP, units="imperial", title="one")
    light = build_pieces(job, [("2 in panel", 1)]).sheets[0]
    heavy = build_pieces(replace(job, shop=replace(SHOP, prices=prices)), [("2 in panel", 1)])
    inch = 0.0254
    core_kg = (24 - 1.625) * (48 - 1.625) * 2 * inch**3 * 48.0
    assert heavy.sheets[0].made_kg - light.made_kg == pytest.approx(core_kg)
