"""The documents as a reader gets them: their text, their pages, their bytes."""

from __future__ import annotations

import contextlib
import re
import shutil
import subprocess
import zlib
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from roomcheck.facts import fact
from roomcheck.job import Job
from roomcheck.report import Case, lacking, report, text_of, verification_blocks
from roomcheck.verify import Cause, Kept
from roomcheck.words import Reader, say

Story = Callable[..., tuple[Job, dict[str, Any]]]

CLIENT = ("proposal", "quote", "measurement-before", "measurement-after", "before-and-after")
ODD = r"""#import "x" $a_b$ *bold* `code` <tag> @ref \n "quoted" [c] {d} ~ // é 中"""


def pages(pdf: Path) -> list[str]:
    """The text of every page."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True)
    return done.stdout.decode("utf-8").split("\f")[:-1]


def flat(pdf: Path) -> str:
    return re.sub(r"\s+", " ", " ".join(pages(pdf)))


def documents(files: tuple[Path, ...]) -> list[Path]:
    """The documents as PDF; labels to print are no document and stand in a folder of their own."""
    return [path for path in files if path.suffix == ".pdf" and path.parent.name == "documents"]


@pytest.fixture(scope="module")
def made(story: Story, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    job, known = story(tmp_path_factory.mktemp("story-room"))
    return {path.stem: path for path in documents(report(Case(job=job, **known)))}


def test_all_documents_are_there_and_none_is_empty(made: dict[str, Path]) -> None:
    assert set(made) == {*CLIENT, "shop-and-install"}
    for pdf in made.values():
        assert pdf.read_bytes().startswith(b"%PDF-")
        assert all(len(text.split()) > 30 for text in pages(pdf)), pdf


def test_every_page_of_a_made_up_job_says_so(made: dict[str, Path]) -> None:
    for pdf in made.values():
        assert all("MADE UP" in text for text in pages(pdf))


def test_a_real_job_is_not_called_made_up(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path, made_up=False, client="Client B")
    (pdf,) = (
        path for path in report(Case(job=job, before=known["before"])) if path.suffix == ".pdf"
    )
    assert "MADE UP" not in flat(pdf)


def test_costs_and_margin_stand_on_no_client_page(made: dict[str, Path]) -> None:
    secret = ("311.37", "1,777.77", "1777.77", "888.88", "33.3", "49.9", "margin", "markup")
    for name in CLIENT:
        text = flat(made[name]).lower()
        assert not [word for word in secret if word in text], name
    assert "$311.37" in flat(made["shop-and-install"])


def test_the_same_job_makes_the_same_bytes(
    story: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = tmp_path / "one", tmp_path / "two"
    for folder, zone in ((first, "UTC"), (second, "Asia/Tokyo")):
        folder.mkdir()
        monkeypatch.setenv("TZ", zone)
        job, known = story(folder)
        report(Case(job=job, **known))
    names = sorted(path.relative_to(first) for path in first.rglob("*.*"))
    assert len(names) > 12
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes(), name


def test_numbers_agree_between_the_documents(made: dict[str, Path]) -> None:
    survey, offer, proof = (
        flat(made[name]) for name in ("measurement-before", "proposal", "before-and-after")
    )
    after = flat(made["measurement-after"])
    for label in ("500 Hz", "1 kHz", "2 kHz", "4 kHz"):
        row = re.search(
            rf"{label} (0\.\d+) (0\.\d+) (±0\.\d+) (0\.\d+–0\.\d+) (?:not )?kept", proof
        )
        assert row, label
        was, now, sure, promised = row.groups()
        assert re.search(rf"{label} {was} ±", survey)
        assert re.search(rf"{label} {now} {sure}", after)
        # Today, its limits, expected with its range, promised: one row for all of them.
        assert re.search(rf"{label} {was} [≤\d.–]+ 0\.\d+ \(0\.\d+–0\.\d+\) {promised}", offer)
    # 2385.00 + 612.00 + 185.00 and 6.25 % of it, by hand.
    # On page one, in its box, among the options, and as the sum of its lines.
    assert offer.count("$3,380.88") == 4


def test_a_person_s_words_are_printed_as_they_are(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path, client=ODD, complaint=ODD, title=f"Room {ODD}")
    for path in documents(report(Case(job=job, **known))):
        assert ODD in flat(path).replace("“", '"').replace("”", '"'), path.name


def test_verdicts_stand_in_words(made: dict[str, Path]) -> None:
    assert "kept" in pages(made["before-and-after"])[0].lower()
    assert "too long" in flat(made["measurement-before"])


def test_the_certificate_is_one_page_and_an_appendix(made: dict[str, Path]) -> None:
    first, second = pages(made["before-and-after"])[:2]
    assert "Appendix" not in first
    assert "Appendix" in second
    for word in ("Promise kept", "Is the target reached?", "What you will notice", "signature"):
        assert word in first


def test_the_acceptance_clause_has_its_four_elements(made: dict[str, Path]) -> None:
    # Value, method, conditions, remedy: common practice of acceptance clauses.
    text = flat(made["proposal"])
    assert all(word in text for word in ("Value.", "Method.", "Conditions.", "Remedy."))
    assert (
        text.index("What you told us")
        < text.index("signature")
        < text.index("What we found")
        < text.index("What we are aiming for")
        < text.index("How we show that the promise is kept")
    )
    assert "What is not included" in text


@pytest.mark.parametrize(("paper", "size"), [("letter", "612 x 792"), ("a4", "595.276 x 841.89")])
def test_paper_and_tags(story: Story, tmp_path: Path, paper: str, size: str) -> None:
    # US letter 8.5 x 11 in; A4 210 x 297 mm (ISO 216); both in points of 1/72 in.
    if shutil.which("pdfinfo") is None:
        pytest.skip("pdfinfo (poppler-utils) is not installed")
    job, known = story(tmp_path, paper=paper)
    (pdf,) = (
        path for path in report(Case(job=job, before=known["before"])) if path.suffix == ".pdf"
    )
    told = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, check=True).stdout.decode()
    assert re.search(rf"Page size: +{re.escape(size)}", told)
    assert re.search(r"Tagged: +yes", told)
    assert b"/Lang" in pdf.read_bytes()


def test_every_figure_says_what_it_shows_and_every_font_is_inside(made: dict[str, Path]) -> None:
    for pdf in made.values():
        inside = _unpacked(pdf.read_bytes())
        figures = len(re.findall(rb"/S */Figure", inside))
        assert len(re.findall(rb"/Alt *[(<](?![)>])", inside)) >= figures, pdf
        assert b"pdfuaid" in inside, pdf
        if shutil.which("pdffonts") is None:
            continue
        told = subprocess.run(["pdffonts", str(pdf)], capture_output=True, check=True)
        fonts = told.stdout.decode().splitlines()[2:]
        assert fonts, pdf
        # The columns from the right: object (two numbers), unicode, subset, embedded.
        assert {font.split()[-5] for font in fonts} == {"yes"}, pdf


def _unpacked(data: bytes) -> bytes:
    """A PDF's bytes, with what its packed streams hold behind them."""
    parts = [data]
    for stream in re.finditer(rb"stream\r?\n", data):
        with contextlib.suppress(zlib.error):
            parts.append(zlib.decompressobj().decompress(data[stream.end() :]))
    return b"".join(parts)


