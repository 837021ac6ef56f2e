"""Which functions of the package each test runs, and how long it takes: a plug-in of pytest.

    python benchmarks/reached.py FILE tests/verify     write them to a file

What the fixtures of a module run counts for every test of its file. Functions that only other processes run
are not seen. Only files of tests that have changed since are looked at again.
"""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

TOP = Path(__file__).resolve().parents[1]
PACKAGE = str(TOP / "roomcheck") + os.sep

Function = tuple[str, str]
"""A module's path within the package, and the function's qualified name."""

MOST_S = 15.0
"""Processor time after which the rest of a file of tests is left: of those that run a function
only the quickest are of use. [s]"""

Ran = dict[str, tuple[float, list[Function]]]
"""From a test to its processor time [s] and what it runs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """One test."""

    name: str
    """As pytest names it."""
    cpu_s: float
    functions: frozenset[Function]


def tests_in(folder: str, kept: Path) -> list[Test]:
    """The tests of a folder, as they were looked at before, or now."""
    known = json.loads(kept.read_text("utf-8")) if kept.exists() else {}
    digests = {
        str(path.relative_to(TOP)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted((TOP / folder).rglob("test_*.py"))
    }
    kept.parent.mkdir(parents=True, exist_ok=True)
    known = {file: one for file, one in known.items() if file in digests}
    for file, digest in digests.items():
        if known.get(file, [""])[0] != digest:
            known[file] = (digest, _looked_at(file))
            kept.write_text(json.dumps(known), "utf-8")
    return [
        Test(name=name, cpu_s=cpu_s, functions=frozenset(map(tuple, functions)))
        for file in digests
        for name, (cpu_s, functions) in known[file][1].items()
    ]


def _looked_at(file: str) -> Ran:
    """What the tests of a file run."""
    with tempfile.TemporaryDirectory() as place:
        found = Path(place) / "ran.json"
        environment = os.environ | {
            "PYTHONPATH": os.pathsep.join([str(TOP / "benchmarks"), str(TOP)]),
            "TESTS_REACH": str(found),
        }
        words = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "reached", file]
        subprocess.run(
            [sys.executable, *words],
            cwd=TOP,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        ran: Ran = json.loads(found.read_text("utf-8"))
    return ran


class _Tracer:
    """Notes the code that runs."""

    def __init__(self) -> None:
        self.codes: set[CodeType] = set()

    def __call__(self, frame: FrameType, event: str, arg: Any) -> None:
        self.codes.add(frame.f_code)

    def taken(self) -> set[Function]:
        """What ran of the package since it was last asked."""
        found = {
            (code.co_filename.removeprefix(PACKAGE), code.co_qualname)
            for code in self.codes
            if code.co_filename.startswith(PACKAGE)
        }
        self.codes.clear()
        return found


class Reached:
    """The plug-in."""

    def __init__(self, kept: Path) -> None:
        self.kept, self.tracer = kept, _Tracer()
        self.shared: dict[str, set[Function]] = {}
        self.own: dict[str, tuple[float, set[Function]]] = {}

    def pytest_runtest_setup(self, item: Any) -> None:
        sys.settrace(self.tracer)
        threading.settrace(self.tracer)
        item.began_s = time.process_time()

    def pytest_runtest_teardown(self, item: Any) -> None:
        sys.settrace(None)
        took_s = time.process_time() - item.began_s
        self.own[item.nodeid] = (took_s, self.tracer.taken())
        if time.process_time() > MOST_S:
            item.session.shouldstop = "looked at for long enough"

    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> Any:
        """What a fixture of more than one test runs is noted for all tests of the file."""
        before, self.tracer.codes = self.tracer.codes, set()
        result = yield
        if fixturedef.scope != "function":
            ran = self.tracer.codes
            file = request.node.nodeid.partition("::")[0]
            self.shared.setdefault(file, set()).update(self.tracer.taken())
            self.tracer.codes = ran
        self.tracer.codes |= before
        return result

    def pytest_sessionfinish(self) -> None:
        made = {}
        for name, (took_s, functions) in self.own.items():
            everything = functions | self.shared.get(name.partition("::")[0], set())
            made[name] = (round(took_s, 3), sorted(everything))
        self.kept.write_text(json.dumps(made), "utf-8")


def pytest_configure(config: Any) -> None:
    import pytest

    if "TESTS_REACH" in os.environ:
        Reached.pytest_fixture_setup = pytest.hookimpl(wrapper=True)(Reached.pytest_fixture_setup)  # type: ignore[method-assign]
        config.pluginmanager.register(Reached(Path(os.environ["TESTS_REACH"])))


def main(words: Sequence[str]) -> int:
    tests = tests_in(words[1], Path(words[0]))
    functions = frozenset().union(*(test.functions for test in tests))
    print(f"{len(tests)} tests, {sum(t.cpu_s for t in tests):.0f} s, {len(functions)} functions")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
