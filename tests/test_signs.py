"""What cannot be seen is refused where it is typed and shown where it is printed; no output dies of
an encoding."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
import unicodedata
import xml.etree.ElementTree as ET

import pytest

from roomcheck.cli import main
from roomcheck.cli.terminal import show_json
from roomcheck.errors import RoomcheckError
from roomcheck.job import load_job, new_job
from roomcheck.report.figures.dxf import ascii_of
from roomcheck.report.render.blocks import Document, Text
from roomcheck.report.render.files import _csv
from roomcheck.report.render.html import html_blocks
from roomcheck.report.render.terminal import text_of
from roomcheck.signs import SUBSTITUTES, UNSEEN, first_unseen, spelt_for, visible

ODD = ["\x1b[31m", "\x07", "\x9b31m", "\u202e", "\u2066", "\u200b", "\u2028", "\ufeff", "\x00", "\r", "\x7f", "\u00ad"]  # fmt: skip
SEEN_FORMATS = set("\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2")
"""Number signs of Arabic and Syriac: category Cf, and seen."""


def test_what_is_unseen_is_what_unicode_calls_control_and_format():
    """By the character database that comes with Python, in the basic plane."""
    by_category = {
        chr(code)
        for code in range(0x10000)
        if unicodedata.category(chr(code)) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    } - {"\n", "\t", "\u200c", "\u200d"}
    ours = {chr(code) for code in range(0x10000) if UNSEEN.fullmatch(chr(code))}
    assert by_category - SEEN_FORMATS <= ours
    # Numbers that Unicode has not given out yet, inside of ranges of such signs.
    assert {unicodedata.category(sign) for sign in ours - by_category} <= {"Cn"}


@pytest.mark.parametrize("odd", ODD)
def test_it_is_refused_in_a_file_with_its_line(tmp_path, odd):
    folder = tmp_path / "room"
    made = {"length": "5 m", "width": "4 m", "height": "2.6 m", "use": "meeting room"}
    new_job(folder, **made, client="C", title="T")
    text = (folder / "job.toml").read_text("utf-8")
    spelt = "".join(f"\\U{ord(sign):08X}" for sign in odd)
    assert 'name = "C"' in text
    (folder / "job.toml").write_text(text.replace('name = "C"', f'name = "C{spelt}"'), "utf-8")
    with pytest.raises(RoomcheckError) as caught:
        load_job(folder)
    if odd != "\ud800":
        assert "cannot be seen" in str(caught.value)
    assert "line " in str(caught.value) and not UNSEEN.search(str(caught.value))


@pytest.mark.parametrize("odd", [sign for sign in ODD if "\x00" not in sign])
@pytest.mark.parametrize("option", ["--client", "--title", "--complaint", "--currency", "--use"])
def test_it_is_refused_in_a_command(tmp_path, capsys, odd, option):
    size = ["--length", "5 m", "--width", "4 m", "--height", "2.6 m"]
    more = [] if option == "--use" else ["--use", "meeting room"]
    assert main(["new", str(tmp_path / "r"), *size, *more, option, f"a{odd}b"]) == 2
    err = capsys.readouterr().err
    assert "cannot be seen" in err and not UNSEEN.search(err)
    assert not (tmp_path / "r").exists()


@pytest.mark.parametrize("odd", ODD)
def test_it_never_reaches_an_output_as_it_is(odd, capsys):
    hostile = f"a{odd}b<script>&\"'"
    texts = [
        text_of([Text(body=hostile)]),
        html_blocks([Text(body=hostile)]),
        _csv(["a"], [[hostile]]),
        ascii_of(hostile),
        visible(hostile),
    ]
    show_json({"a": hostile})
    printed = capsys.readouterr().out
    assert json.loads(printed) == {"a": hostile}
    for text in (*texts, printed):
        assert not UNSEEN.search(text)
    assert "<script>" not in html_blocks([Text(body=hostile)])


@pytest.mark.parametrize("odd", ODD)
def test_it_does_not_reach_paper(odd):
    from roomcheck.report.render.letterhead import Letterhead
    from roomcheck.report.render.typst_page import pdf_of, plain_document

    hostile = f'a{odd}b #read("/etc/passwd") *x* $y$'
    page = Document(name="a", title=hostile, subtitle="", blocks=(Text(body=hostile),))
    head = Letterhead(author=hostile, footer=hostile, banner="", paper="a4", day=None)
    assert not UNSEEN.search(json.dumps(plain_document(page, head), ensure_ascii=False))
    assert pdf_of(page, head).startswith(b"%PDF")


@pytest.mark.parametrize("odd", [*ODD, "$x$", "\\", "\\$x$", "好", "<b>", "&", "]]>"])
def test_a_name_in_a_drawing_leaves_it_a_drawing(odd):
    from roomcheck.report.figures.drawings import plain
    from roomcheck.report.figures.figures import drawing, svg_of

    with drawing(3, 2) as figure:
        figure.text(0.5, 0.5, plain(f"a{odd}b"))
        svg = svg_of(figure)
    assert ET.fromstring(svg).tag.endswith("svg") and not UNSEEN.search(svg)


@pytest.mark.parametrize("text", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "=\u202e1"])
def test_a_cell_is_never_a_formula(text):
    (row,) = csv.reader(io.StringIO(_csv(["a"], [[text]]).partition("\n")[2]))
    assert row[0].startswith("'")


def test_a_number_stays_a_number():
    assert _csv(["a"], [[-1.5]]) == "a\n-1.5\n"


def test_a_drawing_programs_own_signs_are_no_signs_in_a_name():
    assert ascii_of("50%%d") == "50%%%%%%d"


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii", "latin-1", "koi8-r"])
def test_every_sign_has_a_spelling_in_every_encoding(encoding):
    for sign in [*SUBSTITUTES, "≤", "é", "好", "🙂", "\x1b", "\udcff"]:
        spelt = spelt_for(sign, encoding)
        assert spelt and spelt.encode(encoding)
    assert spelt_for("≤", "ascii") == "<="


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
@pytest.mark.parametrize(
    "arguments", [["--help"], ["check", "."], ["check", "room"], ["new", "room", "--help"]]
)
def test_no_output_dies_of_an_encoding(tmp_path, encoding, arguments):
    made = {"length": "5 m", "width": "4 m", "height": "2.6 m", "use": "meeting room"}
    new_job(tmp_path / "room", **made, client="≤ é 好 ²", title="×")
    done = _run(tmp_path, encoding, arguments)
    assert done.returncode in (0, 2) and b"Traceback" not in done.stderr
    (done.stdout + done.stderr).decode(encoding)


def test_json_is_utf_8_whatever_the_output_speaks(tmp_path):
    made = {"length": "5 m", "width": "4 m", "height": "2.6 m", "use": "meeting room"}
    new_job(tmp_path / "room", **made, client="≤ é 好", title="×")
    done = _run(tmp_path, "ascii", ["check", "room", "--json"])
    assert json.loads(done.stdout.decode("utf-8"))["mistakes"] == []


def _run(folder, encoding, arguments):
    here = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONPATH": os.pathsep.join(sys.path)}
    run = [sys.executable, "-m", "roomcheck", *arguments]
    return subprocess.run(run, cwd=folder, env=here, capture_output=True, check=False)


def test_the_first_is_named():
    assert first_unseen("a\u202eb") == "U+202E (right-to-left override)"
    assert first_unseen("नमस्ते \u200d 👩\u200d🔬") is None
