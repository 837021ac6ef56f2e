"""The shop file that comes with roomcheck, and mistakes in a shop's own."""

from __future__ import annotations

from decimal import Decimal
from importlib.resources import files

import pytest

from roomcheck.job import FileMistakes, default_shop, read_shop
from roomcheck.job.model.shop import CoreFront
from roomcheck.job.read.shop_file import DEFAULT

IN, LB = 0.0254, 0.45359237  # exact: international yard and pound, 1959


def test_the_default_travels_with_the_package():
    assert files("roomcheck.job").joinpath("shop.toml").is_file()
    assert default_shop().made_up


def test_the_default_holds_one_of_every_kind():
    shop = default_shop()
    assert {piece.kind for piece in shop.stock} == {
        "panel",
        "cloud",
        "felt",
        "corner",
        "slatted box",
        "perforated box",
        "membrane trap",
        "well diffuser",
        "block diffuser",
    }
    assert {piece.core.gap_m > 0 for piece in shop.stock if piece.kind == "panel"} == {True, False}


def test_every_need_is_priced_and_every_price_is_needed():
    """Screws and anchors for walls are chosen by what stands behind them, not by the piece."""
    shop = default_shop()
    needed = {need.item for piece in shop.stock for need in piece.needs}
    assert needed <= {price.item for price in shop.prices}
    assert {price.item for price in shop.prices if price.into is None} <= needed


def test_the_blocks_of_a_diffuser_come_out_of_its_sticks():
    # 24 x 48 in in 1-1/2 in cells are 512; five heights in equal numbers, the two left over to the
    # lowest, are 1,021 in of stick; with 1/8 in of kerf for each of 409 blocks, 1,072 in. A stick
    # of 96 in less 1/4 in at each end is 95.5.
    piece = default_shop().piece("block diffuser")
    columns, rows = (round(side / piece.cell_m) for side in (piece.width_m, piece.height_m))
    assert (columns, rows) == (16, 32)
    heights_in = [round(step / IN, 9) for step in piece.steps_m]
    assert heights_in == [0, 1, 2, 3, 4]
    net_in = 103 * 0 + 103 * 1 + 102 * (2 + 3 + 4)
    assert net_in == 1021
    sticks = next(need.amount for need in piece.needs if need.item.startswith("stick"))
    assert (sticks - 1) * 95.5 < net_in + 409 / 8 <= sticks * 95.5


def test_the_wells_are_quadratic_residues():
    # n^2 mod 7 for n = 0 … 6, in steps of 1 in: number theory.
    piece = default_shop().piece("well diffuser")
    assert [round(step / IN, 9) for step in piece.steps_m] == [n * n % 7 for n in range(7)]


def test_a_straddling_panel_has_the_mean_gap_of_its_triangle():
    # The back of a panel 24 in wide touches both walls: 12 in off the corner at the middle, 0 at its
    # edges, 6 in on the mean. Its front stands a frame of 4-1/2 in further out.
    piece = default_shop().piece("corner trap")
    assert piece.width_m / 2 + 4.5 * IN == pytest.approx(piece.depth_m)
    assert piece.core.gap_m == pytest.approx(piece.width_m / 4)


# Planning weights of the trade (common practice): 10-12 lb for a 2 in panel of 24 x 48 in, 18-22 lb
# for a 4 in one, 30-55 lb for a cloud, about 60 lb for a block diffuser, 30-40 lb for a well
# diffuser.
@pytest.mark.parametrize(
    ("name", "low_lb", "high_lb"),
    [
        ("2 in panel", 10, 12),
        ("4 in panel", 18, 22),
        ("4 in ceiling cloud", 30, 55),
        ("block diffuser", 55, 65),
        ("well diffuser", 30, 40),
    ],
)
def test_weights_are_those_of_the_trade(name, low_lb, high_lb):
    assert low_lb * LB <= default_shop().piece(name).weight_kg <= high_lb * LB


