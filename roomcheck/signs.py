"""Single characters: what cannot be seen, and what an output's encoding has not."""

from __future__ import annotations

import codecs
import re
import unicodedata

UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff"
    "\ufff9-\ufffb\ud800-\udfff\U0001d173-\U0001d17a\U000e0001\U000e0020-\U000e007f]"
)
"""What controls, turns or hides the text around it, by Unicode's categories Cc, Cf, Cs, Zl
and Zp; not line feed and tab, not the two joiners that scripts and emoji need, and not the few
number signs of Cf that are seen."""

SUBSTITUTES = {
    "≤": "<=",
    "≥": ">=",
    "≈": "~",
    "–": "-",
    "—": "-",
    "−": "-",
    "…": "...",
    "±": "+/-",
    "×": "x",
    "·": "-",
    "•": "-",
    "“": '"',
    "”": '"',
    "„": '"',
    "‘": "'",
    "’": "'",
    "′": "'",
    "″": '"',
    "→": "->",
    "☐": "[ ]",
    "⚠": "!",
    "─": "-",
    "│": "|",
    "²": "2",
    "³": "3",
    "₂": "2",
    "°": " deg ",
    "€": "EUR ",
    "£": "GBP ",
    "µ": "u",
    "⁄": "/",
    "ß": "ss",
}
"""What stands for a character that an output cannot show."""

HANDLER = "roomcheck"
"""Name of the error handler for encoding, once `spell_out` has made it known."""


def first_unseen(text: str) -> str | None:
    """The first character of a text that cannot be seen, by its number and name; None where there
    is none.

    >>> first_unseen("Harbour \\u202eroom"), first_unseen("Harbour room")
    ('U+202E (right-to-left override)', None)
    """
    found = UNSEEN.search(text)
    if found is None:
        return None
    name = unicodedata.name(found[0], "").lower()
    return f"U+{ord(found[0]):04X}{f' ({name})' if name else ''}"


def visible(text: str) -> str:
    r"""A text in which what cannot be seen stands as its number.

    >>> visible("a\x1b[31mb\u202e")
    'a\\x1b[31mb\\u202e'
    """
    return UNSEEN.sub(lambda found: escaped(found[0]), text)


def escaped(character: str) -> str:
    """A character by its number, as Python writes it."""
    return character.encode("unicode_escape", "surrogatepass").decode("ascii")


def spelt_for(character: str, encoding: str) -> str:
    """A character as an encoding can carry it: itself, or spelt out, or "?".

    >>> spelt_for("≤", "cp1252"), spelt_for("é", "ascii"), spelt_for("好", "cp437")
    ('<=', 'e', '?')
    """
    try:
        character.encode(encoding)
        return character
    except UnicodeEncodeError:
        if UNSEEN.fullmatch(character):
            return escaped(character)
        spelt = SUBSTITUTES.get(character) or unicodedata.normalize("NFKD", character)
        return spelt.encode(encoding, "ignore").decode(encoding) or "?"


def spell_out() -> str:
    """Make the error handler known that spells out what an encoding has not; its name."""
    codecs.register_error(HANDLER, _handle)
    return HANDLER


def _handle(problem: UnicodeError) -> tuple[str, int]:
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    part = problem.object[problem.start : problem.end]
    # Code pages of Windows give their errors the name "charmap"; ASCII is in all of them.
    spelt = "".join(spelt_for(character, "ascii") for character in part)
    return spelt, problem.end
