"""How a shop works, as its file says it: what is read, what stays at the trade's value, mistakes by
their line."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from roomcheck.job import FileMistakes, default_shop, read_shop
from roomcheck.job.model.practice import ShopPractice
from roomcheck.job.read.shop_file import DEFAULT
from roomcheck.job.store.together import FileChanged
from roomcheck.job.write.shop_keep import keep_rack

IN = 0.0254
OWN = """
[practice]
stick = "1.515 in"
corner = "mitre"
hold = "8 in"
spare = "5 %"
coats = 3
day_hours = "8"

[[work]]
kind = "block diffuser"
operation = [{ name = "cut", share = "40 %" }, { name = "glue", share = "60 %", wait = "12" }]

[[offcut]]
item = "stick 2x2, 8 ft"
length = "40 in"
count = 2
"""


def shop_with(tmp_path, more: str, old: str = "", new: str = ""):
    text = DEFAULT.read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "shop.toml").write_text(
        (text.replace(old, new, 1) if old else text) + more, encoding="utf-8"
    )
    return read_shop(tmp_path / "shop.toml")


def test_a_shop_that_says_nothing_works_as_the_trade_does():
    assert default_shop().practice == ShopPractice()
    assert default_shop().offcuts == ()


def test_what_a_shop_says_is_taken_and_the_rest_stays(tmp_path):
    shop = shop_with(tmp_path, OWN)
    practice, usual = shop.practice, ShopPractice()
    assert (practice.stick_m, practice.hold_m) == (pytest.approx(1.515 * IN), pytest.approx(8 * IN))
    assert (practice.corner, practice.spare_pct, practice.coats, practice.day_hours) == (
        "mitre",
        5,
        3,
        Decimal(8),
    )
    assert (practice.trim_m, practice.least_ratio) == (usual.trim_m, usual.least_ratio)
    assert practice.shares == (
        ("block diffuser", (("cut", Decimal(40), Decimal(0)), ("glue", Decimal(60), Decimal(12)))),
    )
    (offcut,) = shop.offcuts
    assert (offcut.item, offcut.length_m, offcut.count) == (
        "stick 2x2, 8 ft",
        pytest.approx(40 * IN),
        2,
    )


def test_other_lengths_and_tax_are_read(tmp_path):
    shop = shop_with(
        tmp_path,
        "",
        'item = "board 1x6, pine"    # 3/4 x 5-1/2 in',
        'item = "board 1x6, pine"\nalso = [{ length = "12 ft", price = "21.00" }]',
    )
    (other,) = next(price for price in shop.prices if price.item == "board 1x6, pine").also
    assert (other.length_m, other.price) == (pytest.approx(144 * IN), Decimal("21.00"))
    taxed = shop_with(
        tmp_path, "", 'tax = "0 %"', 'tax = "8 %"\ntaxed = ["pieces"]\ntax_rounding = "lines"'
    )
    assert (taxed.rates.taxed, taxed.rates.tax_rounding) == (("pieces",), "lines")


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[practice]\nstick = "0 in"\n', "above 0"),
        ('[practice]\nhold = "-1 in"\n', "0 or more"),
        ('[practice]\nstik = "1.5 in"\n', "did you mean `stick`"),
        ('[practice]\ncorner = "miter"\n', 'did you mean "mitre"'),
        ('[practice]\nscrew = "#9"\n', "it must be one of"),
        ('[practice]\nday_hours = "0"\n', "how long is a day"),
        ('[practice]\nsheet = ["48 in"]\n', "a width and a length"),
        (
            '[[work]]\nkind = "felt"\noperation = [{ name = "cut", share = "90 %" }]\n',
            "must make 100 %",
        ),
        ('[[offcut]]\nitem = "stik"\nlength = "40 in"\n', "has no [[price]]"),
        ('[[offcut]]\nitem = "stick 2x2, 8 ft"\nlength = "0 in"\n', "above 0"),
    ],
)
def test_mistakes_are_told(tmp_path, more, said):
    with pytest.raises(FileMistakes) as caught:
        shop_with(tmp_path, more)
    assert any(said in mistake.text for mistake in caught.value.mistakes), [
        str(m) for m in caught.value.mistakes
    ]


@pytest.mark.parametrize(
    ("new", "said"),
    [
        ('pattern = "spiral"', "quadratic residues 7"),
        ('fits = "wall"', "it must be one of"),
        ('steps = ["1 in"]', "flat"),
    ],
)
def test_a_diffusers_own_keys_are_checked(tmp_path, new, said):
    old = 'steps = ["0 in", "1 in", "2 in", "3 in", "4 in"]'
    with pytest.raises(FileMistakes) as caught:
        shop_with(tmp_path, "", old, new if new.startswith("steps") else f"{old}\n{new}")
    assert any(said in mistake.text for mistake in caught.value.mistakes), [
        str(m) for m in caught.value.mistakes
    ]


def test_a_rack_that_somebody_cut_from_meanwhile_is_not_written_over(tmp_path):
    was = shop_with(tmp_path, OWN)
    path = tmp_path / "shop.toml"
    first = keep_rack(path, [replace(was.offcuts[0], count=1)], "imperial", was)
    assert [offcut.count for offcut in first.offcuts] == [1]
    before = path.read_bytes()
    with pytest.raises(FileChanged):
        keep_rack(path, [], "imperial", was)
    assert path.read_bytes() == before
