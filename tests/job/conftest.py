"""A whole, valid job file to break, and a folder to break it in."""

from __future__ import annotations

from pathlib import Path

import pytest

import roomcheck

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room" / "job.toml"


@pytest.fixture(scope="session")
def story_text() -> str:
    return STORY_ROOM.read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path, story_text) -> Path:
    """A job folder on its own: the folder above it holds nothing else."""
    job = tmp_path / "jobs" / "story-room"
    job.mkdir(parents=True)
    (job / "job.toml").write_bytes(story_text.encode())
    return job