def test_percentages_and_money_are_exact():
    rates = default_shop().rates
    assert (rates.margin_pct, rates.hour, rates.survey_hours) == (
        Decimal(30),
        Decimal("65.00"),
        Decimal("2.5"),
    )


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('kerf = "1/8 in"', 'kerf = "0 in"', "above 0"),
        ('weight = "11 lb"', 'weight = "11"', 'such as "11 lb"'),
        ('margin = "30 %"', 'margin = "100 %"', "of the price, so it must be below 100 %"),
        ('margin = "30 %"', "margin = 30", 'text such as "45 %"'),
        ('pack = "6"', 'pack = "0"', "how many units"),
        ('price = "78.00"', "price = 78.0", "money as text"),
        ('kind = "felt"', 'kind = "felt tile"', 'did you mean "felt"'),
        ('mounts = ["corner"]', 'mounts = ["corners"]', 'did you mean "corner"'),
        ('mounts = ["corner"]', "mounts = []", "must name a place"),
        ('depth = "2 1/2 in"', 'depth = "1 1/2 in"', "less than the core and its gap"),
        ('flow_resistivity = "20 kPa s/m2"', "flow_resistivity = 20000", 'such as "10 kPa s/m2"'),
        (
            '{ item = "mounting adhesive", amount = 2 }',
            '{ item = "mounting glue", amount = 2 }',
            "has no [[price]]",
        ),
        ('cell = "1 1/2 in"', "", "needs `cell`"),
        ('"3 in", "4 in"]', '"3 in", "6 in"]', "leaves no room for a backing"),
        ('name = "4 in panel"', 'name = "2 in panel"', "a second [[piece]]"),
        ("valid_days = 30", "valid_days = 0", "1 or more"),
    ],
)
def test_a_mistake_of_a_shop_has_its_line(tmp_path, old, new, said):
    text = DEFAULT.read_text(encoding="utf-8")
    assert old in text
    changed = text.replace(old, new, 1)
    (tmp_path / "shop.toml").write_text(changed, encoding="utf-8")
    with pytest.raises(FileMistakes) as caught:
        read_shop(tmp_path / "shop.toml")
    at = changed[: text.index(old)].count("\n") + 1
    head = changed[: text.index(old)].rfind("[[")
    start = changed[:head].count("\n") + 1
    fitting = [m for m in caught.value.mistakes if said in m.text]
    assert fitting and fitting[0].line in {at, start}, [str(m) for m in caught.value.mistakes]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            'front = { kind = "slots"',
            'face = { kind = "slots"',
            "`face` in [[piece.core]] is unknown",
        ),
        ('open = "9.1 %"', 'open = "100 %"', "`open` must be above 0 %"),
        ('hole = "1/4 in"\n', "", "needs `hole`"),
        (
            ', front = { kind = "slots", thickness = "3/4 in", opening = "1/4 in", open = "9.1 %" }',
            "",
            "no plain layer",
        ),
    ],
)
def test_a_resonator_that_cannot_be_built_is_refused(tmp_path, old, new, said):
    text = files("roomcheck.job").joinpath("shop.toml").read_text(encoding="utf-8")
    start = text.index('name = "slatted resonator"')
    assert old in text[start:]
    (tmp_path / "shop.toml").write_text(
        text[:start] + text[start:].replace(old, new, 1), encoding="utf-8"
    )
    with pytest.raises(FileMistakes) as caught:
        read_shop(tmp_path / "shop.toml")
    assert said in str(caught.value)


CORE_OF_FELT = 'flow_resistivity = "20 kPa s/m2"'


@pytest.mark.parametrize(
    ("front", "expected"),
    [
        (
            '{ kind = "slots", thickness = "3/4 in", opening = "1/4 in", open = "8 %" }',
            CoreFront(kind="slots", thickness_m=0.01905, opening_m=0.00635, open_share=0.08),
        ),
        ('{ kind = "sheet", mass = "4.5 kg/m2" }', CoreFront(kind="sheet", mass_kg_m2=4.5)),
        (
            '{ kind = "cloth", mass = "300 g/m2", resistance = "400 Pa s/m" }',
            CoreFront(kind="cloth", mass_kg_m2=0.3, resistance_pa_s_m=400.0),
        ),
    ],
)
def test_a_core_may_have_a_front(tmp_path, front, expected):
    text = DEFAULT.read_text(encoding="utf-8").replace(
        CORE_OF_FELT, f"{CORE_OF_FELT}, divided = true, front = {front}", 1
    )
    (tmp_path / "shop.toml").write_text(text, encoding="utf-8")
    stock = read_shop(tmp_path / "shop.toml").stock
    found = [
        piece.core for piece in stock if piece.kind == "felt" and piece.core and piece.core.front
    ]
    found = [
        piece.core
        for piece in read_shop(tmp_path / "shop.toml").stock
        if piece.core and piece.kind == "felt"
    ]
    assert [core.front for core in found] == [expected] and found[0].divided


def test_a_front_that_lacks_a_size_says_so(tmp_path):
    front = '{ kind = "holes", thickness = "1/2 in", open = "0 %", opening = "1/4 in" }'
    text = DEFAULT.read_text(encoding="utf-8").replace(
        CORE_OF_FELT, f"{CORE_OF_FELT}, front = {front}", 1
    )
    (tmp_path / "shop.toml").write_text(text, encoding="utf-8")
    with pytest.raises(FileMistakes, match="above 0 % and below 100 %"):
        read_shop(tmp_path / "shop.toml")
