"""PortAudio itself: where it is missing, what it says that nobody needs, and calls that never come
back."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

from roomcheck.measure.faults import CardError

T = TypeVar("T")

ANSWER_S = 10.0
"""A sound system that has not answered for so long is not going to. [s]"""

AGAIN = "pip install --force-reinstall sounddevice (its wheel carries PortAudio)"
INSTALL = {
    "Windows": AGAIN,
    "macOS": f"{AGAIN}, or brew install portaudio",
    "Linux": "sudo apt install libportaudio2 (Debian, Ubuntu) or sudo dnf install portaudio "
    "(Fedora)",
}


def portaudio() -> Any:
    """The `sounddevice` module.

    Raises
    ------
    CardError
        PortAudio is missing; says how to install it on each system.
    """
    try:
        with hushed():
            import sounddevice
    except OSError as problem:  # not ImportError: the module is there, the library is not
        here = {"win32": "Windows", "darwin": "macOS"}.get(sys.platform, "Linux")
        others = "; ".join(f"{name}: {text}" for name, text in INSTALL.items() if name != here)
        raise CardError(
            where="PortAudio",
            found=f"the library is not on this machine ({problem})",
            needed="PortAudio, for playing and recording only: everything from files works "
            "without it",
            todo=f"Install it: {INSTALL[here]}. On other systems, {others}.",
        ) from problem
    return sounddevice


@contextlib.contextmanager
def hushed() -> Iterator[None]:
    """Nothing on standard error from C libraries meanwhile: PortAudio writes there about devices it
    cannot open."""
    try:
        sys.stderr.flush()
        kept = os.dup(2)
    except (OSError, ValueError, AttributeError):
        yield
        return
    try:
        with tempfile.TemporaryFile() as nowhere:
            os.dup2(nowhere.fileno(), 2)
            yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)


def within(do: Callable[[], T], seconds: float = ANSWER_S) -> T:
    """What `do` returns; a CardError where it does not come back.

    A sound server that stands still blocks whoever asks it anything, deaf to the keyboard. On Linux
    the call is made in a thread that can be left behind; elsewhere PortAudio wants to be called
    from where it was started.

    Raises
    ------
    CardError
        And whatever `do` raises.
    """
    if not sys.platform.startswith("linux"):
        return do()
    got: list[T] = []
    failed: list[BaseException] = []

    def run() -> None:
        try:
            got.append(do())
        except BaseException as problem:
            failed.append(problem)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(seconds)
    if thread.is_alive():
        _forget()
        raise CardError(
            where="sound system",
            found=f"it has not answered for {seconds:g} s",
            needed="an answer",
            todo="Close other sound programs, plug the interface out and in, or restart the "
            "computer's sound; finished takes are kept.",
        )
    if failed:
        raise failed[0]
    return got[0]


def let_go(*streams: Any) -> None:
    """Close streams, without waiting for a sound system that stands still."""

    def close(stream: Any) -> None:
        stream.abort(ignore_errors=True)
        stream.close(ignore_errors=True)

    for stream in streams:
        with contextlib.suppress(CardError), hushed():
            within(lambda stream=stream: close(stream), 2.0)  # type: ignore[misc]


def _forget() -> None:
    """Do not wait at the end of the program for what does not answer."""
    import atexit

    sd = sys.modules.get("sounddevice")
    handler = getattr(sd, "_exit_handler", None)
    if handler is not None:
        atexit.unregister(handler)
