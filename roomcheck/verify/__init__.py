"""Before, promise, after."""

from roomcheck.verify.promise import verify
from roomcheck.verify.results import BandChange, ClarityChange, Kept, Verification

__all__ = ["BandChange", "ClarityChange", "Kept", "Verification", "verify"]
