"""What can go wrong that a person can put right.

Every error says where, what was found, what was needed and what to do. `main` prints it and exits
2; anything that is not a `RoomcheckError` is a bug and is let fall.
"""

from __future__ import annotations


class RoomcheckError(Exception):
    """The root of everything a person can put right."""


class Mistakes(RoomcheckError):
    """Several mistakes of one file or thing, shown together: `items` holds a sentence for each,
    with its line where there is one."""

    def __init__(self, where: str, items: tuple[str, ...]) -> None:
        self.where, self.items = where, items
        count = "1 mistake" if len(items) == 1 else f"{len(items)} mistakes"
        super().__init__("\n".join([f"{where}: {count}", *(f"  {item}" for item in items)]))
