"""Cautions and refusals of the installer's sheet in words."""

from __future__ import annotations

import pytest

from roomcheck.facts import Fact, fact
from roomcheck.job import FramingKind
from roomcheck.plain import from_plain, to_plain
from roomcheck.words import Reader, sentence
from roomcheck.words.shop.hanging import row_of_pieces
from roomcheck.workshop import FixingKind, HangingCaution, HangingRow, Packing, Refusal

IN = 0.0254


@pytest.mark.parametrize(
    ("framing", "words"),
    [
        (FramingKind.STEEL_STUDS, "Steel studs behind the north: no wood screws"),
        (FramingKind.MASONRY, "Masonry behind the north: no wood screws"),
        (FramingKind.CONCRETE, "Concrete behind the north: no wood screws"),
    ],
)
def test_a_wall_that_is_no_wood_says_who_decides(framing, words):
    caution = fact(HangingCaution.NOT_WOOD, face="north", framing=framing, ceiling=False)
    text = sentence(caution, Reader())
    assert words in text and "no ratio" in text and "licensed person" in text


@pytest.mark.parametrize(
    "made",
    [
        fact(HangingCaution.NOT_WOOD, face="north", framing=FramingKind.MASONRY, ceiling=False),
        fact(Packing.ANCHORS, count=12, fixing=FixingKind.MASONRY_ANCHOR),
    ],
)
def test_a_sheet_that_was_kept_reads_as_a_fresh_one(made):
    kept = from_plain(Fact[type(made.kind)], to_plain(made))
    assert sentence(kept, Reader()) == sentence(made, Reader())


def test_a_refusal_has_its_cures_and_stays_below_the_least():
    found = {"weight_kg": 27.2155, "studs": 2, "ratio": 3.99, "least_ratio": 4.0}
    cures = {"across_studs": 3, "across_ratio": 5.2, "move_m": -3 * IN}
    text = sentence(fact(Refusal.FEW_SCREWS, **found, **cures), Reader())
    assert text == (
        '60 lb on 2 studs: planning ratio 3.99, 4 is the least. Cure: pin it 3" further left or '
        "hang it the long way across, on 3 studs (5.2)."
    )


def test_a_rail_is_named_with_its_ends_and_without_any_cure_a_person_decides():
    rail = fact(
        HangingCaution.ON_RAIL,
        name="R1",
        names=("A1", "A2"),
        left_m=55 * IN,
        right_m=89 * IN,
        at_m=71 * IN,
        per_stud=3,
        studs_m=(56 * IN, 72 * IN, 88 * IN),
    )
    text = sentence(rail, Reader())
    assert "R1, under A1 and A2: bevel up, from 4'-7\" to 7'-5\", its bottom edge 5'-11\"" in text
    assert "3 screws in each of the studs at 4'-8\", 6'-0\" and 7'-4\"" in text
    found = {"weight_kg": 27.2155, "studs": 1, "ratio": 0.5, "least_ratio": 4.0}
    assert "licensed person" in sentence(fact(Refusal.FEW_SCREWS, **found), Reader())


@pytest.mark.parametrize("refusal", [Refusal.GRID, Refusal.FRAMING_UNKNOWN, Refusal.STUDS_MISSING])
def test_what_nobody_knows_is_not_hung_and_the_cure_is_said(refusal):
    text = sentence(fact(refusal, face="north"), Reader())
    assert "nothing is hung" in text
    assert "[[framing]] in job.toml" in text


def test_a_row_names_its_gaps_and_the_even_ones():
    row = HangingRow(
        face="north",
        names=("A1", "A2", "A3"),
        left_m=20 * IN,
        gaps_m=(16 * IN, 46 * IN),
        right_m=20 * IN,
        even_m=25.5 * IN,
        even_lefts_m=(25.5 * IN, 75 * IN, 124.5 * IN),
    )
    text = row_of_pieces(row, Reader())
    assert "1'-8\" to the corner, gaps 1'-4\", 3'-10\", 1'-8\" to the corner" in text
    assert (
        "Even gaps of about 2'-1 1/2\" would put the left edges at A1 2'-1 1/2\", A2 6'-3\", A3 10'-4 1/2\""
        in text
    )
