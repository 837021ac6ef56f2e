"""Blocks as plain text for a terminal: the same words as on paper, in 80 columns."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Literal

from roomcheck.report.render.blocks import (
    Block,
    Boxes,
    Bullets,
    CautionBox,
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
from roomcheck.signs import spelt_for, visible

Style = Literal["bold", "bold green", "bold red", "bold yellow"]

_TONES: dict[str, Style] = {"good": "bold green", "bad": "bold red", "open": "bold yellow"}

GAP = 2
"""Spaces between two columns of a table."""

TEXT_COLUMN = 14
"""A column of text is not squeezed below this; the table's rows fold instead. [characters]"""

NUMBER_COLUMN = 24
"""Right-aligned cells up to this length are numbers and never broken. [characters]"""

LONGEST_NAME = 30
"""Names in a list of facts line up to this length. [characters]"""

_NO_BREAK = "\u00a0"
_UNIT = re.compile(r"(?<=[\d/]) (?=(?:Hz|kHz|dB|s|in|ft|yd|mm|m|lb|kg|%)\b)")


def text_of(
    blocks: Iterable[Block], width: int = 80, colour: bool = False, encoding: str = "utf-8"
) -> str:
    """Set blocks as text.

    Parameters
    ----------
    blocks : iterable of Block
    width : int
        No line is longer, except for a single number or word that is. [characters]
    colour : bool
        With the escape sequences for colour and bold type, for a terminal only.
    encoding : str
        Of the stream: characters that it has not are spelt out, before anything is aligned.

    Returns
    -------
    str
        Without a line break at its end. Control characters are shown as ``\\x1b``, never sent.
    """
    setter = _Setter(width, colour, encoding)
    lines: list[str] = []
    after_heading = True
    for block in blocks:
        new = setter.lines_of(block)
        if not new:
            continue
        if not after_heading:
            lines.append("")
        lines += new
        after_heading = isinstance(block, Heading)
    return "\n".join(line.rstrip() for line in lines)


class _Setter:
    """Sets one block after the other for one stream."""

    def __init__(self, width: int, colour: bool, encoding: str) -> None:
        self.width, self.colour, self.encoding = width, colour, encoding

    def lines_of(self, block: Block) -> list[str]:  # noqa: PLR0911, PLR0912 - one line a kind of block
        match block:
            case Heading():
                return self.paragraph(block.text, style="bold")
            case Text():
                return self.led(block.lead, block.body)
            case Said():
                by = self.paragraph(f"– {block.by}", "  ") if block.by else []
                return [*self.paragraph(f"“{block.body}”", "  "), *by] if block.body else by
            case VerdictBox():
                word = self.paragraph(block.word, style=_TONES[block.tone])
                return [*word, *self.paragraph(block.sentence)]
            case Bullets():
                return self.items(block.items, "• ")
            case Boxes():
                return self.items(block.items, "☐ ")
            case CautionBox():
                title = self.paragraph(f"⚠ {block.title}", style="bold yellow")
                return [*title, *self.items(block.items, "• ")]
            case Facts():
                return self.facts(block)
            case Table():
                return self.table(block)
            case Picture():
                return self.picture(block)
            case Player():
                return []
            case Signature():
                return self.signature(block)
            case NewPage():
                return []

    def shown(self, text: str) -> str:
        """The text as this stream can show it."""
        return "".join(spelt_for(c, self.encoding) for c in visible(text.replace("\t", " ")))

    def styled(self, text: str, style: Style | None) -> str:
        if not (self.colour and style and text):
            return text
        from rich.color import ColorSystem
        from rich.style import Style as RichStyle

        return RichStyle.parse(style).render(text, color_system=ColorSystem.STANDARD)

    def paragraph(self, text: str, indent: str = "", style: Style | None = None) -> list[str]:
        """Wrap a text; the line breaks that somebody typed stay."""
        room = self.width - len(indent)
        paragraphs = [self.shown(part) for part in text.splitlines()]
        lines = [line for part in paragraphs for line in wrap(part, room)]
        return [indent + self.styled(line, style) for line in lines]

    def led(self, lead: str, body: str) -> list[str]:
        """A paragraph whose first words are bold."""
        lead = self.shown(lead).strip()
        lines = self.paragraph(f"{lead} {body}".strip())
        if not self.colour or not lead:
            return lines
        styled_lines = []
        for line in lines:
            here = line if lead.startswith(line) else lead if line.startswith(lead) else ""
            styled_lines.append(self.styled(here, "bold") + line[len(here) :])
            lead = lead[len(here) :].strip() or _NO_BREAK
        return styled_lines

    def items(self, items: Sequence[str], mark: str) -> list[str]:
        mark = self.shown(mark)
        lines: list[str] = []
        for item in items:
            wrapped = self.paragraph(item, " " * len(mark)) or [""]
            lines += [mark + wrapped[0][len(mark) :], *wrapped[1:]]
        return lines

    def facts(self, facts: Facts) -> list[str]:
        names = [self.shown(name) for name, _ in facts.pairs]
        column = max((cells(name) for name in names if cells(name) <= LONGEST_NAME), default=0)
        lines: list[str] = []
        for name, (_, value) in zip(names, facts.pairs, strict=True):
            indent = " " * (column + GAP)
            values = self.paragraph(value, indent) or [""]
            if cells(name) > column:
                lines.append(name)
                lines += values
                continue
            lines += [padded(name, column + GAP, "left") + values[0][len(indent) :], *values[1:]]
        return lines

    def picture(self, picture: Picture) -> list[str]:
        lines = self.paragraph(picture.alt)
        if picture.caption:
            lines += self.paragraph(picture.caption)
        if picture.beside:
            lines += ["", *self.lines_of(picture.beside)]
        return lines

    def signature(self, signature: Signature) -> list[str]:
        lines = self.paragraph(signature.title, style="bold") + self.paragraph(signature.body)
        for who in signature.who:
            lines += self.paragraph(f"{who} ____________________ {signature.date} __________")
        return lines

    def table(self, table: Table) -> list[str]:
        columns = []
        for i, (head, align) in enumerate(zip(table.heads, table.align, strict=True)):
            column_cells = [self.shown(_on_one_line(row[i])) for row in table.rows]
            columns.append(_Column(self.shown(head), column_cells, align))
        bands = list(_bands(columns, self.width))
        lines: list[str] = []
        if any(table.heads):
            heads = self.row(bands, [column.head for column in columns], "bold", at="bottom")
            widest = max(_width(band) + indent for indent, band in bands)
            lines = [*heads, self.shown("─") * widest]
        for number in range(len(table.rows)):
            row = [column.cells[number] for column in columns]
            lines += self.row(bands, row, "bold" if number in table.strong else None)
        return [*lines, *self.paragraph(table.note)]

    def row(
        self,
        bands: Sequence[tuple[int, list[_Column]]],
        row: list[str],
        style: Style | None,
        at: Literal["top", "bottom"] = "top",
    ) -> list[str]:
        """Set one row over as many lines as its columns need; indented ones only where they hold
        something."""
        lines: list[str] = []
        for indent, band in bands:
            row_cells, row = row[: len(band)], row[len(band) :]
            if not indent or any(cell.strip() for cell in row_cells):
                set_lines = _set_row(band, row_cells, indent, at)
                lines += [self.styled(line, style) for line in set_lines]
        return lines


