"""What a standard says no to."""

from __future__ import annotations

from roomcheck.errors import RoomcheckError


class UnknownUse(RoomcheckError):
    """A room's use that no standard here knows."""

    def __init__(self, *, use: str, near: tuple[str, ...]) -> None:
        self.use, self.near = use, near
        meant = f" Did you mean {' or '.join(map(repr, near))}?" if near else ""
        super().__init__(
            f"{use!r} is not a use that roomcheck has a target for.{meant} Or give a target of "
            "your own."
        )


class OutsideScope(RoomcheckError):
    """The room is larger or smaller than the document speaks of."""

    def __init__(self, *, document: str, volume_m3: float, low_m3: float, high_m3: float) -> None:
        self.document, self.volume_m3, self.low_m3, self.high_m3 = (
            document,
            volume_m3,
            low_m3,
            high_m3,
        )
        span = f"from {low_m3:g} to {high_m3:g} m³" if low_m3 else f"up to {high_m3:g} m³"
        super().__init__(
            f"The room has {volume_m3:.4g} m³; {document} gives a decay for rooms {span}. "
            "Choose another use, or give a target of your own with its reason."
        )


class BadTarget(RoomcheckError):
    """A target of the job's own that cannot be held against a room."""

    def __init__(self, *, found: str, needed: str) -> None:
        self.found, self.needed = found, needed
        super().__init__(f"The job's own target: found {found}, needed {needed}.")
