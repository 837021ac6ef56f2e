"""What the solver prints of its own is kept off standard output, and nothing else is."""

from __future__ import annotations

import os
import threading

from roomcheck.recommend.integer.silenced import silenced


def test_compiled_output_is_dropped_and_standard_error_is_not(capfd):
    print("before")
    with silenced():
        os.write(1, b"debugging\n")
        os.write(2, b"a warning\n")
    print("after")
    told = capfd.readouterr()
    assert told.out == "before\nafter\n"
    assert told.err == "a warning\n"


def test_another_thread_leaves_the_output_of_the_process_alone(capfd):
    inside, done = threading.Event(), threading.Event()

    def solve():
        with silenced():
            inside.set()
            done.wait(10)

    thread = threading.Thread(target=solve)
    thread.start()
    assert inside.wait(10)
    os.write(1, b"a result\n")
    done.set()
    thread.join()
    assert capfd.readouterr().out == "a result\n"
