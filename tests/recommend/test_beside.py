"""A long call of compiled code is left at once when the keyboard asks."""

from __future__ import annotations

import os
import signal
import threading
import time

import pytest

from roomcheck.recommend.integer.beside import beside


def test_what_is_called_comes_back_with_its_answer_or_its_error():
    assert beside(lambda: 6 * 7) == 42
    with pytest.raises(ZeroDivisionError):
        beside(lambda: 1 // 0)


def test_the_keyboard_is_heard_while_a_call_runs():
    # A lock that nobody lets go of stands for a solver that takes for ever.
    held, began = threading.Lock(), threading.Event()
    held.acquire()

    def endless() -> None:
        began.set()
        held.acquire()

    def interrupt() -> None:
        began.wait()
        time.sleep(0.05)
        os.kill(os.getpid(), signal.SIGINT)

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    threading.Thread(target=interrupt, daemon=True).start()
    try:
        with pytest.raises(KeyboardInterrupt):
            beside(endless)
    finally:
        signal.signal(signal.SIGINT, before)
        held.release()
