"""Compiled code that takes long, called so that the keyboard is heard meanwhile."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar

Answer = TypeVar("Answer")


def beside(call: Callable[[], Answer]) -> Answer:
    """What a call returns that lets other threads run: it runs in one of its own, while this one
    waits and hears Ctrl-C at once. A call that is left so ends with the process."""
    found: list[Answer] = []
    failed: list[BaseException] = []

    def run() -> None:
        try:
            found.append(call())
        except BaseException as problem:
            failed.append(problem)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join()
    if failed:
        raise failed[0]
    return found[0]
