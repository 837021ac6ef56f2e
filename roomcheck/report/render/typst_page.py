"""Documents to PDF, through typst.

The template is fixed text. What the document says goes to it as JSON, where it stays text: a client
called ``#import`` or ``*Bold*`` is printed as just that.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import lru_cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from roomcheck.errors import RoomcheckError
from roomcheck.measure import give_back
from roomcheck.plain import to_plain
from roomcheck.report.render.blocks import Document, Player
from roomcheck.report.render.letterhead import Letterhead
from roomcheck.signs import visible

if TYPE_CHECKING:
    from roomcheck.report.figures.paper import Paper


class CannotSet(RoomcheckError):
    """A document that the typesetter refused."""

    def __init__(self, name: str, why: str) -> None:
        self.name, self.why = name, why
        super().__init__(
            f"{name}.pdf: the typesetter says {why!r}; please report this with the job folder"
        )


def pdf_of(document: Document, letterhead: Letterhead) -> bytes:
    """A tagged PDF (PDF/UA-1): the same bytes for the same document.

    Raises
    ------
    CannotSet
        The typesetter refused.
    """
    import typst

    data = json.dumps(plain_document(document, letterhead), ensure_ascii=False, sort_keys=True)
    source = (files("roomcheck.report") / "page.typ").read_bytes()
    day = letterhead.day
    made = datetime(*day, tzinfo=UTC) if day else datetime(2000, 1, 1, tzinfo=UTC)
    # Whatever a picture names is looked for in an empty folder: nothing else can be read.
    with tempfile.TemporaryDirectory(prefix="roomcheck-page-") as nothing:
        try:
            pdf = typst.compile(
                source,
                root=nothing,
                font_paths=_fonts(),
                format="pdf",
                sys_inputs={"document": data},
                pdf_standards=["ua-1"],
                package_path=nothing,
                package_cache_path=nothing,
                timestamp=made,
            )
        except typst.TypstError as problem:
            raise CannotSet(document.name, str(problem)) from problem
    _let_go()
    return pdf


_KEPT_FOR = 10
"""For so many more documents the typesetter keeps what it worked out, 5 to 30 MiB for each."""


def _let_go() -> None:
    """Have the typesetter let go of a document: none is like the one before."""
    import typst

    for _ in range(_KEPT_FOR):
        typst.compile(b"", font_paths=_fonts(), format="pdf")
    give_back()


def source_of(document: Document, letterhead: Letterhead) -> str:
    """The document as one file that the typesetter sets by itself, for changing it by hand: the
    template, with the words and drawings as data at its head."""
    data = json.dumps(plain_document(document, letterhead), ensure_ascii=False, sort_keys=True)
    template = (files("roomcheck.report") / "page.typ").read_text("utf-8")
    # A text of Typst ends at a quotation mark and reads signs behind a backslash, as JSON does.
    text = json.dumps(data, ensure_ascii=False)
    return template.replace(_READS_DATA, f"json(bytes({text}))", 1)


_READS_DATA = "json(bytes(sys.inputs.document))"


_PAGES = """\
#let pages = json(bytes(sys.inputs.pages))
#set document(title: pages.title)
#for (i, svg) in pages.drawings.enumerate() {
  page(width: pages.width * 1mm, height: pages.height * 1mm, margin: 0mm,
    image(bytes(svg), format: "svg", width: 100%, alt: pages.title + " " + str(i + 1)))
}
"""


def pages_pdf(papers: Sequence[Paper], title: str) -> bytes:
    """Drawings of one size as the pages of a PDF, to the page's very edge: for sheets of labels.

    Raises
    ------
    CannotSet
        The typesetter refused.
    """
    import typst

    first = papers[0]
    pages = {
        "title": title,
        "width": first.width_mm,
        "height": first.height_mm,
        "drawings": [paper.svg() for paper in papers],
    }
    try:
        return typst.compile(
            _PAGES.encode(),
            font_paths=_fonts(),
            format="pdf",
            sys_inputs={"pages": json.dumps(pages, ensure_ascii=False)},
            timestamp=datetime(2000, 1, 1, tzinfo=UTC),
        )
    except typst.TypstError as problem:
        raise CannotSet(title, str(problem)) from problem


def plain_document(document: Document, letterhead: Letterhead) -> dict[str, Any]:
    """What the template reads."""
    blocks = [
        {"kind": type(block).__name__, **to_plain(block)}
        for block in document.blocks
        if not isinstance(block, Player)
    ]
    head = {"title": document.title, "subtitle": document.subtitle, "tight": document.tight}
    whole = {**head, "blocks": blocks, **letterhead.plain()}
    return {key: _seen(value) for key, value in whole.items()}


def _seen(plain: Any) -> Any:
    """Plain values whose texts hold nothing that cannot be seen."""
    if isinstance(plain, str):
        return visible(plain)
    if isinstance(plain, list):
        return [_seen(item) for item in plain] if plain and not isinstance(plain[0], int) else plain
    if isinstance(plain, dict):
        return {key: _seen(value) for key, value in plain.items()}
    return plain


@lru_cache(maxsize=1)
def _fonts() -> Any:
    """Typst's own fonts, and DejaVu Sans, which comes with matplotlib; never the machine's."""
    import typst

    # Found without importing it, which takes longer than setting a page.
    library = find_spec("matplotlib")
    if library is None or library.origin is None:
        raise ModuleNotFoundError("matplotlib, whose fonts are needed, is not installed")
    folder = Path(library.origin).parent / "mpl-data" / "fonts" / "ttf"
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(folder)]
    )
