"""Before, promise, after."""

from roomcheck.verify.learning import CannotLearn, learn
from roomcheck.verify.promise import verify
from roomcheck.verify.results import (
    BandChange,
    ClarityChange,
    EvennessChange,
    Kept,
    ModeChange,
    SpeechChange,
    SurfaceChange,
    Verification,
)

__all__ = [
    "BandChange",
    "CannotLearn",
    "ClarityChange",
    "EvennessChange",
    "Kept",
    "ModeChange",
    "SpeechChange",
    "SurfaceChange",
    "Verification",
    "learn",
    "verify",
]
