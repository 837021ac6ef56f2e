"""Questions to a person at the terminal, and their answers by a script."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Callable
from typing import Protocol

REPEATS = 2
"""How often a bad take is made again where nobody is there to decide."""


class Stopped(Exception):
    """The person wants to end here."""


class Answers(Protocol):
    """Who answers: a person, or nobody."""

    asks: bool

    def choose(self, question: str, choices: tuple[str, ...]) -> str: ...

    def text(self, question: str, default: str, problem: Callable[[str], str | None]) -> str: ...


def tell(text: str) -> None:
    """Say something that is no result: on standard error, in lines that fit the window."""
    if sys.stderr.isatty():
        text = "\n".join(
            _fitted(line, shutil.get_terminal_size().columns) for line in text.split("\n")
        )
    print(text, file=sys.stderr, flush=True)


def _fitted(line: str, columns: int) -> str:
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.fill(
        line,
        max(min(columns, 120), 40),
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


class Person:
    """Somebody at the terminal."""

    asks = True

    def choose(self, question: str, choices: tuple[str, ...]) -> str:
        """One of the choices: the first by return, each by its first letters; stop at the end of
        input."""
        tell(question)
        others = ", ".join(choices[1:])
        while True:
            line = _line(f"  [return] {choices[0]}, or type {others}: ")
            if line is None:
                return choices[-1]
            said = line.strip().lower()
            fits = (
                [choice for choice in choices if choice.startswith(said)] if said else [choices[0]]
            )
            if len(fits) == 1:
                return fits[0]
            tell(
                f"  {said!r} may be {' or '.join(fits)}."
                if fits
                else f"  {said!r} is none of {', '.join(choices)}."
            )

    def text(self, question: str, default: str, problem: Callable[[str], str | None]) -> str:
        """A line of text that has no problem; the default by return."""
        while True:
            line = _line(f"  {question}{f' [{default}]' if default else ''}: ")
            if line is None:
                raise Stopped
            said = line.strip() or default
            wrong = problem(said)
            if wrong is None:
                return said
            tell(f"    {wrong}")


class Nobody:
    """Answers for a person who is not there: a bad take twice again, then on; what needs a text
    stays as it is."""

    asks = False

    def __init__(self) -> None:
        self.again = 0

    def choose(self, question: str, choices: tuple[str, ...]) -> str:
        tell(question)
        if choices[0] in ("repeat", "save"):
            self.again += 1
            return choices[0] if self.again <= REPEATS else "skip"
        if choices[0] == "record":
            self.again = 0
        return choices[0]

    def text(self, question: str, default: str, problem: Callable[[str], str | None]) -> str:
        return default


def _line(prompt: str) -> str | None:
    """A line from standard input, None at its end. The prompt goes to standard error: results alone
    go to output."""
    print(prompt, end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline()
    return line or None
