"""Before, promise, after."""

from roomcheck.verify.promise import verify
from roomcheck.verify.results import BandChange, Kept, Verification

__all__ = ["BandChange", "Kept", "Verification", "verify"]
