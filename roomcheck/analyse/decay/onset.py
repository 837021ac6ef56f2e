"""Where a response starts, and what lies before it cut off."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.measure import ImpulseResponse

START_DB = -20.0
"""The response starts where it first comes this near to its peak (ISO 3382-1:2009, A.3.4). [dB]"""

LEAST_PEAK = 1e-300
"""What never gets above it is silence: the last numbers before 0 hold no digits. [1]"""

LEAD_S = 0.0005
"""Kept before the start: the foot of a band-limited first arrival. [s]"""


class NotAResponse(RoomcheckError):
    """Samples that cannot be an impulse response at all."""

    def __init__(self, found: str, needed: str) -> None:
        self.found, self.needed = found, needed
        super().__init__(f"impulse response: {found}; needed {needed}")


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A response cut to its start."""

    samples: NDArray[np.float64]
    """From `lead_s` before the start to the end of the record, without its steady offset. Empty for
    silence, (frames,)."""
    lead_s: float
    """Where the start lies in `samples` [s]."""
    onset_s: float
    """Where the start lies in the record [s]."""

    def over_peak(self) -> Start:
        """The same with a peak of 1, so that no square of it is too large or too small for a
        number."""
        return replace(self, samples=self.samples / np.abs(self.samples).max())


def start(response: ImpulseResponse) -> Start:
    """Finds the first arrival and drops what lies before it: lead-in, latency, distortion products.

    Raises
    ------
    NotAResponse
        No samples, or samples that are no numbers.
    """
    x, rate = response.samples, response.rate_hz
    if not x.size:
        raise NotAResponse("no samples", "a recording")
    if not (finite := np.isfinite(x)).all():
        bad = int(np.argmin(finite))
        raise NotAResponse(
            f"{int(x.size - finite.sum())} samples are no numbers, the first at {bad / rate:.4f} s",
            "finite numbers; export the file again",
        )
    # Some thousand samples tell a steady offset as well as all.
    x = x - float(np.median(x[:: max(x.size // 5000, 1)]))
    size = np.abs(x)
    peak = float(size.max())
    if peak < LEAST_PEAK:
        return Start(x[:0], 0.0, 0.0)
    limit = peak * 10 ** (START_DB / 20)
    first = int(np.argmax(size >= limit))
    before = size[first - 1] if first else 0.0
    crossing = first - (size[first] - limit) / (size[first] - before) if first else 0.0
    cut = max(int(crossing - LEAD_S * rate), 0)
    return Start(x[cut:], float(crossing - cut) / rate, float(crossing) / rate)
