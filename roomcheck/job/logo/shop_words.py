"""`[words]` of shop.toml: what the shop says in its own words, and its colour; of job.toml: what it
says otherwise to one client."""

from __future__ import annotations

import re
from dataclasses import replace

from roomcheck.job.model.shop import ShopWords
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import shown

LEAST_CONTRAST = 4.5
"""Of letters on white: WCAG 2.2, success criterion 1.4.3. [1]"""

OF_A_JOB = ("greeting", "care", "remedy", "payment")
"""What a job may say in words of its own, beside its exclusions."""

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def read_words(table: TomlTable) -> ShopWords:
    """The shop's own words; what it does not say stays as usual."""
    if table.absent:
        return ShopWords()
    words = ShopWords(
        greeting=table.text("greeting", ""),
        exclusions=table.texts("exclusions", ()),
        care=table.text("care", ""),
        remedy=table.text("remedy", ""),
        payment=table.text("payment", ""),
        colour=_dark_colour(table),
    )
    table.close()
    return words


def read_job_words(table: TomlTable, usual: ShopWords) -> ShopWords:
    """`[words]` of job.toml: the shop's words with those of one job in their place."""
    if table.absent:
        return usual
    own = {key: table.text(key, getattr(usual, key)) for key in OF_A_JOB}
    words = replace(usual, exclusions=table.texts("exclusions", usual.exclusions), **own)
    table.close()
    return words


def colour_of(table: TomlTable, colour: str) -> str:
    """A colour as it was typed, "" where none was or it is none: then that is noted."""
    if not colour:
        return ""
    if _COLOUR.fullmatch(colour) is None:
        table.note("colour", f'`colour` is {shown(colour)}; it must be such as "#1d5b46"')
        return ""
    return colour


def _dark_colour(table: TomlTable) -> str:
    colour = colour_of(table, table.text("colour", ""))
    if not colour:
        return ""
    contrast = contrast_on_white(colour)
    if contrast < LEAST_CONTRAST:
        table.note(
            "colour",
            f"`colour` is {shown(colour)}: its contrast on white is {contrast:.1f}:1, and letters "
            f"need {LEAST_CONTRAST}:1; take a darker one",
        )
    return colour


def contrast_on_white(colour: str) -> float:
    r"""How well a colour stands out on white.

    Parameters
    ----------
    colour : str
        "#rrggbb".

    Returns
    -------
    float
        :math:`1.05/(L + 0.05)` with the relative luminance :math:`L`. [1]

    References
    ----------
    WCAG 2.2, "relative luminance" and "contrast ratio" (from memory).

    Examples
    --------
    >>> contrast_on_white("#000000"), round(contrast_on_white("#777777"), 2)
    (21.0, 4.48)
    """
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)