def test_a_metric_job_shows_no_inches(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path, units="metric", paper="a4")
    (pdf,) = (
        path for path in report(Case(job=job, before=known["before"])) if path.suffix == ".pdf"
    )
    text = flat(pdf)
    assert "4.420 m" in text  # 14 ft 6 in = 174 x 25.4 mm
    assert "ft" not in text.split()
    assert '"' not in text


def test_the_row_map_warns_and_keeps_its_counts(
    made: dict[str, Path], story: Story, tmp_path: Path
) -> None:
    sheet = story(tmp_path)[1]["sheet"]
    rows = next(piece.row_map for piece in sheet.sheets if piece.row_map)
    text = flat(made["shop-and-install"])
    assert "FRONT" in text
    assert "mirrored" in text
    # 32 columns are two tables of 16, so that they can be read at arm's length.
    printed = re.findall(
        r"\b(\d\d) ((?:\d \d \d \d │ ){3}\d \d \d \d) (\d+)·(\d+)·(\d+)·(\d+)", text
    )
    halves = [row[:16] for row in rows] + [row[16:] for row in rows]
    assert len(printed) == len(halves) == 2 * len(rows)
    assert "Columns 17 to 32 of 32" in text
    for (number, shown, *counts), row in zip(printed, halves, strict=True):
        inches = [round(height / 0.0254) for height in row]
        assert [int(digit) for digit in re.findall(r"\d", shown)] == inches, number
        assert [int(count) for count in counts] == [inches.count(step) for step in (4, 3, 2, 1)]


