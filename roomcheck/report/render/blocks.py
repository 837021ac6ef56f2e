"""What a document is made of, before it is set as a page or shown on a telephone.

A document is a title and a tuple of blocks. Blocks hold words and pictures and nothing of their
looks; `page.typ` and `html.py` know how they look. Every word a person typed stays a plain string
all the way, so that no character of it can be taken for a command.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Tone = Literal["good", "bad", "open"]
Align = Literal["left", "right", "center"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    text: str
    level: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A paragraph; `lead` stands before it in bold. `small` is for what few people read."""

    body: str
    lead: str = ""
    small: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Somebody's own words."""

    body: str
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictBox:
    """A verdict in words; the tone only adds to it."""

    word: str
    sentence: str
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullets:
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Boxes:
    """A list to tick off."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionBox:
    """Where work can hurt someone."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Names and their values."""

    pairs: tuple[tuple[str, str], ...]
    columns: int = 1
    """Pairs beside each other where the page is wide enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under heads, as text."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: tuple[Align, ...]
    wide: int | None = None
    """The column that takes what is left of the width; -1 where all but the first share it."""
    strong: tuple[int, ...] = ()
    """Rows that are sums, or the line that matters."""
    mono: bool = False
    """Keep digits in columns."""
    size_pt: float | None = None
    """Of the letters, where the table is read at arm's length [pt]."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing as SVG; `alt` says what it shows to those who do not see it. `beside` stands to its
    right."""

    svg: str
    alt: str
    caption: str = ""
    beside: CautionBox | Facts | Picture | None = None
    narrow: str = ""
    """The same drawn for a telephone, as SVG; empty where that scrolls the wide one."""
    floats: bool = False
    """Whether what follows goes on before it where a page has no room for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One sound file: a dry sound in a room."""

    sound: str
    """What is heard, in words: a voice, hand claps."""
    room: str
    """Where, in words: before, as planned."""
    address: str
    """Of the file, or the file itself as a `data:` address."""
    even_gain: float = 1.0
    """Brings it to the same A-weighted level as the others of its sound; at most 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """Rooms to listen to one against the other; a page shows it, paper and terminal do not."""

    title: str
    tracks: tuple[Track, ...]
    """Every sound in every room."""
    notes: tuple[str, ...] = ()
    """What is simulated, whose the recordings are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """Lines to sign on, with what is signed; all on one page."""

    who: tuple[str, ...]
    date: str
    title: str = ""
    body: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPage:
    """A page begins anew, unless hardly a part of it is used."""

    if_needed: bool = False
    """Only where what comes before the next such block does not fit on the page."""
    always: bool = False
    """However little of the page is used."""


Block = (
    Heading
    | Text
    | Said
    | VerdictBox
    | Bullets
    | Boxes
    | CautionBox
    | Facts
    | Table
    | Picture
    | Player
    | Signature
    | NewPage
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """One document."""

    name: str
    """File name without ending."""
    title: str
    subtitle: str
    blocks: tuple[Block, ...]
    tight: bool = False
    """Less margin, for sheets that are read at the wall and should each stand on one page."""
