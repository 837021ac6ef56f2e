"""Before, promise, after."""

from roomcheck.verify.results import BandChange, Verification

__all__ = ["BandChange", "Verification"]
