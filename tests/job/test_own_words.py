"""An offer's number and day, the client's address, and what a shop says in its own words."""

from __future__ import annotations

from importlib.resources import files

import pytest

from roomcheck.errors import RoomcheckError
from roomcheck.job import load_job, new_job
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
