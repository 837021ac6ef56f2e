"""Cloth, stain and paint: what the shop offers, and what a job chose of it."""

from __future__ import annotations

import re

import pytest

from roomcheck.job import FileMistakes, default_shop, load_job, read_shop
from roomcheck.job.read.shop_file import DEFAULT


@pytest.fixture
def chosen(folder, story_text):
    """Write choices into the job's file and read it, with the shop that comes along."""

    def read(choices: str):
        (folder / "job.toml").write_text(f"{story_text}\n{choices}\n", encoding="utf-8")
        return load_job(folder)

    return read


def test_nothing_is_chosen_where_nobody_chose(folder):
    job = load_job(folder)
    assert job.looks == () and job.look_of("2 in panel") is None


def test_a_choice_for_one_piece_goes_before_that_for_all(chosen):
    job = chosen(
        '[[look]]\nlook = "charcoal"\n[[look]]\nlook = "walnut"\n'
        '[[look]]\nlook = "navy"\npiece = "4 in panel"'
    )
    names = {
        piece: look and look.name
        for piece in ("2 in panel", "4 in panel", "block diffuser", "felt tile", "no such piece")
        for look in [job.look_of(piece)]
    }
    assert names == {
        "2 in panel": "charcoal",
        "4 in panel": "navy",
        "block diffuser": "walnut",
        "felt tile": None,
        "no such piece": None,
    }
    assert job.look_of("block diffuser").colour == "#6b4a31"


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ('look = "charcaol"', 'did you mean "charcoal"'),
        ('look = "charcoal"\npiece = "4 in pannel"', 'did you mean "4 in panel"'),
        ('look = "charcoal"\npiece = "block diffuser"', "shows stain or paint"),
        ('look = "walnut"\npiece = "4 in panel"', "a stain; a 4 in panel shows cloth"),
        ('look = "walnut"\npiece = "felt tile"', "neither cloth, stain nor paint"),
        ('look = "charcoal"\n[[look]]\nlook = "navy"', "a second `look` for the cloth of all"),
        (
            'look = "walnut"\npiece = "block diffuser"\n'
            '[[look]]\nlook = "walnut"\npiece = "block diffuser"',
            "a second `look` for the wood of block diffuser",
        ),
        ('look = "charcoal"\nfor = "4 in panel"', "`for`"),
        ('piece = "4 in panel"', "`look`"),
    ],
)
def test_a_choice_that_cannot_be_is_refused_with_its_line(chosen, story_text, table, said):
    with pytest.raises(FileMistakes) as caught:
        chosen(f"[[look]]\n{table}")
    assert said in str(caught.value)
    first = len(story_text.splitlines()) + 1
    assert caught.value.mistakes[0].line >= first


def test_a_choice_from_a_shop_without_a_range_says_so(chosen, folder):
    bare = re.sub(r"\[\[look\]\]\n(?:.+\n)+", "", DEFAULT.read_text("utf-8"))
    (folder / "shop.toml").write_text(bare, encoding="utf-8")
    with pytest.raises(FileMistakes, match=r"shop\.toml has no \[\[look\]\] yet"):
        chosen('[[look]]\nlook = "charcoal"')


@pytest.mark.parametrize(
    ("was", "wrong", "said"),
    [
        ('kind = "stain"', 'kind = "stian"', 'did you mean "stain"'),
        ('"#6b4a31"', '"brown"', "it must be such as"),
        ('colour = "#6b4a31"\n', "", "`colour`"),
        ('name = "walnut"', 'name = "charcoal"', "a second [[look]]"),
        ('colour = "#6b4a31"', 'color = "#6b4a31"', "did you mean `colour`"),
    ],
)
def test_a_look_of_the_shop_that_cannot_be_is_refused(tmp_path, was, wrong, said):
    text = DEFAULT.read_text("utf-8")
    assert was in text
    path = tmp_path / "shop.toml"
    path.write_text(text.replace(was, wrong, 1), encoding="utf-8")
    with pytest.raises(FileMistakes) as caught:
        read_shop(path)
    assert said in str(caught.value) and caught.value.mistakes[0].line > 1


def test_both_shops_that_come_along_offer_the_same_small_range():
    inch, metric = default_shop("imperial"), default_shop("metric")
    assert inch.looks == metric.looks
    assert {look.kind for look in inch.looks} == {"cloth", "stain", "paint"}


def test_what_shows_cloth_is_what_is_wrapped(folder):
    from roomcheck.workshop import piece_in_space

    job = load_job(folder)
    for piece in job.shop.stock:
        assert ("cloth" in piece.shows) == piece_in_space(job, piece.name).wrapped, piece.name
