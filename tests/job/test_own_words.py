"""An offer's number and day, the client's address, and what a shop says in its own words."""

from __future__ import annotations

from decimal import Decimal
from importlib.resources import files

import pytest

from roomcheck.errors import RoomcheckError
from roomcheck.job import Edit, Extra, edit_job, load_job, new_job, undo
from roomcheck.job.logo.shop_words import contrast_on_white

ANSWERS = {
    "client": "C",
    "title": "T",
    "use": "podcast room",
    "length": "4 m",
    "width": "3 m",
    "height": "2.5 m",
    "complaint": "",
}


def a_folder(tmp_path, words=""):
    new_job(tmp_path, **ANSWERS)
    shop = (files("roomcheck.job") / "shop.toml").read_text("utf-8")
    (tmp_path / "shop.toml").write_text(f"{shop}\n[words]\n{words}", "utf-8")
    return tmp_path


def test_offer_and_address_are_read(tmp_path):
    path = a_folder(tmp_path) / "job.toml"
    text = path.read_text("utf-8").replace(
        "[use]", '[offer]\nnumber = "7"\ndate = "2026-05-11"\n\n[use]'
    )
    text = text.replace("[client]", '[client]\naddress = "3 Harbour Street"')
    path.write_text(text, "utf-8")
    job = load_job(tmp_path)
    assert (job.offer_number, job.offer_date) == ("7", "2026-05-11")
    assert job.client_address == "3 Harbour Street"


def test_own_words_are_read(tmp_path):
    words = 'remedy = "We come back."\nexclusions = ["The piano."]\ncolour = "#1d5b46"\n'
    own = load_job(a_folder(tmp_path, words)).shop.words
    assert (own.remedy, own.exclusions, own.colour) == ("We come back.", ("The piano.",), "#1d5b46")
    assert own.care == ""


@pytest.mark.parametrize(
    ("colour", "why"), [("#9aa0a6", "contrast on white"), ("green", "must be such as")]
)
def test_a_colour_that_cannot_be_read_is_refused(tmp_path, colour, why):
    with pytest.raises(RoomcheckError, match=why):
        load_job(a_folder(tmp_path, f'colour = "{colour}"\n'))


def test_contrast_is_that_of_wcag():
    # WCAG 2.2: black on white 21:1; #767676 is the lightest grey that reaches 4.5:1 (widely
    # tabulated; from memory).
    assert contrast_on_white("#000000") == pytest.approx(21)
    assert contrast_on_white("#ffffff") == pytest.approx(1)
    assert contrast_on_white("#767676") >= 4.5 > contrast_on_white("#777777")


def test_a_job_says_in_its_own_words_what_it_says_and_the_shop_the_rest(tmp_path):
    folder = a_folder(tmp_path, 'remedy = "We come back."\nexclusions = ["The piano."]\n')
    edit_job(folder, [Edit(("words", "greeting"), "Good to see you again.")])
    edit_job(folder, [Edit(("words", "exclusions"), ["The carpet.", "The piano."])])
    words = load_job(folder).shop.words
    assert (words.greeting, words.remedy) == ("Good to see you again.", "We come back.")
    assert words.exclusions == ("The carpet.", "The piano.")
    undo(folder)
    assert load_job(folder).shop.words.exclusions == ("The piano.",)
    with pytest.raises(RoomcheckError, match="colour"):
        edit_job(folder, [Edit(("words", "colour"), "#000000")])


def test_an_option_is_read_ticked_and_refused_without_a_cost(tmp_path):
    folder = a_folder(tmp_path)
    edit_job(folder, [Edit(("extra",), {"name": "Felt on the backs", "cost": "40.50"})])
    job = edit_job(folder, [Edit(("extra", "1", "taken"), "yes")])
    assert job.extras == (Extra(name="Felt on the backs", cost=Decimal("40.50"), taken=True),)
    for wrong in ({"name": "x"}, {"name": " ", "cost": "4"}, {"name": "x", "cost": "-4"}):
        with pytest.raises(RoomcheckError):
            edit_job(folder, [Edit(("extra",), wrong)])
    with pytest.raises(RoomcheckError, match="Felt"):
        edit_job(folder, [Edit(("extra",), {"name": "Felt on the backs", "cost": "1"})])
