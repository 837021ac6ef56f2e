"""Texts as a browser shows them."""

from __future__ import annotations

import html

from roomcheck.signs import visible


def escape(text: str) -> str:
    """A text that a browser shows as it stands; what cannot be seen as its number."""
    return html.escape(visible(text))
