"""What was shown last, kept as long as nothing that it was made from changed."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from roomcheck.page.base.live import stamp

T = TypeVar("T")

MOST = 64
"""So many pages are kept; the oldest go first."""


def state_of(folder: Path) -> tuple[object, ...]:
    """What changes whenever a page of this job may change: its files, its results, its papers."""
    kinds = ("results/*.json", "signed/*", "bills/*", "layouts/*")
    made = [path for kind in kinds for path in folder.glob(kind)]
    return (stamp(folder), *sorted((path.name, path.stat().st_mtime_ns) for path in made))


@dataclass
class Memory:
    """Pages by what was asked."""

    most: int = MOST
    kept: dict[Hashable, tuple[tuple[object, ...], Any]] = field(default_factory=dict)

    def of(self, asked: Hashable, folder: Path, make: Callable[[], T]) -> T:
        """The page as it was made last, or made now."""
        state = state_of(folder)
        before, page = self.kept.pop(asked, ((), None))
        if before != state:
            page = make()
        self.kept[asked] = (state, page)
        while len(self.kept) > self.most:
            self.kept.pop(next(iter(self.kept)), None)
        return page  # type: ignore[no-any-return]
