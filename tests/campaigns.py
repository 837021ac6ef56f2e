"""A part of a campaign of `benchmarks/faults.py` in an interpreter of its own.

Its cases are forks. A fork of the process that runs the tests would take along the locks that its
threads hold just then (a browser's, a server's), and might wait for them for ever.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[1]

SCRIPT = """
import sys
import faults
tally = faults.run(sys.argv[1], share=float(sys.argv[2]), seed=int(sys.argv[3]))
print("\\n".join(tally.faults))
print(f"{tally.total} cases")
sys.exit(1 if tally.faults or tally.total < int(sys.argv[4]) else 0)
"""


def campaign(name: str, share: float, *, seed: int, least: int, wall_s: float = 900.0) -> str:
    """Run a part; what it printed where anything was wrong or too few cases ran, else "".

    A part that hangs is ended after `wall_s`, and that is said.
    """
    path = os.pathsep.join([str(TOP / "benchmarks"), str(TOP)])
    command = [sys.executable, "-c", SCRIPT, name, str(share), str(seed), str(least)]
    try:
        done = subprocess.run(
            command,
            env=os.environ | {"PYTHONPATH": path, "OPENBLAS_NUM_THREADS": "1"},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=wall_s,
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        return f"it hung: {late.stdout!r}"
    return "" if done.returncode == 0 else (done.stdout + done.stderr)[-3000:]
