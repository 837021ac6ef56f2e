"""Work that is counted in parts, for who waits for it."""

from __future__ import annotations

from collections.abc import Callable

OnPart = Callable[[int, int], None]
"""Gets how many parts of the work are done, and how many there are. No result depends on it."""


class Parts:
    """Counts the parts of a piece of work as they are done.

    Parameters
    ----------
    on_part : callable or None
    of : int
        Parts there are, known before the work begins; the last one is not told, for the work's end
        says it.

    Examples
    --------
    >>> parts = Parts(lambda done, of: print(done, "of", of), 4)
    >>> parts.add()
    1 of 4
    >>> inner = parts.of_own(2)
    >>> inner(1, 10)
    1 of 4
    >>> inner(9, 10)
    2 of 4
    >>> parts.add(2)
    3 of 4
    """

    def __init__(self, on_part: OnPart | None, of: int) -> None:
        self._on_part, self._of, self._done = on_part, of, 0

    def add(self, parts: int = 1) -> None:
        """So many more are done."""
        self._done += parts
        self._tell(self._done)

    def of_own(self, parts: int) -> OnPart:
        """What a piece of work calls that counts its own parts and is so many of these; `add`
        follows when it is done."""
        return lambda done, of: self._tell(self._done + parts * done // of)

    def _tell(self, done: int) -> None:
        if self._on_part is not None and 0 < done < self._of:
            self._on_part(done, self._of)
