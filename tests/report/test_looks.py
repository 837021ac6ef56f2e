"""What was chosen of cloth and colour, as the client reads it."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.job import ChosenLook, ShopLook
from roomcheck.report import text_of
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.proposal import proposal

CHARCOAL = ShopLook(name="charcoal", kind="cloth", colour="#3f4347")
NAVY = ShopLook(name="navy", kind="cloth", colour="#27364f")


def said_to(story, folder, *looks: ChosenLook) -> str:
    job, known = story(folder)
    offered = {key: known[key] for key in ("before", "verdict", "plans", "plan", "quotes", "quote")}
    document = proposal(Offered(job=replace(job, looks=looks), **offered))
    return " ".join(text_of(document.blocks, width=10_000).split())


def test_the_proposal_says_which_piece_has_which_cloth_and_asks_to_see_it(story, tmp_path):
    pieces = {placed.piece for placed in story(tmp_path)[1]["plan"].pieces}
    assert len(pieces) > 1
    named = sorted(pieces)[0]
    looks = (ChosenLook(look=CHARCOAL), ChosenLook(look=NAVY, piece=named))
    said = said_to(story, tmp_path, *looks)
    assert f"{named}: cloth “navy”" in said and "cloth “charcoal”" in said and "swatch" in said


def test_a_proposal_where_nobody_chose_says_nothing_of_it(story, tmp_path):
    said = said_to(story, tmp_path)
    assert "swatch" not in said and "Cloth and colour" not in said
