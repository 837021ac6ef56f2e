"""The same documents as one page for a telephone: one file, nothing fetched, drawings inside."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterable, Iterator
from importlib.resources import files

from roomcheck.report.render.blocks import (
    Block,
    Boxes,
    Bullets,
    CautionBox,
    Document,
    Facts,
    Heading,
    NewPage,
    Picture,
    Player,
    Said,
    Signature,
    Table,
    Text,
    VerdictBox,
)
from roomcheck.report.render.escape import escape
from roomcheck.report.render.letterhead import INK, Letterhead
from roomcheck.report.render.player import player_html, player_script
from roomcheck.words import LANGUAGE, say

_SECOND = 10_000
"""More blocks than a document has."""

_UNIT = re.compile(r"(?<=[\d/]) (?=(?:Hz|kHz|dB|s|in|ft|yd|mm|m|lb|kg)\b)")

_VIEW_BOX = re.compile(r'viewBox="\S+ \S+ (?P<width>[\d.]+) (?P<height>[\d.]+)"')

WHOLE, MONO_WHOLE = 8, 16
"""A table of so many rows stands whole on a printed page, as in the PDF."""

_WIDTH = re.compile(r' width="(?P<wide>[\d.]+(?:mm|pt))"')

MANY_COLUMNS, SHORT_CELL = 6, 12
"""A table of so many columns does not fit a telephone; a longer cell is a text. [characters]"""

SHEET_TOP_MM, BANNER_MM = 17, 6
"""Margin at the head of a printed page, and what a banner adds. The first page's head stands in the
text, so that the margin is less than the PDF's. [mm]"""

LETTER_PX, NARROW_PX = 12.0, 360.0
"""Least height of letters, and the width that a telephone of 390 px has for a drawing. [px]"""

_LETTERS = re.compile(r"font-size[:=] *\"?([\d.]+)|font: *(?:[a-z0-9]+ )*([\d.]+)px")


def html_of(document: Document, letterhead: Letterhead) -> str:
    """One self-contained page; every word that a person typed is escaped."""
    return "".join(html_parts(document, letterhead))


def html_parts(document: Document, letterhead: Letterhead) -> Iterator[str]:
    """The same piece by piece, so that no recording in it is held more than once."""
    style = (files("roomcheck.report") / "page.css").read_text("utf-8")
    title = escape(f"{document.title} – {document.subtitle}")
    banner = _optional('<p class="banner" role="note">{}</p>', letterhead.banner)
    header = (
        f"{_logo(letterhead)}<p>{escape(letterhead.author)}</p><h1>{escape(document.title)}</h1>"
        f"<p>{escape(document.subtitle)}</p>"
    )
    yield f"""<!doctype html>
<html lang="{LANGUAGE}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
{style}{_own_colour(letterhead)}{_sheet(letterhead)}</style>
</head>
<body>
<header>{banner}{header}</header>
<main>"""
    for i, block in enumerate(document.blocks):
        yield "\n"
        yield _block(block, i)
    yield f"""
</main>
<footer><p>{escape(letterhead.footer)}</p>{banner}</footer>
{_script(document)}</body>
</html>
"""


def _script(document: Document) -> str:
    """The player's own script, inside the page; nothing where nothing is played."""
    if not any(isinstance(block, Player) for block in document.blocks):
        return ""
    return f'<script type="module">\n{player_script()}</script>\n'


def html_blocks(blocks: Iterable[Block]) -> str:
    """Blocks as elements of a page that has its own head; every word that a person typed is
    escaped."""
    return "\n".join(_block(block, i) for i, block in enumerate(blocks))


def _own_colour(letterhead: Letterhead) -> str:
    return f"h1, h2 {{ color: {letterhead.colour}; }}\n" if letterhead.colour else ""


def _sheet(letterhead: Letterhead) -> str:
    """The page of a print, as the PDF has it: its size, its margins and what stands in them."""
    top = SHEET_TOP_MM + BANNER_MM * bool(letterhead.banner)
    size = letterhead.paper.removeprefix("us-")
    number = f"{_css(say('page') + ' ')} counter(page) {_css(' ' + say('of') + ' ')} counter(pages)"
    return f"""@page {{ size: {size}; margin: {top}mm 22mm 23mm; font-size: 8.5pt; color: #4a5a63;
  @top-center {{ content: {_css(letterhead.banner)}; font-weight: bold; color: {INK}; }}
  @bottom-left {{ content: {_css(letterhead.footer)}; }}
  @bottom-right {{ content: {number}; white-space: nowrap; }} }}
"""


