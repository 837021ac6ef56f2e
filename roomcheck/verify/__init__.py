"""Before, promise, after."""

from roomcheck.verify.learning import CannotLearn, learn
from roomcheck.verify.promise import verify
from roomcheck.verify.results import BandChange, ClarityChange, Kept, Verification

__all__ = ["BandChange", "CannotLearn", "ClarityChange", "Kept", "Verification", "learn", "verify"]
