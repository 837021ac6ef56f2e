"""Questions to a person at the terminal, and their answers by a script."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from roomcheck.cli.terminal import tell
from roomcheck.facts import Fact
from roomcheck.signs import visible
from roomcheck.words import Reader, sentence, sentences

if TYPE_CHECKING:
    from roomcheck.measure import Added, Choice

C = TypeVar("C", bound=str)
"""The choices of one question."""

REPEATS = 2
"""How often a bad take is made again where nobody is there to decide."""


class EndedHere(Exception):
    """The person wants to end here."""


class Answers(Protocol):
    """Who answers: a person, or nobody."""

    asks: bool

    def choose(self, question: str, choices: tuple[C, ...]) -> C: ...

    def text(self, question: str, default: str, problem: Callable[[str], str | None]) -> str: ...


def telling(reader: Reader) -> Callable[[Fact[Any] | Added], None]:
    """Make what puts facts and verdicts of takes in words and tells them."""

    def say(event: Fact[Any] | Added) -> None:
        if isinstance(event, Fact):
            tell(sentence(event, reader))
            return
        from roomcheck.report import take_blocks, text_of

        tell(text_of(take_blocks(event, reader)))

    return say


def choosing(
    answers: Answers, reader: Reader
) -> Callable[[tuple[Fact[Any], ...], tuple[Choice, ...]], Choice]:
    """Make what puts a question, a line a fact, to a person."""

    def ask(question: tuple[Fact[Any], ...], choices: tuple[Choice, ...]) -> Choice:
        return answers.choose("\n".join(sentences(question, reader)), choices)

    return ask


class Person:
    """Somebody at the terminal."""

    asks = True

    def choose(self, question: str, choices: tuple[C, ...]) -> C:
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
                raise EndedHere
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

    def choose(self, question: str, choices: tuple[C, ...]) -> C:
        tell(question)
        if choices[0] in ("repeat", "save"):
            self.again += 1
            return choices[0] if self.again <= REPEATS else choices[choices.index("skip")]
        if choices[0] == "record":
            self.again = 0
        return choices[0]

    def text(self, question: str, default: str, problem: Callable[[str], str | None]) -> str:
        return default


def _line(prompt: str) -> str | None:
    """A line from standard input, None at its end. The prompt goes to standard error: results alone
    go to output."""
    print(visible(prompt), end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline()
    return line or None