def test_what_is_lacking_is_said(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    assert [lack.split(":")[0] for lack in lacking(Case(job=job, **known))] == [
        "files to listen to"
    ]  # no responses there
    # What a person hangs before anything was measured can be drawn all the same.
    assert {path.stem for path in report(Case(job=job))} == {"wall-sheets"}
    assert len(lacking(Case(job=job))) == 6
    some = lacking(Case(job=job, before=known["before"]))
    assert len(some) == 5
    assert any("certificate" in sentence and "signed" in sentence for sentence in some)


def test_the_telephone_page_stands_alone_and_is_well_formed(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path, complaint=ODD, client=ODD)
    found = [path for path in report(Case(job=job, **known)) if path.suffix == ".html"]
    assert {path.stem for path in found} == {*CLIENT, "shop-and-install"}
    for path in found:
        text = path.read_text("utf-8")
        # Nothing is fetched: the only addresses are the names of XML's own vocabularies.
        outside = set(re.findall(r"https?://[^\"' )<]+", text)) - {"http://www.w3.org/2000/svg"}
        assert {
            address for address in outside if "w3.org" not in address and "purl.org" not in address
        } == set()
        assert "<script" not in text
        assert "<tag>" not in text
        reader = Balanced()
        reader.feed(text)
        assert reader.open == [], path.name
        assert reader.banners == 2
        assert reader.pictures == reader.described
        assert len(reader.names) == len(set(reader.names)), path.name
        assert reader.uses <= set(reader.names)


class Balanced(HTMLParser):
    """Reads a page and keeps what is open, how pictures are described, and which names are used."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.names: list[str] = []
        self.uses: set[str] = set()
        self.banners = self.pictures = self.described = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        facts = dict(attrs)
        if tag not in {"meta", "hr", "br"}:
            self.open.append(tag)
        self.banners += facts.get("class") == "banner"
        self.pictures += tag == "svg"
        self.described += tag == "svg" and len(facts.get("aria-label") or "") > 20
        self.names += [facts["id"] or ""] if "id" in facts else []
        for value in facts.values():
            self.uses |= set(re.findall(r"url\(#([^)]+)\)", value or ""))
        if (facts.get("xlink:href") or "").startswith("#"):
            self.uses.add((facts["xlink:href"] or "")[1:])

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_a_broken_promise_says_what_happens_next_as_signed(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    cause = fact(Cause.PIECES_MISSING, count=1, piece="deep panel")
    verification = replace(known["verification"], kept=Kept.NOT_KEPT, causes=(cause,))
    found = report(Case(job=job, agreement=known["agreement"], verification=verification))
    first = pages(next(path for path in found if path.name == "before-and-after.pdf"))[0]
    assert "Promise not kept" in first
    assert say("acc_remedy_says") in " ".join(first.split())
    # What may be wrong is for the shop: its guesses are on the terminal, not on a client's paper.
    assert "deep panel" not in first
    shown = text_of(verification_blocks(verification, Reader()))
    assert "1 of “deep panel” missing" in " ".join(shown.split())