def _css(text: str) -> str:
    """A text as a string of a style sheet, in which every sign stands for itself."""
    return '"' + re.sub(r"[^\w ]", lambda sign: f"\\{ord(sign[0]):x} ", text) + '"'


def _logo(letterhead: Letterhead) -> str:
    if not letterhead.logo:
        return ""
    kind = {"svg": "image/svg+xml", "png": "image/png"}[letterhead.logo_format]
    data = b64encode(letterhead.logo).decode("ascii")
    return f'<img class="logo" alt="" src="data:{kind};base64,{data}">'


def _block(block: Block, number: int) -> str:  # noqa: PLR0911, PLR0912 - one line a kind of block
    match block:
        case Heading():
            return f"<h{block.level + 1}>{escape(block.text)}</h{block.level + 1}>"
        case Text():
            lead = _optional("<strong>{}</strong> ", block.lead)
            return f"<p{_class('small', block.small)}>{lead}{_text(block.body)}</p>"
        case Said():
            by = _optional("<footer>{}</footer>", block.by)
            return f"<blockquote><p>“{escape(block.body)}”</p>{by}</blockquote>"
        case VerdictBox():
            word = f"<strong>{escape(block.word)}</strong>"
            return f'<p class="verdict {block.tone}">{word} {_text(block.sentence)}</p>'
        case Bullets():
            return _list(block.items)
        case Boxes():
            return _list(tuple(f"☐ {item}" for item in block.items), "boxes")
        case CautionBox():
            return _caution(block)
        case Facts():
            pairs = "".join(f"<dt>{escape(k)}</dt><dd>{_text(v)}</dd>" for k, v in block.pairs)
            return f"<dl{_class('beside', block.columns > 1)}>{pairs}</dl>"
        case Table():
            return _table(block)
        case Picture():
            picture = _picture(block, number)
            return picture if block.beside is None else _beside(picture, block.beside, number)
        case Player():
            return player_html(block, f"b{number}")
        case Signature():
            return _signature(block)
        case NewPage():
            return f"<hr{_class('page', not block.if_needed)}>"


_SHARES = {Picture: "1fr 1fr", Facts: "1fr 1.35fr", CautionBox: "1.55fr 1fr"}
"""How a drawing and what stands beside it share the width of a printed page."""


def _beside(picture: str, beside: CautionBox | Facts | Picture, number: int) -> str:
    """A drawing and what a print shows at its side."""
    # A second drawing's inner names are its own.
    second = _block(beside, _SECOND + number)
    shares = f"grid-template-columns: {_SHARES[type(beside)]}"
    return f'<div class="two" style="{shares}">{picture}{second}</div>'


def _caution(caution: CautionBox) -> str:
    title = f"<strong>⚠ {escape(caution.title)}</strong>"
    return f'<div class="caution" role="note">{title}{_list(caution.items)}</div>'


def _class(name: str, applies: bool = True) -> str:
    return f' class="{name}"' if name and applies else ""


def _optional(element: str, text: str) -> str:
    """The element around the text, escaped; nothing where there is no text."""
    return element.format(_text(text)) if text else ""


def _list(items: tuple[str, ...], name: str = "") -> str:
    inside = "".join(f"<li>{_text(item)}</li>" for item in items)
    return f"<ul{_class(name)}>{inside}</ul>"


def _signature(signature: Signature) -> str:
    title = _optional("<h2>{}</h2>", signature.title) + _optional("<p>{}</p>", signature.body)
    date = escape(signature.date)
    lines = [f'<p class="sign">{escape(who)} · {date}</p>' for who in signature.who]
    names = "signs" if signature.title else "signs paired"
    return f'{title}<div class="{names}">{"".join(lines)}</div>'


