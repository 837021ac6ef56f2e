"""The made-up job as it is shipped: its shop builds every kind of piece."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

import roomcheck.demo
from roomcheck.geometry import Point
from roomcheck.job import Job, Position, load_job


@pytest.fixture(scope="session")
def shop_job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    folder = tmp_path_factory.mktemp("scene") / "job"
    shutil.copytree(Path(roomcheck.demo.__file__).parent / "story-room", folder)
    job = load_job(folder)
    return replace(
        job,
        keep_clear=(),
        sources=(Position(name="S1", point=Point(1.1, 0.9, 1.3)),),
        microphones=(Position(name="P1", point=Point(2.9, 2.1, 1.2)),),
        seat="P1",
    )
