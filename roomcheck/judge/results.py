"""What the measurement says against the target."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.facts import Fact
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, MeanNote, Outcome, Remedy
from roomcheck.standards import Target


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A decay against its limits; decided before rounding."""

    value_s: float | None
    """Mean T20 [s]."""
    u_s: float | None
    """Half of what to both sides holds 95 % [s]."""
    low_s: float | None
    high_s: float | None
    """The target's limits [s]."""
    outcome: Outcome

    @property
    def has_limit(self) -> bool:
        return self.low_s is not None or self.high_s is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class BandVerdict(Judged):
    """One octave against its limits."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanVerdict(Judged):
    """The single number of a target: the mean decay over its octaves."""

    bands_hz: tuple[float, ...]
    """Octaves that the target averages, those left out among them [Hz]."""
    notes: tuple[Fact[MeanNote], ...] = ()
    """Why there is no verdict, and what goes with one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A fault that a client would hear, with its evidence."""

    measured: Fact[FindingKind]
    """What it is, the numbers that show it, and the limits that they exceed."""
    source: Fact[LimitSource]
    """Whose limits these are."""
    remedies: tuple[Fact[Remedy], ...]
    """In order, the free ones first."""
    beyond_jnd: float
    """How far past the limit, in just noticeable differences; ranks the findings [1]."""
    sure: tuple[Fact[Certainty], ...] = ()
    """How sure it is; empty where the numbers say all."""
    faces: tuple[str, ...] = ()
    """Surfaces that do it, where some are known."""
    seats: tuple[str, ...] = ()
    """Microphones where it was found; empty where it belongs to the room as a whole."""

    @property
    def kind(self) -> FindingKind:
        return self.measured.kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The room against its target."""

    target: Target
    """Its limits are those of the room with the people of the visit."""
    agreed: bool = False
    """Whether the job's own limits take the place of a document's."""
    bands: tuple[BandVerdict, ...]
    mid: MeanVerdict
    findings: tuple[Finding, ...]
    """What a client would hear first stands first; empty where nothing is wrong."""

    @property
    def limits_carried(self) -> Fact[MeanNote] | None:
        """The step from the people that the target means to those of the visit, where one was
        needed."""
        notes = self.mid.notes
        return next((note for note in notes if note.kind == MeanNote.LIMITS_CARRIED), None)
