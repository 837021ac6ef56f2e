"""The metric shop file: sizes of the European market, none of them a converted inch."""

from __future__ import annotations

import pytest

from roomcheck.job import bench_job, default_shop
from roomcheck.job.read.shop_file import default_path
from roomcheck.workshop import Caution, build_pieces

SHOP = default_shop("metric")
BAD_UNITS = ("ft", "yd", "fl oz", "ft2", "pint", "in", "gal")


def test_nothing_is_bought_in_feet_yards_or_ounces():
    assert not [price.item for price in SHOP.prices if price.unit in BAD_UNITS]
    assert " in" not in default_path("metric").read_text("utf-8").split("[[price]]", 1)[1].replace(
        " in ", " "
    ).replace("{ item", "").replace("into", "").replace(" install", "")


def test_sizes_are_whole_millimetres():
    for price in SHOP.prices:
        for size_m in (price.thickness_m, price.width_m, price.length_m):
            assert size_m is None or round(size_m * 1000, 6) == round(size_m * 1000)
    for piece in SHOP.stock:
        for size_m in (piece.width_m, piece.height_m, piece.depth_m, piece.cell_m, *piece.steps_m):
            assert round(size_m * 1000, 6) == round(size_m * 1000)


@pytest.mark.parametrize("name", [piece.name for piece in SHOP.stock])
def test_every_metric_piece_is_built_from_the_list_and_as_heavy_as_it_says(name):
    sheet = build_pieces(bench_job(SHOP, units="metric", title="made up"), [(name, 2)])
    (one,) = sheet.sheets
    assert not sheet.unpriced
    told = {caution.kind for caution in one.cautions}
    assert not told & {Caution.WEIGH_ONE, Caution.CAVITY_OFF, Caution.STANDS_OFF}
    assert (one.made_kg or 0) <= SHOP.piece(name).weight_kg
    for cut in one.cuts:
        assert cut.length_m > 0
    steps = [step for step in one.steps if "nails_m" in dict(step.values)]
    assert all(step["nails_m"] == 0.2 for step in steps)


def test_every_need_is_priced():
    needed = {need.item for piece in SHOP.stock for need in piece.needs}
    assert needed <= {price.item for price in SHOP.prices}
