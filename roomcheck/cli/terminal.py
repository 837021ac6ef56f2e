"""What the commands share: options, progress on standard error, results on standard output."""

from __future__ import annotations

import argparse
import io
import json
import os
import re
import shutil
import sys
import textwrap
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from roomcheck.plain import to_plain
from roomcheck.signs import UNSEEN, visible
from roomcheck.words import say

if TYPE_CHECKING:
    from rich.status import Status

    from roomcheck.report import Block

WIDTH = 80
"""Columns of a terminal that nobody widened."""

ROWS, ITEMS = 18, 4
"""Of a table and of a list, where not all is asked for."""

Subparsers = Any
"""What `argparse.ArgumentParser.add_subparsers` returns; argparse keeps its type to itself."""

Quiet = Callable[[], AbstractContextManager[None]]
"""What keeps still for a question, while it is open."""


def add_command(
    subparsers: Subparsers,
    name: str,
    run: Callable[[argparse.Namespace], int],
    *,
    what: str,
    example: str,
) -> argparse.ArgumentParser:
    """A subcommand with `--json` and an example in its help."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        name,
        help=what,
        description=f"{what[0].upper()}{what[1:]}.",
        epilog="\n".join(map(on_a_screen, f"example:\n  {example}".splitlines())),
        formatter_class=Filled,
    )
    parser.add_argument(
        "--json",
        action="store_true",
        help="the result as JSON on standard output, nothing else there",
    )
    parser.set_defaults(run=run)
    return parser


class Filled(argparse.RawDescriptionHelpFormatter):
    """Fills the description, and leaves examples as they are."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        if "\n" in text:
            return super()._fill_text(text, width, indent)
        return argparse.HelpFormatter._fill_text(self, text, width, indent)


def on_a_screen(line: str) -> str:
    """A line of an example as a shell still reads it, where it is too long for a screen.

    >>> print(on_a_screen("  roomcheck set JOB " + "long " * 12 + '"two words"'))
      roomcheck set JOB long long long long long long long long long long long \\
          long "two words"
    """
    if len(line) <= WIDTH:
        return line
    if not line.lstrip().startswith("roomcheck"):
        return textwrap.fill(line, WIDTH)
    lines = [line[: len(line) - len(line.lstrip())]]
    for word in re.findall(r'(?:"[^"]*"|\S)+', line):
        if len(lines[-1]) + len(word) + len(" \\ ") > WIDTH:
            lines.append(" " * 6)
        lines[-1] += word if lines[-1].isspace() else f" {word}"
    return " \\\n".join(lines)


def tell(text: str) -> None:
    """Say something that is no result: on standard error, in lines that fit the window."""
    text = visible(text)
    if sys.stderr.isatty():
        columns = max(min(shutil.get_terminal_size().columns, WIDTH), 40)
        text = "\n".join(_fitted(line, columns) for line in text.split("\n"))
    print(text, file=sys.stderr, flush=True)


def _fitted(line: str, columns: int) -> str:
    """A line as several, which breaks no path and no address.

    >>> print(_fitted("roomcheck: a/path/of-twenty-signs is not there", 40))
    roomcheck: a/path/of-twenty-signs is not
      there
    """
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.fill(
        line,
        columns,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def show(blocks: Iterable[Block], width: int = WIDTH, *, gap: bool = False) -> None:
    """Show blocks on standard output, in colour where a person looks at it; `gap` leaves a line
    free before them.

    A narrower terminal narrows the lines, a wider one does not widen them. What the stream's
    encoding has not is spelt out.
    """
    from roomcheck.report import text_of

    stream = sys.stdout
    colour = stream.isatty() and "NO_COLOR" not in os.environ
    if stream.isatty():
        width = min(width, shutil.get_terminal_size().columns)
    text = text_of(blocks, width, colour, stream.encoding or "utf-8")
    print(f"\n{text}" if gap else text)


def add_all_option(parser: argparse.ArgumentParser, what: str) -> None:
    """`--all`, of commands whose lists can be long."""
    parser.add_argument("--all", action="store_true", help=what)


def show_short(blocks: Sequence[Block], *, everything: bool) -> None:
    """Show blocks, of long tables and lists the first few unless everything is asked for; sums
    stay."""
    from roomcheck.report import Bullets, Table, Text

    shown: list[Block] = []
    left = 0
    for block in blocks:
        if isinstance(block, Table) and len(block.rows) > ROWS and not everything:
            last = [row for i, row in enumerate(block.rows) if i >= ROWS and i in block.strong]
            left += len(block.rows) - ROWS - len(last)
            strong = tuple(i for i in block.strong if i < ROWS)
            strong += tuple(range(ROWS, ROWS + len(last)))
            shown.append(replace(block, rows=(*block.rows[:ROWS], *last), strong=strong))
        elif isinstance(block, Bullets) and len(block.items) > ITEMS and not everything:
            left += len(block.items) - ITEMS
            shown.append(Bullets(items=block.items[:ITEMS]))
        else:
            shown.append(block)
    if left:
        shown.append(Text(body=say("lines_left_out", count=left)))
    show(shown)


def show_json(value: object) -> int:
    """Show a result as JSON on standard output, in UTF-8 whatever the terminal speaks."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace")
    text = json.dumps(to_plain(value), indent=2, ensure_ascii=False)
    print(UNSEEN.sub(lambda found: json.dumps(found[0])[1:-1], text))
    return 0


def show_line(text: str) -> None:
    """Show one line that names a file on standard output."""
    print(visible(text))


class Doing:
    """What goes on, as a person sees it on standard error.

    Calling it keeps it quiet for a question: it would be written over, and what stands in brackets
    be taken for marks.
    """

    def __init__(self, text: str, status: Status | None = None) -> None:
        self._text, self._status = text, status
        self._began_s = self._told_s = time.monotonic()
        self._share = 0.0

    @contextmanager
    def __call__(self) -> Iterator[None]:
        if self._status is not None:
            self._status.stop()
        yield
        if self._status is not None:
            self._status.start()

    def part(self, done: int, of: int) -> None:
        """Say how much of the work is done, and how long the rest takes; where less is done than
        before, it began anew."""
        if self._status is None:
            return
        from roomcheck.chain import Activity, Progress, left

        if done / of < self._share:
            self._began_s = self._told_s
        self._share, self._told_s = done / of, time.monotonic()
        so_far = Progress(kind=Activity.READ, done=done, of=of)
        rest = left(so_far, self._told_s - self._began_s)
        self._status.update(_in_one_line(self._text, rest))


def _in_one_line(text: str, rest: str = "") -> str:
    """What goes on beside how far it is, for one line of the window: a long name is cut, and none
    is taken for marks."""
    from rich.markup import escape

    room = shutil.get_terminal_size().columns - len("⠋ ") - len(rest) - 2
    short = text if len(text) <= room else f"{text[: max(room - 1, 0)]}…"
    return escape(f"{short} {rest}".rstrip())


@contextmanager
def doing(what: str, **values: object) -> Iterator[Doing]:
    """Say on standard error what is going on, for as long as it goes on."""
    text = visible(say(f"doing_{what}", **values))
    if not sys.stderr.isatty():
        print(f"{text} …", file=sys.stderr)
        yield Doing(text)
        return
    from rich.console import Console

    with Console(stderr=True).status(_in_one_line(text)) as status:
        yield Doing(text, status)
