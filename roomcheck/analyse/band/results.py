"""What the record of one band shows beside its fits."""

from __future__ import annotations

from dataclasses import dataclass

SLOWEST = 5.0
"""What falls so much more slowly than the decay before it is not taken for the decay of a coupled
room. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoSlopes:
    """Both decays of a record that has two."""

    early_s: float
    """Reverberation time of the early decay [s]."""
    late_s: float
    """Of the late one [s]."""
    meet_db: float
    """Where on the decay curve the late one takes over [dB]."""

    @property
    def far_apart(self) -> bool:
        """Whether the late one may as well be no room's: T20 and T30 are not read across both."""
        return self.late_s > SLOWEST * self.early_s
