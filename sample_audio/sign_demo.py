"""Sign the demo's job anew: the plan that the target needs, as this version of roomcheck makes it.

    python sample_audio/sign_demo.py && python sample_audio/make_recordings.py

The first command lays the job down unsigned beside the recordings of its first visit, signs the
plan on the day and under the name of the story, and keeps the agreement in the job's folder; the
second records the treated room. To be run when the planner's choice for this room changes.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from roomcheck.chain import open_job
from roomcheck.demo import demo

HERE = Path(__file__).resolve().parent
SIGNED = HERE.parent / "roomcheck" / "demo" / "story-room" / "signed"
DAY = "2026-05-11"
NAME = "Client A (made up)"


def main() -> None:
    with tempfile.TemporaryDirectory() as made:
        folder = demo(Path(made) / "story-room").folder
        shutil.rmtree(folder / "signed")
        shutil.rmtree(folder / "takes" / "after")
        agreement = open_job(folder).sign(NAME, DAY)
        shutil.copyfile(folder / "signed" / "agreement.toml", SIGNED / "agreement.toml")
        print(f"{len(agreement.plan.pieces)} pieces, {agreement.quote.total}")
        print(*sorted(path.name for path in (folder / "signed").iterdir()))


if __name__ == "__main__":
    main()