def _table(table: Table) -> str:
    heads = "".join(map(_head, table.heads, table.align))
    rows = "".join(_row(table, number) for number in range(len(table.rows)))
    names = " ".join(
        name for name, applies in (("mono", table.mono), ("tall", _stands(table))) if applies
    )
    note = _optional('<p class="small">{}</p>', table.note)
    short = " short" if len(table.rows) <= (MONO_WHOLE if table.mono else WHOLE) else ""
    drawn = (
        f'<div class="wide{short}" tabindex="0"><table{_class(names)}>'
        f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>{note}"
    )
    # On paper a short table's note stays on its page.
    return f'<div class="whole">{drawn}</div>' if short and note else drawn


def _head(head: str, align: str) -> str:
    """A column's head; an empty one names nothing, and is none."""
    if not head:
        return "<td></td>"
    return f'<th scope="col" class="{align}">{escape(head)}</th>'


def _row(table: Table, number: int) -> str:
    """A row, which its first cell names."""
    cells = []
    parts = zip(table.rows[number], table.heads, table.align, strict=True)
    for i, (cell, head, align) in enumerate(parts):
        inside = f'class="{align}" data-head="{escape(head)}">{_text(cell)}'
        named = i == 0 and cell.strip() not in ("", "☐")
        cells.append(f'<th scope="row" {inside}</th>' if named else f"<td {inside}</td>")
    return f"<tr{_class('strong', number in table.strong)}>{''.join(cells)}</tr>"


def _stands(table: Table) -> bool:
    """Return whether a telephone shows each row as a list: many columns, and texts among them."""
    if len(table.heads) < MANY_COLUMNS:
        return False
    texts = [i for i, align in enumerate(table.align) if align == "left"]
    return any(len(row[i]) > SHORT_CELL for row in table.rows for i in texts[1:])


def _text(text: str) -> str:
    """Return an escaped text with each number and its unit on one line, however narrow it is."""
    return _UNIT.sub("\u00a0", escape(text))


def _picture(picture: Picture, number: int) -> str:
    """A drawing with its caption; where it has a narrow form, a telephone shows that."""
    caption = _optional("<figcaption>{}</figcaption>", picture.caption)
    drawn = _drawing(picture.svg, picture.alt, f"b{number}")
    if picture.narrow:
        narrow = _drawing(picture.narrow, picture.alt, f"n{number}")
        both = f'<div class="on-wide">{drawn}</div><div class="on-narrow">{narrow}</div>'
        return f"<figure>{both}{caption}</figure>"
    least = _least_px(drawn)
    if least <= NARROW_PX:
        return f"<figure>{drawn}{caption}</figure>"
    # What a telephone would make too small to read is scrolled; a wide page gives it more width.
    drawn = f'<div class="wide chart" tabindex="0">{drawn}</div>'
    return f'<figure class="drawn" style="--least: {least:.0f}px">{drawn}{caption}</figure>'


def _drawing(drawn: str, alt: str, names: str) -> str:
    """A drawing as a part of the page, its inner names begun with `names`."""
    # A style element would reach the whole page; what it says are attributes of the drawing.
    svg = re.sub(r"<style.*?</style>", "", drawn[drawn.index("<svg") :], flags=re.S)
    svg = svg.replace("<svg", '<svg stroke-linejoin="round" stroke-linecap="butt"', 1)
    printed = _printed(svg[: svg.index(">")])
    # Several drawings share the page: their inner names get the block's number.
    svg = re.sub(r'\bid="([^"]+)"', rf'id="{names}-\1"', svg)
    svg = re.sub(r'(url\(#|href="#)', rf"\1{names}-", svg)
    svg = re.sub(r' (width|height)="[\d.]+pt"', "", svg, count=2)
    return svg.replace("<svg", f'<svg{printed} role="img" aria-label="{escape(alt)}"', 1)


def _printed(head: str) -> str:
    """The drawing's own width, which a print gives it: in its unit, or in points where it has
    none."""
    wide = _WIDTH.search(head)
    if wide:
        return f' style="--drawn: {wide["wide"]}"'
    size = _VIEW_BOX.search(head)
    return "" if size is None else f' style="--drawn: {size["width"]}pt"'


def _least_px(svg: str) -> float:
    """Width at which the smallest letters of a drawing are `LETTER_PX` tall; 0 without letters.
    [px]"""
    size = _VIEW_BOX.search(svg)
    letters = [float(found[1] or found[2]) for found in _LETTERS.finditer(svg)]
    if size is None or not letters:
        return 0.0
    return LETTER_PX / min(letters) * float(size["width"])
