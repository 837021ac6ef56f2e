"""The command line: parse, call one stage, show."""

from __future__ import annotations

import argparse
import contextlib
import errno
import gc
import importlib
import io
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NoReturn

import roomcheck
from roomcheck.errors import RoomcheckError
from roomcheck.signs import first_unseen, spell_out

COMMANDS = (
    "demo",
    "new",
    "check",
    "set",
    "undo",
    "list",
    "open",
    "sweep",
    "devices",
    "measure",
    "add",
    "takes",
    "photo",
    "analyse",
    "recommend",
    "predict",
    "build",
    "hours",
    "found",
    "quote",
    "verify",
    "report",
    "pack",
    "unpack",
)
"""One module each, in the order of a job. A module has `add_parser(subparsers)` and `run(args) ->
int`."""

_EDITING = ("set", "undo", "list")
_KEEPING = ("pack", "unpack")
THREADS = (
    "OPENBLAS_NUM_THREADS",
    "OMP_NUM_THREADS",
    "MKL_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
)
"""What linear algebra libraries read before numpy is imported. One thread each: more gain nothing
here, and beside another busy program they wait for each other. Who sets them is obeyed."""

_ON_SITE = ("sweep", "devices", "measure", "add", "takes", "photo", "found")

_FILES = (
    "job",
    "file",
    "folder",
    "recording",
    "sweep",
    "microphone_file",
    "out",
    "drawings",
    "shop",
)
"""Arguments that name files."""

_EPILOG = """\
a job from first call to last page:
  roomcheck new harbour-room                 make the folder; fill in job.toml
  roomcheck measure harbour-room             record at every position (or: add)
  roomcheck analyse harbour-room             what is wrong
  roomcheck recommend harbour-room           what to hang, how many, where
  roomcheck quote harbour-room --sign NAME   price, and keep what was signed
  roomcheck verify harbour-room              measure again: is it kept?
  roomcheck report harbour-room              every document that the job allows

try it: roomcheck demo"""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        Arguments without the program's name; those of the process where left out.

    Returns
    -------
    int
        0 done, 2 for what a person can put right, 130 stopped by the keyboard.
    """
    if argv is None:
        gc.set_threshold(*GARBAGE)
    try:
        return _run(sys.argv[1:] if argv is None else list(argv))
    except RoomcheckError as problem:
        from roomcheck.cli.terminal import tell

        tell(f"roomcheck: {problem}")
        return 2
    except KeyboardInterrupt:
        # In a window how far it was stands on this line, and with it the sign of the key.
        fresh = "\r\033[K" if sys.stderr.isatty() else "\n"
        print(f"{fresh}roomcheck: stopped; what was finished is kept", file=sys.stderr)
        if argv is None and not _HELD & sys.modules.keys():
            _leave_at_once()
        return 130
    except BrokenPipeError:
        # Whoever read our output has closed it; keep Python quiet about it when it flushes on exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


GARBAGE = (20_000, 10, 10)
"""When Python looks for garbage, in a process of our own: what imports and results make is hardly
ever any, and at Python's own 700 a tenth of a short command's time went into looking."""

_HELD = {"sounddevice", "uvicorn"}
"""What has a device or other processes to give back at the end."""


def _leave_at_once() -> NoReturn:
    """End the process without taking down every library first, which takes up to half a second:
    by now everything of ours is closed or put back, and copies that worked beside it end too."""
    if "multiprocessing.process" in sys.modules:
        from multiprocessing import active_children

        for copy in active_children():
            copy.kill()
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):
            stream.flush()
    os._exit(130)


def _run(argv: list[str]) -> int:
    for stream in (sys.stdout, sys.stderr):
        # What a code page has not is spelt out: no output dies of a sign.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=spell_out())
    for library in THREADS:
        os.environ.setdefault(library, "1")
    args = _parser(argv).parse_args(argv)
    if getattr(args, "json", False) and sys.stdout is sys.__stdout__:
        _keep_apart()
    _check_signs(args)
    _check_names(args)
    if getattr(args, "job", None):
        from roomcheck.cli.mending import tell_mended

        tell_mended(Path(args.job))
    return int(args.run(args))


def _texts(value: object) -> Iterator[str]:
    """The texts of an option, however often it was given."""
    if isinstance(value, str):
        yield value
    for item in value if isinstance(value, list) else ():
        yield from _texts(item)


def _check_signs(args: argparse.Namespace) -> None:
    """Refuse words that hold what cannot be seen; names of files may hold anything."""
    for option, value in vars(args).items():
        for text in _texts(value) if option not in _FILES else ():
            odd = first_unseen(text)
            if odd is not None:
                raise RoomcheckError(
                    f"--{option.replace('_', '-')} {text!r} holds the sign {odd}, which cannot be "
                    "seen; type it again without it"
                )


def _check_names(args: argparse.Namespace) -> None:
    """Refuse names of files that no disk could hold, before anybody asks a disk."""
    for option in sorted(vars(args).keys() & set(_FILES)):
        for text in _texts(vars(args)[option]):
            try:
                os.lstat(text)
            except OSError as problem:
                if problem.errno == errno.ENAMETOOLONG:
                    raise RoomcheckError(
                        f"{text[:40]}…: a name of {len(text)} signs, more than this disk takes; "
                        "give a shorter one"
                    ) from problem


def _keep_apart() -> None:
    """From here on only Python writes to standard output: now and then the solver prints a line of
    its own from C."""
    sys.stdout.flush()
    own = os.dup(1)
    os.dup2(2, 1)
    sys.stdout = os.fdopen(own, "w", encoding=sys.stdout.encoding, errors=sys.stdout.errors)


def _parser(argv: list[str]) -> argparse.ArgumentParser:
    from roomcheck.cli.terminal import Filled

    parser = argparse.ArgumentParser(
        prog="roomcheck",
        description="Measure a room that sounds wrong, plan treatment a small shop can build, "
        "and show that the promise was kept.",
        epilog=_EPILOG,
        formatter_class=Filled,
    )
    parser.add_argument("--version", action="version", version=f"roomcheck {roomcheck.__version__}")
    subparsers = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    # A command that is named is all that is imported; help and a wrong name need every one.
    named = [name for name in COMMANDS if argv[:1] == [name]]
    for name in named or COMMANDS:
        importlib.import_module(_home(name)).add_parser(subparsers)
    return parser


def _home(name: str) -> str:
    """The module of a command. The page brings its own: neither knows the other."""
    if name == "open":
        return "roomcheck.page.command"
    if name in _EDITING:
        return f"roomcheck.cli.editing.{name}"
    if name in _KEEPING:
        return f"roomcheck.cli.keeping.{name}"
    return f"roomcheck.cli.{'site' if name in _ON_SITE else 'office'}.{name}"
