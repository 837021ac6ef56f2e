"""Before, promise, after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.verify.decide import Foretold, Record, Tally, foretold, inside, record
    from roomcheck.verify.heard import Appearance, appearances
    from roomcheck.verify.kinds import Appeared, Cause, ChangeNote, Difference, Kept
    from roomcheck.verify.learning import CannotLearn, learn
    from roomcheck.verify.promise import verify
    from roomcheck.verify.results import (
        BandChange,
        Change,
        ClarityChange,
        EvennessChange,
        MeanChange,
        ModeChange,
        SpeechChange,
        SurfaceChange,
        Verification,
    )

__all__ = [
    "Appearance",
    "Appeared",
    "BandChange",
    "CannotLearn",
    "Cause",
    "Change",
    "ChangeNote",
    "ClarityChange",
    "Difference",
    "EvennessChange",
    "Foretold",
    "Kept",
    "MeanChange",
    "ModeChange",
    "Record",
    "SpeechChange",
    "SurfaceChange",
    "Tally",
    "Verification",
    "appearances",
    "foretold",
    "inside",
    "learn",
    "record",
    "verify",
]

__getattr__, __dir__ = door(__name__)
