"""Blocks on a terminal."""

from __future__ import annotations

import io
import re

import pytest
from rich.cells import cell_len

from roomcheck.cli.terminal import show
from roomcheck.report import text_of
from roomcheck.report.render.blocks import (
    Boxes,
    Bullets,
    CautionBox,
    Facts,
    Heading,
    NewPage,
    Picture,
    Said,
    Signature,
    Table,
    Text,
    VerdictBox,
)

WIDE = Table(
    heads=("Option", "What hangs", "Expected [s]", "Range [s]", "Target", "Hours", "Price"),
    rows=tuple(
        (
            f"{n}: the least that reaches the target",
            "12 deep panels on the back wall, 4 traps in the corners, 6 panels on the ceiling",
            "0.52",
            "0.44–0.61",
            "reached",
            "38.5",
            f"${n},145.00",
        )
        for n in (1, 2, 12)
    ),
    align=("left", "left", "right", "right", "left", "right", "right"),
    note="Prices with tax.",
)

EVERY_KIND = (
    Heading(text="What we found"),
    Text(body="A sentence that is long enough to be wrapped. " * 4, lead="First:"),
    Said(body="It booms.\nBadly.", by="the client"),
    VerdictBox(word="Not kept.", sentence="0.404 s against 0.40 s.", tone="bad"),
    Bullets(items=("one", "two " * 30)),
    Boxes(items=("stop, look",)),
    CautionBox(title="Saw", items=("Guard on.",)),
    Facts(pairs=(("Room", "Harbour room"), ("Volume", "57.3 m³"))),
    WIDE,
    Picture(svg="<svg/>", alt="Plan: 4 panels on the north wall"),
    NewPage(),
    Signature(who=("Client", "Shop"), date="Date", title="Accepted", body="All of it."),
)


@pytest.mark.parametrize("width", [40, 60, 80])
@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "ascii"])
def test_no_line_is_wider_than_the_terminal(width, encoding):
    text = text_of(EVERY_KIND, width, encoding=encoding)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    text.encode(encoding)


@pytest.mark.parametrize("width", [40, 60, 80])
def test_numbers_and_prices_are_never_cut(width):
    text = text_of([WIDE], width)
    for n in ("1", "2", "12"):
        assert f"${n},145.00" in text
    assert text.count("0.44–0.61") == 3


def test_numbers_stand_under_one_another_at_the_right():
    table = Table(
        heads=("Band", "T20 [s]"),
        rows=(("63 Hz", "1.05"), ("125 Hz", "10.05")),
        align=("left", "right"),
    )
    lines = text_of([table]).splitlines()
    assert lines[0] == "Band    T20 [s]"
    assert lines[2:] == ["63 Hz      1.05", "125 Hz    10.05"]


def test_a_table_that_is_too_wide_folds_its_rows():
    lines = text_of([WIDE], 60).splitlines()
    first = next(line for line in lines if line.startswith("1: "))
    price = next(line for line in lines if "$1,145.00" in line)
    assert "0.52" in first and price.startswith("    ")


def test_what_a_person_typed_cannot_steer_the_terminal():
    text = text_of([Text(body="\x1b[2Jgone\u202egnorw"), Bullets(items=("[red]x[/red]\x07",))])
    assert "\x1b" not in text and "\x07" not in text and "\u202e" not in text
    assert "\\x1b[2Jgone\\u202egnorw" in text
    assert "[red]x[/red]\\x07" in text


def test_colour_only_adds_to_the_words():
    plain = text_of(EVERY_KIND)
    coloured = text_of(EVERY_KIND, colour=True)
    assert "\x1b[1;31mNot kept.\x1b[0m" in coloured
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == plain


def test_what_a_stream_cannot_show_is_spelt_out(monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii", newline="")
    monkeypatch.setattr("sys.stdout", stream)
    show([Text(body="0.404 s ≤ 0.41–0.50 s ± 3 % … Ærø café")])
    stream.flush()
    assert (
        stream.buffer.getvalue()
        .decode("ascii")
        .startswith("0.404 s <= 0.41-0.50 s +/- 3 % ... ?r? cafe")
    )


def test_files_are_named_folder_by_folder(tmp_path):
    from roomcheck.report import files_written

    files = [tmp_path / "documents" / "proposal.pdf", tmp_path / "results" / "bands-before.csv"]
    text = text_of(files_written(files, ["certificate: needs the signed agreement"]), 200)
    assert f"2 files written, in {tmp_path}" in text
    assert re.search(r"documents +proposal\.pdf\nresults +bands-before\.csv", text)
    assert "• certificate: needs the signed agreement" in text


def test_a_build_of_42_pieces_fits_a_screen_unless_all_is_asked_for(story, tmp_path) -> None:
    from dataclasses import replace

    from roomcheck.facts import fact
    from roomcheck.report import build_blocks
    from roomcheck.workshop import Refusal

    job, known = story(tmp_path)
    sheet = known["sheet"]
    faces = ("south", "east", "north", "west")
    lines = tuple(
        replace(
            sheet.hanging[i % len(sheet.hanging)],
            name=f"A{i + 1}",
            face=faces[i * len(faces) // 42],
            refused=(fact(Refusal.STUDS_MISSING, face=faces[i * len(faces) // 42]),),
        )
        for i in range(42)
    )
    many = replace(sheet, hanging=lines)
    short = text_of(build_blocks(job, many))
    assert len(short.splitlines()) <= 40
    assert max(map(cell_len, short.splitlines())) <= 80
    # Nothing is lost: every piece that is refused is named, by its run.
    assert "A1 to A11: Nobody has found the studs of the south" in short.replace("\n  ", " ")
    assert "A42" in short
    everything = text_of(build_blocks(job, many, everything=True))
    assert len(everything.splitlines()) > 80


def test_a_plan_of_42_pieces_fits_a_screen_unless_all_is_asked_for(story, tmp_path) -> None:
    from dataclasses import replace

    from roomcheck.report import plan_blocks, plan_hint

    job, known = story(tmp_path)
    plan = known["plan"]
    faces = ("south", "east", "north", "west")
    pieces = tuple(
        replace(plan.pieces[i % 4], name=f"A{i + 1}", face=faces[i * 4 // 42]) for i in range(42)
    )
    missed = known["plans"][0].shortfalls * 9
    many = replace(plan, pieces=pieces, shortfalls=missed)
    short = text_of((*plan_blocks(job, many, short=True), *plan_hint(many)))
    assert len(short.splitlines()) <= 40
    assert max(map(cell_len, short.splitlines())) <= 80
    assert "A1 to A11" in short and "and 6 more" in short
    whole = text_of(plan_blocks(job, many, everything=True)).splitlines()
    assert all(any(line.startswith(f"A{i + 1} ") for line in whole) for i in range(42))


def test_the_hint_names_a_plan_that_is_there(story, tmp_path) -> None:
    from roomcheck.report import plans_blocks

    job, known = story(tmp_path)
    alone, price = known["plan"], known["quote"].total
    missing = known["plans"][0]
    assert alone.reaches_target and not missing.reaches_target

    def hint(plans):
        # A long folder's name may put the number on the next line.
        return " ".join(text_of(plans_blocks(job, plans, [price] * len(plans))).split())

    assert "--plan 1" in hint([alone])
    assert "--plan 1" in hint([missing])
    assert "--plan 2" in hint([missing, alone])
