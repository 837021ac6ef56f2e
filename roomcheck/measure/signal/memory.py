"""Memory that libraries keep after large transforms, let go of at once."""

from __future__ import annotations

import contextlib
import ctypes

import numpy as np

LARGE = 1 << 20
"""From here on nothing is kept for the next transform [samples]."""

_PLANS = 16
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
"""`M_TRIM_THRESHOLD` and `M_MMAP_THRESHOLD` of glibc's malloc.h."""

_FREED_BYTES = 1 << 20
"""Larger arrays go back to the system, once this is set."""

_REUSED_BYTES = 1 << 25
"""Arrays of up to this, and twice as much that is free, stay for the next transform."""


def let_go(size: int) -> None:
    """After a transform of so many samples: free what was kept of it.

    pocketfft keeps its last 16 plans, each as large as the signal; as many of next to no size
    take their places. The arrays' own memory stays for the next transform: to clear pages that
    come anew from the system takes as long as half a transform.
    """
    from scipy import fft

    if size <= LARGE:
        return
    reuse()
    for few in range(2, 2 + _PLANS):
        fft.rfft(np.ones(few))


def reuse() -> None:
    """Before work on one large signal after another; until `give_back`."""
    _tell_malloc(_MMAP_THRESHOLD, _REUSED_BYTES)
    _tell_malloc(_TRIM_THRESHOLD, 2 * _REUSED_BYTES)


def _tell_malloc(setting: int, value: int) -> None:
    """Set what glibc's malloc goes by; systems without it go without."""
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(setting, value)


def free_at_once() -> None:
    """Before work on something large."""
    _tell_malloc(_MMAP_THRESHOLD, _FREED_BYTES)


def give_back() -> None:
    """Before other work begins: hand what was freed back to the system, and keep no large arrays
    from here on; systems without this go without."""
    free_at_once()
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)
