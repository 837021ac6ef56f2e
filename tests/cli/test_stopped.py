"""The keyboard stops a command at any time, while it is still being imported too."""

from __future__ import annotations

import subprocess
import sys

import pytest

_STOPPED = """
import signal, sys
from roomcheck.cli import main

class Keyboard:
    def find_spec(self, name, path=None, target=None):
        if name == sys.argv[1]:
            signal.raise_signal(signal.SIGINT)

sys.meta_path.insert(0, Keyboard())
sys.exit(main(["analyse", "no-such-job"]))
"""


@pytest.mark.parametrize("module", ["roomcheck.cli.office.analyse", "roomcheck.chain", "tomllib"])
def test_stopped_while_importing(module):
    command = [sys.executable, "-c", _STOPPED, module]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 130
    assert done.stderr == "\nroomcheck: stopped; what was finished is kept\n"


def test_a_named_command_imports_no_other():
    code = "import sys; from roomcheck.cli import main; main(sys.argv[1:]); print(*sys.modules)"
    command = [sys.executable, "-c", code, "analyse", "no-such-job"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    modules = done.stdout.split()
    assert "roomcheck.cli.office.analyse" in modules
    assert "roomcheck.cli.office.demo" not in modules
    assert not {"scipy", "matplotlib", "pyroomacoustics"} & set(modules)
