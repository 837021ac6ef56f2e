"""How many bytes of a pack are done."""

from __future__ import annotations

from collections.abc import Callable

OnPart = Callable[[int, int], None]
"""Gets how much is done, and of how much."""


class Counted:
    """Adds up the bytes of files as they are done, and tells it; all done is not told.

    Parameters
    ----------
    on_part : callable or None
    of : int
        All there is to do. [bytes]
    done : int
        Before. [bytes]
    """

    def __init__(self, on_part: OnPart | None, of: int, done: int = 0) -> None:
        self._on_part, self._of, self._done = on_part, of, done

    def add(self, size: int) -> None:
        """So many bytes more are done."""
        self._done += size
        if self._on_part is not None and 0 < self._done < self._of:
            self._on_part(self._done, self._of)
