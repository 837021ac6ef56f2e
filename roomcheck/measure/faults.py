"""What can be wrong with a recording or a sound card that a person can put right."""

from __future__ import annotations

from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact


class RecordingError(RoomcheckError):
    """A recording that cannot be used: the file, what is in it, what was needed, what to do."""

    def __init__(self, *, where: str, found: str, needed: str, todo: str) -> None:
        self.where, self.found, self.needed, self.todo = where, found, needed, todo
        super().__init__(f"{where}: {found}; needed {needed}. {todo}")


class NotAudio(RecordingError):
    """Not a sound file, or of a kind that is not read."""


class EmptyRecording(RecordingError):
    """No samples, zeros only, or next to nothing."""


class TruncatedRecording(RecordingError):
    """The file ends before its own header says."""


class NotFinite(RecordingError):
    """Samples that are no numbers."""


class TooShort(RecordingError):
    """Shorter than the sweep and a decay after it."""


class NoSweepFound(RecordingError):
    """Deconvolution leaves no compact response: another sweep, or none."""


class WrongRate(RecordingError):
    """A sampling rate too low for what is measured, or two machines at different rates."""


class ChooseChannel(RecordingError):
    """Several channels carry signal and none was chosen.

    `levels_dbfs` is the RMS of each channel; None for zeros only. [dB re full scale]
    """

    def __init__(
        self,
        *,
        where: str,
        found: str,
        needed: str,
        todo: str,
        levels_dbfs: tuple[float | None, ...],
    ) -> None:
        self.levels_dbfs = levels_dbfs
        super().__init__(where=where, found=found, needed=needed, todo=todo)


class PlaceDoubted(RecordingError):
    """A take that may not be of the place, or of the visit, that it is said to be of.

    `doubts` holds why.
    """

    def __init__(
        self, *, where: str, found: str, needed: str, todo: str, doubts: tuple[Fact[Any], ...]
    ) -> None:
        self.doubts = doubts
        super().__init__(where=where, found=found, needed=needed, todo=todo)


class MarkersNotFound(RecordingError):
    """One or both marker chirps of a sweep file are missing."""


class ClockJump(RecordingError):
    """Samples were lost or doubled during the sweep."""


class TakeNotWritten(RecordingError):
    """A take could not be put into the job folder."""


class CardError(RecordingError):
    """The sound card, or PortAudio, is missing or fails."""
