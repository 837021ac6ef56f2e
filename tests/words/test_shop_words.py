"""The bench sheet and the price in words, and what the two commands show."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

import roomcheck
from roomcheck.cli import main
from roomcheck.facts import fact
from roomcheck.job import read_signed
from roomcheck.plain import from_plain, to_plain
from roomcheck.quote import Agreement, Line, PriceLine
from roomcheck.words import Reader, sentence
from roomcheck.workshop import Caution, HangingCaution, Note, Pattern, Step, Surface

IN = 0.0254
STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"


def test_sizes_are_those_of_the_reader():
    depth = fact(
        Step.DEPTH,
        cleat_m=0.75 * IN,
        backing_m=0.5 * IN,
        relief_m=4 * IN,
        stack_m=5.25 * IN,
        reveal_m=0.25 * IN,
    )
    assert '5 1/4"; the frame stands 1/4" proud' in sentence(depth, Reader())
    assert "133 mm; the frame stands 6 mm proud" in sentence(depth, Reader(units="metric"))


def test_a_finish_counts_its_areas_and_end_grain():
    finish = fact(
        Step.FINISH,
        surfaces=((Surface.WELLS, 1.0), (Surface.FRAME, 0.5)),
        coat_m2=1.5,
        coats=2,
        finish_l=0.473176473,
        end_grain_m2=0.0,
        end_grain=2.0,
    )
    text = sentence(finish, Reader())
    assert "11 ft² of wells and 5 ft² of frame" in text and "about 1.0 pint;" in text
    assert "end grain" not in text
    assert "about 0.47 l" in sentence(finish, Reader(units="metric"))


def test_one_board_has_no_s():
    triangles = fact(Note.TRIANGLES, per_square=2, per_board=8, boards=1)
    assert sentence(triangles, Reader()).endswith("8 a board, 1 board a corner")


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        (fact(Pattern.DRAWN, seed=12), "balanced draw, seed 12"),
        (fact(Pattern.RESIDUES, prime=7), "quadratic residues of 7"),
        (
            fact(Pattern.RESIDUES, prime=7, every_rows=7, every_columns=7),
            "quadratic residues of 7, repeated every 7 columns and 7 rows",
        ),
        (
            fact(Pattern.ROOT, root=2, prime=13, fold_rows=3, fold_columns=4),
            "primitive root 2 of 13, folded into 3 × 4",
        ),
    ],
)
def test_a_pattern_says_how_to_make_it_again(pattern, text):
    assert sentence(pattern, Reader()) == text


def test_both_lists_defer_in_the_same_words():
    at_the_bench = sentence(fact(Caution.DEFER), Reader())
    assert at_the_bench == sentence(fact(HangingCaution.DEFER), Reader())
    assert "local code" in at_the_bench and "certifies a load" in at_the_bench


def test_a_line_that_was_signed_as_a_text_stands_as_it_was():
    signed = {"text": "Pieces, built and finished", "amount": "1862.86"}
    line = from_plain(PriceLine, signed)
    assert sentence(line.item, Reader("client")) == "Pieces, built and finished"
    assert from_plain(PriceLine, to_plain(line)) == line
    assert line.item.kind == Line.AS_SIGNED


@pytest.fixture
def signed(tmp_path):
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    return folder


@pytest.mark.parametrize("command", ["build", "quote"])
def test_a_screen_is_short_and_narrow(command, signed, capsys):
    assert main([command, str(signed)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80
    assert not any("…" in line for line in lines)


def test_all_of_a_build_sheet_has_every_caution_and_stays_narrow(signed, capsys):
    assert main(["build", str(signed), "--json"]) == 0
    cautions = json.loads(capsys.readouterr().out)["cautions"]
    assert main(["build", str(signed), "--all"]) == 0
    text = capsys.readouterr().out
    assert max(map(len, text.splitlines())) <= 80
    flat = " ".join(text.split())
    for caution in cautions:
        words = sentence(fact(Caution(caution["kind"])), Reader())
        assert " ".join(words.split()) in flat


def test_a_price_is_whole_on_the_terminal(signed, capsys):
    total = read_signed(signed).value(Agreement).quote.total
    assert total >= 1000  # with a comma, which no column may cut
    assert main(["quote", str(signed)]) == 0
    assert f"${total:,.2f}" in capsys.readouterr().out
