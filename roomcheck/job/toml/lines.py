"""In which line of a TOML file each value stands.

`tomllib` reads values and forgets where they stood. This walks the same text once more and keeps
the line of every table, key and array element. It trusts that `tomllib` has accepted the text.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_PLAIN_VALUE = re.compile(r"[^,\]}#\n]*")
_QUOTED = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)


def find_lines(text: str) -> dict[Path, int]:
    """The line of every table, key and array element of a TOML text.

    Parameters
    ----------
    text : str
        Accepted by `tomllib.loads`.

    Returns
    -------
    dict
        From the way to a value to its line, counted from 1. A table that is opened more than once
        (by dotted keys or by its sub-tables) has its first line.

    Examples
    --------
    >>> find_lines('a = 1\\n[[b]]\\nc.d = [2,\\n3]\\n')[("b", 0, "c", "d", 1)]
    4
    """
    return _Walk(text).lines


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text
        self.starts = [0, *(m.end() for m in re.finditer("\n", text))]
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}
        self._document()

    def _note(self, path: Path, at: int) -> None:
        self.lines.setdefault(path, bisect_right(self.starts, at))

    def _skip(self, pattern: re.Pattern[str], at: int) -> int:
        found = pattern.match(self.text, at)
        return found.end() if found else at

    def _document(self) -> None:
        at, base = self._skip(_GAP, 0), Path()
        while at < len(self.text):
            if self.text[at] == "[":
                at, base = self._header(at)
            else:
                at = self._pair(at, base)
            at = self._skip(_GAP, at)

    def _header(self, at: int) -> tuple[int, Path]:
        double = self.text.startswith("[[", at)
        keys, end = self._keys(at + (2 if double else 1))
        path = Path()
        for depth, key in enumerate(keys):
            path = (*path, key)
            if double and depth == len(keys) - 1:
                self._note(path, at)
                self.counts[path] = self.counts.get(path, 0) + 1
            self._note(path, at)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
                self._note(path, at)
        return end + (2 if double else 1), path

    def _pair(self, at: int, base: Path) -> int:
        keys, end = self._keys(at)
        for depth in range(1, len(keys) + 1):
            self._note((*base, *keys[:depth]), at)
        return self._value(self._skip(_SPACE, end + 1), (*base, *keys))

    def _keys(self, at: int) -> tuple[list[str], int]:
        """A key, dotted or not, and where it ends: at "=" or "]"."""
        keys: list[str] = []
        while True:
            at = self._skip(_SPACE, at)
            if self.text[at] in "\"'":
                end = self._skip(_QUOTED, at)
                keys.append(tomllib.loads(f"k = {self.text[at:end]}")["k"])
            else:
                end = self._skip(_BARE_KEY, at)
                keys.append(self.text[at:end])
            at = self._skip(_SPACE, end)
            if self.text[at] != ".":
                return keys, at
            at += 1

    def _value(self, at: int, path: Path) -> int:
        first = self.text[at]
        if first in "\"'":
            return self._skip(_QUOTED, at)
        if first == "[":
            return self._array(at, path)
        if first == "{":
            return self._inline(at, path)
        return self._skip(_PLAIN_VALUE, at)

    def _array(self, at: int, path: Path) -> int:
        at, index = self._skip(_GAP, at + 1), 0
        while self.text[at] != "]":
            self._note((*path, index), at)
            at = self._skip(_GAP, self._value(at, (*path, index)))
            if self.text[at] == ",":
                at = self._skip(_GAP, at + 1)
            index += 1
        return at + 1

    def _inline(self, at: int, path: Path) -> int:
        at = self._skip(_GAP, at + 1)
        while self.text[at] != "}":
            at = self._skip(_GAP, self._pair(at, path))
            if self.text[at] == ",":
                at = self._skip(_GAP, at + 1)
        return at + 1
