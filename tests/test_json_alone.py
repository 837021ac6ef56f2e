"""What a library prints from C stays out of the JSON."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

_PRINTS_FIRST = """
import ctypes, sys
from roomcheck.cli import main
from roomcheck.cli.office import build
shown = build.show_json
build.show_json = lambda value: (ctypes.CDLL(None).puts(b"solver: a line of its own"), shown(value))[1]
sys.exit(main(["build", "--piece", "felt", "--json"]))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no CDLL(None) on Windows")
def test_json_stands_alone_on_standard_output():
    # scipy's solver prints from C now and then, as seen in one of 300 cutting plans.
    ran = subprocess.run(
        [sys.executable, "-c", _PRINTS_FIRST],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ran.returncode == 0, ran.stderr
    assert json.loads(ran.stdout)["sheets"][0]["piece"] == "felt tile"
    assert "a line of its own" in ran.stderr
