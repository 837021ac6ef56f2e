"""How many bytes of a pack are done."""

from __future__ import annotations

from roomcheck.parts import OnPart


class Counted:
    """Adds up the bytes of files as they are done, and tells it; all done is not told.

    Parameters
    ----------
    on_part : callable or None
    of : int
        All there is to do. [bytes]
    """

    def __init__(self, on_part: OnPart | None, of: int) -> None:
        self._on_part, self._of, self._done = on_part, of, 0

    def add(self, size: int) -> None:
        """So many bytes more are done."""
        self._done += size
        self._tell()

    def second_half(self, done: int, of: int) -> None:
        """So many of as many bytes again are done, now that the first half is."""
        self._done = self._of // 2 + self._of // 2 * done // of
        self._tell()

    def _tell(self) -> None:
        if self._on_part is not None and 0 < self._done < self._of:
            self._on_part(self._done, self._of)
