"""The demo with one recording a visit and nothing signed, computed once for all tests."""

from __future__ import annotations

import dataclasses
import shutil
import sys
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from roomcheck.chain import Activity, Chain, Progress, Steps
from roomcheck.demo import demo
from roomcheck.job import Job, Rates, Shop, load_job


class Watch:
    """Which fields of a job are read during which step."""

    def __init__(self) -> None:
        self.step: Activity | None = None
        self.read: dict[Activity, set[str]] = defaultdict(set)

    def on_step(self, step: Progress) -> None:
        self.step = step.kind if step.done < step.of else None

    def job(self, job: Job) -> Job:
        rates = self._watched(Rates, job.shop.rates, "shop.rates.")
        shop = self._watched(Shop, job.shop, "shop.", rates=rates)
        return self._watched(Job, job, "", shop=shop)

    def _watched(self, kind: Any, value: Any, before: str, **more: Any) -> Any:
        names = {field.name for field in dataclasses.fields(kind)}

        def read(this: Any, name: str) -> Any:
            caller = sys._getframe(1).f_code
            # `dataclasses.replace` copies every field, and what is kept for the same job asks whether it
            # is the same; that is no reading.
            alike = caller.co_name in {"__hash__", "__eq__"}
            copied = caller.co_filename.endswith("dataclasses.py")
            if self.step and name in names and not (alike or copied):
                self.read[self.step].add(before + name)
            return object.__getattribute__(this, name)

        watched = type(kind.__name__, (kind,), {"__slots__": (), "__getattribute__": read})
        return watched(**{name: getattr(value, name) for name in names} | more)


@pytest.fixture(scope="session")
def computed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Chain, Watch]:
    """A job's folder with its kept results, the chain that made them, and what it read."""
    folder = tmp_path_factory.mktemp("chain") / "job"
    demo(folder)
    shutil.rmtree(folder / "signed")
    for take in (folder / "takes").glob("*/*"):
        if take.stem != "S1-P1":
            take.unlink()
    watch = Watch()
    job = watch.job(load_job(folder))
    chain = Chain(job=job, steps=Steps(on_step=watch.on_step))
    for name in ("before", "after", "verdict", "verdict_after", "plans", "quotes", "sheet"):
        getattr(chain, name)
    return folder, chain, watch


@pytest.fixture
def folder(computed: tuple[Path, Chain, Watch], tmp_path: Path) -> Path:
    """A copy of the computed job, for one test."""
    return Path(shutil.copytree(computed[0], tmp_path / "job"))


@pytest.fixture
def contents() -> Callable[[Path], dict[str, bytes]]:
    """Every file of a folder."""

    def read(folder: Path) -> dict[str, bytes]:
        files = [path for path in folder.rglob("*") if path.is_file()]
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}

    return read
