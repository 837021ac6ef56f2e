"""What files of schema 1 said in words: understood where it is clear, unknown where it is not."""

from __future__ import annotations

import pytest

from roomcheck.job import FramingKind, ShopMaterial, UsedFor
from roomcheck.job.read.schema_1 import bought, core_board_m, dressed_m, framing_of

IN = 0.0254
WOOD, STEEL = FramingKind.WOOD_STUDS, FramingKind.STEEL_STUDS
MASONRY, CONCRETE = FramingKind.MASONRY, FramingKind.CONCRETE
GRID, UNKNOWN = FramingKind.GRID, FramingKind.UNKNOWN

WALLS = {
    "1/2 in gypsum on wood studs": (WOOD, 0.0127),
    "1/2 in gypsum on wood joists": (WOOD, 0.0127),
    "12.5 mm plasterboard on timber studs": (WOOD, 0.0125),
    "1/2 in gypsum, wood studs at 16 in; glass door left of it": (WOOD, 0.0127),
    "5/8 in gypsum board on wooden framing": (WOOD, 0.015875),
    "plaster on wood studs": (WOOD, None),
    "1/2 in gypsum on steel studs": (STEEL, 0.0127),
    "1/2 in gypsum on metal studs": (STEEL, 0.0127),
    "1/2 in gypsum on light-gauge track": (STEEL, 0.0127),
    "1/2 in gypsum on aluminium channel": (UNKNOWN, 0.0127),
    "5/8 in plaster on CMU": (MASONRY, 0.015875),
    "brick": (MASONRY, None),
    "concrete block": (MASONRY, None),
    "poured concrete": (CONCRETE, None),
    "tiles in a ceiling grid": (GRID, None),
    "suspended ceiling": (GRID, None),
    "gypsum": (UNKNOWN, None),
    "1/2 in gypsum on studs": (UNKNOWN, 0.0127),
    "wood studs or steel studs": (UNKNOWN, None),
    "no wood studs": (UNKNOWN, None),
    "wood studs?": (UNKNOWN, None),
    "wood studs, brick behind": (UNKNOWN, None),
    "woodpecker studio": (UNKNOWN, None),
    "2 layers 5/8 in gypsum on wood studs": (WOOD, None),
    "1/2 in gypsum over 1/2 in OSB on wood studs": (WOOD, None),
    "wood studs at 16 in": (WOOD, None),
    "16 in gypsum on wood studs": (WOOD, None),
    "": (UNKNOWN, None),
}


@pytest.mark.parametrize(("build", "wall"), WALLS.items())
def test_a_walls_text_is_understood_or_unknown(build, wall):
    kind, sheathing_m = framing_of(build)
    assert kind is wall[0]
    assert sheathing_m == (None if wall[1] is None else pytest.approx(wall[1]))


M = ShopMaterial
PRICES = {  # (item, unit): material, thickness, width, length [m]
    ("mineral wool board, 24 x 48 x 2 in", "board"): (M.CORE, 2 * IN, 24 * IN, 48 * IN),
    ("glass wool slab 600 x 1200 x 50 mm", "slab"): (M.CORE, 0.05, 0.6, 1.2),
    ("mineral wool batt", "batt"): (M.CORE, None, None, None),
    ("hemp batt, 24 x 48 x 2 in", "batt"): (M.UNKNOWN, None, None, None),
    ("stone fibre slab 2 in", "slab"): (M.CORE, None, None, None),
    ("board 1x3, pine", "ft"): (M.BOARD, 0.75 * IN, 2.5 * IN, None),
    ("board 18 x 140 mm, spruce", "m"): (M.BOARD, 0.018, 0.14, None),
    ("plank 6 in, pine", "ft"): (M.UNKNOWN, None, None, None),
    ("screw 5 x 60 mm", "m"): (M.SCREW, None, None, None),
    ("stick 2x2, 8 ft", "stick"): (M.STICK, None, None, 96 * IN),
    ("spruce 38 x 38 mm, 2.4 m", "stick"): (M.STICK, None, None, 2.4),
    ("plywood 1/2 in", "ft2"): (M.PLYWOOD, 0.5 * IN, None, None),
    ("plywood 12 mm, 1220 x 2440 mm", "m2"): (M.PLYWOOD, 0.012, 1.22, 2.44),
    ("felt-faced plywood 1/2 in", "ft2"): (M.UNKNOWN, None, None, None),
    ("MDF 1/2 in", "ft2"): (M.UNKNOWN, None, None, None),
    ("face fabric", "yd"): (M.FABRIC, None, None, None),
    ("backing cloth", "yd"): (M.FABRIC, None, None, None),
    ("jute 60 in wide", "yd"): (M.UNKNOWN, None, None, None),
    ("emery cloth", "sheet"): (M.UNKNOWN, None, None, None),
    ("felt tile, 24 x 24 in x 9 mm", "tile"): (M.FELT, None, None, None),
    ("felt pads", "bag"): (M.UNKNOWN, None, None, None),
    ("screw #10 x 2-1/2 in", "screw"): (M.SCREW, None, None, None),
    ("staples and finish nails", "panel"): (M.HARDWARE, None, None, None),
    ("wood glue", "fl oz"): (M.GLUE, None, None, None),
    ("mounting adhesive", "fl oz"): (M.GLUE, None, None, None),
    ("finish", "pint"): (M.FINISH, None, None, None),
    ("ceiling hanging set", "point"): (M.HANGING_SET, None, None, None),
    ("slat 18 x 63 mm", "m"): (M.SLAT, 0.018, 0.063, None),
    ("odds and ends", "job"): (M.UNKNOWN, None, None, None),
}


@pytest.mark.parametrize(("price", "meant"), PRICES.items())
def test_a_prices_name_is_understood_or_unknown(price, meant):
    named = bought(*price)
    assert named.material is meant[0]
    sizes = (named.thickness_m, named.width_m, named.length_m)
    for size, expected in zip(sizes, meant[1:], strict=True):
        assert size == (None if expected is None else pytest.approx(expected))


def test_a_fabric_says_what_it_is_for():
    uses = [bought(name, "yd").used_for for name in ("face fabric", "backing cloth", "black cloth")]
    assert uses == [UsedFor.FACE, UsedFor.BACK, None]


def test_a_core_board_needs_three_sides():
    assert core_board_m("mineral wool, 2 in") is None


# American Softwood Lumber Standard PS 20, boards and dimension lumber, dry: nominal width and
# thickness to dressed size; 5, 10 and 12 in from memory.
DRESSED = {2: 1.5, 3: 2.5, 4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}


@pytest.mark.parametrize(("nominal", "dressed"), DRESSED.items())
def test_a_board_is_as_wide_as_the_lumber_standard_has_it(nominal, dressed):
    for thick, dressed_thick in ((1, 0.75), (2, 1.5)):
        found = dressed_m(f"board {thick}x{nominal}, pine")
        assert found == pytest.approx((dressed_thick * IN, dressed * IN))