class _Column:
    """One column of a table, with the width it needs and the width it gets."""

    def __init__(self, head: str, column_cells: list[str], align: str) -> None:
        self.head, self.cells, self.align = head, column_cells, align
        longest = max(map(cells, column_cells), default=0)
        words = [word for text in [head, *column_cells] for word in words_of(text)]
        self.least = max(map(cells, words), default=1)
        if align != "left" and longest <= NUMBER_COLUMN:
            self.least = max(self.least, longest)
        else:
            self.least = max(self.least, min(longest, TEXT_COLUMN))
        self.natural = max(self.least, longest, cells(head))
        self.width = self.least


def _bands(columns: Sequence[_Column], width: int) -> Iterable[tuple[int, list[_Column]]]:
    """Spread the columns over as many lines a row as they need; all but the first are indented."""
    indent, band = 0, list[_Column]()
    for column in columns:
        if band and _width([*band, column]) + indent > width:
            yield indent, _widened(band, width - indent)
            indent, band = 2 * GAP, []
        band.append(column)
    if band:
        yield indent, _widened(band, width - indent)


def _width(band: Sequence[_Column]) -> int:
    return sum(column.width for column in band) + GAP * (len(band) - 1)


def _widened(band: list[_Column], width: int) -> list[_Column]:
    """Give what is left of the width to the columns that lack most of it."""
    for column in band:
        column.width = min(column.width, width)
    for _ in range(width - _width(band)):
        neediest = max(band, key=lambda column: column.natural - column.width)
        if neediest.natural <= neediest.width:
            break
        neediest.width += 1
    return band


def _set_row(
    band: Sequence[_Column],
    row: Sequence[str],
    indent: int,
    at: Literal["top", "bottom"] = "top",
) -> list[str]:
    wrapped = [wrap(cell, column.width) or [""] for cell, column in zip(row, band, strict=True)]
    height = max(len(lines) for lines in wrapped)
    for lines in wrapped:
        blank = [""] * (height - len(lines))
        lines[:] = [*lines, *blank] if at == "top" else [*blank, *lines]
    gap = " " * GAP
    set_lines = []
    for number in range(height):
        parts = [
            padded(lines[number], column.width, column.align)
            for lines, column in zip(wrapped, band, strict=True)
        ]
        set_lines.append(" " * indent + gap.join(parts).rstrip())
    return set_lines


def words_of(text: str) -> list[str]:
    """The parts of a text that stay whole: words, and a number with its unit.

    >>> words_of("at 500 Hz now")
    ['at', '500\\xa0Hz', 'now']
    """
    return _UNIT.sub(_NO_BREAK, text).split(" ")


def wrap(text: str, width: int) -> list[str]:
    """Lines no longer than the width; a longer word is cut.

    >>> wrap("0.404 s at 500 Hz, too long", 12)
    ['0.404 s at', '500 Hz, too', 'long']
    """
    from rich.cells import chop_cells

    lines: list[str] = []
    line = ""
    for word in filter(None, words_of(text)):
        longer = f"{line} {word}" if line else word
        if cells(longer) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = chop_cells(word, max(width, 1)) if cells(word) > width else [word]
        lines += full
    if line:
        lines.append(line)
    return [line.replace(_NO_BREAK, " ") for line in lines]


def cells(text: str) -> int:
    """Columns that a text takes on a terminal; East Asian characters take two."""
    from rich.cells import cell_len

    return cell_len(text)


def padded(text: str, width: int, align: str) -> str:
    blank = max(width - cells(text), 0)
    before = {"left": 0, "right": blank, "center": blank // 2}[align]
    return " " * before + text + " " * (blank - before)


def _on_one_line(text: str) -> str:
    return " ".join(text.splitlines())
