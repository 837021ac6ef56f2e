"""Memory that libraries keep after large transforms, let go of at once."""

from __future__ import annotations

import contextlib
import ctypes
import functools

import numpy as np

LARGE = 1 << 20
"""From here on nothing is kept for the next transform [samples]."""

_PLANS = 16
_MMAP_THRESHOLD, _THRESHOLD_BYTES = -3, 1 << 20
"""`M_MMAP_THRESHOLD` of glibc's malloc.h, and its value: larger arrays go back to the system."""


def let_go(size: int) -> None:
    """After a transform of so many samples: free what was kept of it.

    pocketfft keeps its last 16 plans, each as large as the signal; as many of next to no size
    take their places. glibc keeps freed arrays of up to 32 MiB, the more the longer it runs,
    unless it is told the limit.
    """
    from scipy import fft

    if size <= LARGE:
        return
    free_at_once()
    for few in range(2, 2 + _PLANS):
        fft.rfft(np.ones(few))


@functools.cache
def free_at_once() -> None:
    """Before work on something large, once in a process; systems without this setting go
    without."""
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(_MMAP_THRESHOLD, _THRESHOLD_BYTES)


def give_back() -> None:
    """Before other work begins: hand what was freed back to the system, and keep no large arrays
    from here on; systems without this go without."""
    free_at_once()
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)
