"""Before, promise, after."""

from roomcheck.verify.kinds import Cause, ChangeNote, Difference, Kept
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
    "BandChange",
    "CannotLearn",
    "Cause",
    "Change",
    "ChangeNote",
    "ClarityChange",
    "Difference",
    "EvennessChange",
    "Kept",
    "MeanChange",
    "ModeChange",
    "SpeechChange",
    "SurfaceChange",
    "Verification",
    "learn",
    "verify",
]
