"""What to build and where to hang it."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from roomcheck.facts import Fact
from roomcheck.job import Placement, WhyHere
from roomcheck.predict import Prediction
from roomcheck.recommend.reasons import (
    Advice,
    CheckSubject,
    Condition,
    PlanCaution,
    PlanKind,
    PlanNote,
    Shortfall,
    TighterNeeds,
)
from roomcheck.units import MID_BANDS_HZ


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedBand:
    """What may be signed for one octave."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    low_s: float
    """Lower end of the promised decay [s]."""
    high_s: float
    """Upper end [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidedBy:
    """What so many pairs decide at the re-measurement."""

    pairs: int
    """Source-microphone pairs."""
    kept_pct: float
    """How often a promise that is true is called kept; else it stays undecided [%]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tighter:
    """What a tolerance of the promised mean asks of the measurements."""

    tolerance_pct: float
    """To both sides of the likely value [%]."""
    pairs: int | None
    """Source-microphone pairs, before and after; None where no number of pairs is enough."""
    reason: Fact[TighterNeeds]
    """Why none is enough, or what grade it asks for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """What may be signed."""

    bands: tuple[PromisedBand, ...]
    """Octaves above the transition frequency."""
    mid_low_s: float | None
    """Lower end for the mean over `mid_bands_hz` [s]."""
    mid_high_s: float | None
    """Upper end for the mean [s]."""
    positions: int
    """Source-microphone pairs at which it is measured again."""
    conditions: tuple[Fact[Condition], ...]
    """Under which it holds."""
    grade: str = ""
    """Of the first visit, after ISO 3382-2; "" where it was not measured or reached none."""
    tolerance_pct: float | None = None
    """Of the mean, to the wider side of the likely value [%]."""
    tighter: tuple[Tighter, ...] = ()
    """What a tighter tolerance would need."""
    true_pct: float | None = None
    """How likely all promised values together are true, with pieces as they are believed; None in
    promises signed before it was worked out [%]."""
    decided: tuple[DecidedBy, ...] = ()
    """How often a true promise is called kept, by the number of pairs it is measured at."""
    most_pairs: int | None = None
    """Pairs that the job's sources and microphones make; None in promises signed before it was
    said."""
    beyond_target_hz: tuple[float, ...] = ()
    """Octaves whose promised interval reaches outside the target; 0 for the mean [Hz]."""
    mid_bands_hz: tuple[float, ...] = MID_BANDS_HZ
    """Octaves that the mean is over [Hz]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceGain:
    """What one further piece takes off the mean decay, in order of benefit."""

    name: str
    """Of the placed piece."""
    gain_s: float
    """Below 0 where it makes the decay longer [s]."""
    after_s: float
    """Decay once it hangs [s]."""
    heard: bool
    """Whether it alone changes the decay by 5 % or more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReflectionChange:
    """A first reflection before and after."""

    source: str
    seat: str
    face: str
    u_m: float
    """Where it meets the face, from its left edge [m]."""
    v_m: float
    """From its bottom edge [m]."""
    delay_s: float
    """After the direct sound [s]."""
    before_db: float
    """At the loudest of 1, 2 and 4 kHz, relative to the direct sound [dB]."""
    after_db: float
    """The same as planned [dB]."""
    limit_db: float
    """Above it a reflection is to be made quieter [dB]."""
    piece: str = ""
    """Name of the piece that it meets; "" for none."""
    advice: Fact[Advice] | None = None
    """Where it stays above the limit: what would help."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Something on the drawn plan that a person has to look at: a warning, never an approval."""

    subject: CheckSubject
    caution: Fact[PlanCaution] = field(metadata={"was": "text"})
    """What to look at, and why."""
    pieces: tuple[str, ...] = ()
    """Names of the pieces it is about; empty for the whole plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Pieces of the shop's stock at their places."""

    kind: PlanKind = field(metadata={"was": "title"})
    pieces: tuple[Placement, ...]
    prediction: Prediction
    promise: Promise
    reaches_target: bool
    """Whether every judged value likely lies inside its limits, and all of them together do as
    surely as the job asks."""
    shortfalls: tuple[Fact[Shortfall], ...]
    """Which band misses, by how much, and what would cure it."""
    gain_per_piece: tuple[float, ...]
    """Mid-band decay that each further piece took off, in the order they were added [s]."""
    notes: tuple[Fact[PlanNote], ...] = ()
    gains: tuple[PieceGain, ...] = ()
    """As `gain_per_piece`, diffusers included, with what each piece is called."""
    unheard_from: int | None = None
    """Number of the piece, in order of benefit, from which on nobody hears all further ones
    together; None where every piece is heard."""
    reflections: tuple[ReflectionChange, ...] = ()
    """First reflections off every surface, the floor included."""
    price: Decimal | None = None
    """Estimate with tax; the quote works it out."""
    weeks: int | None = None
    """From acceptance to the second visit."""
    checks: tuple[Check, ...] = ()
    """To be looked at on site before anybody drills."""
    chance: float | None = None
    """That all judged values will be measured inside their limits together; None in plans signed
    before it was worked out [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LostValue:
    """A decay that a plan no longer keeps inside its limits without one of its pieces."""

    band_hz: float | None
    """None for the mean [Hz]."""
    low_s: float
    """Lower end of the range without the piece [s]."""
    likely_s: float
    """Likely decay without it [s]."""
    high_s: float
    """Upper end of the range without it [s]."""
    likely_inside: bool
    """Whether the likely decay still is inside, and only the range is not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChange:
    """A plan after changes by hand, beside what it was."""

    plan: Plan
    """Solved again round what is pinned and forbidden."""
    pieces_before: int
    """Number of pieces that hung before."""
    price_change: Decimal
    """Estimate with tax."""
    mid_before_s: float | None
    """Likely mean decay before the change [s]."""
    mid_change_s: float | None
    """Of the likely mean decay [s]."""
    heard: bool | None
    """Whether that is a just noticeable difference or more."""
    lost: tuple[Fact[Shortfall], ...]
    """What is no longer reached."""
    still_missed: tuple[Fact[Shortfall], ...]
    """What was missed before and is missed by another amount now."""
    gained: tuple[Fact[Shortfall], ...]
    """What was missed and is reached now."""
    added: tuple[Placement, ...]
    """Pieces that the plan did not have."""
    removed: tuple[Placement, ...]
    """Pieces that it no longer has."""
    moved: tuple[tuple[Placement, Placement], ...]
    """Pieces of the same name at another place: where they hung, where they hang."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceReasons:
    """Why a piece of a plan is there."""

    name: str
    piece: str
    face: str
    reasons: tuple[Fact[WhyHere], ...]
    """As on the plan."""
    price: Decimal
    """What leaving it out, and nothing in its place, would save the client; an estimate with
    tax."""
    mid_with_s: float | None
    """Mean decay with it [s]."""
    mid_without_s: float | None
    """Mean decay without it [s]."""
    price_per_hundredth: Decimal | None
    """Of a hundredth of a second of the mean decay; None where it shortens it by less than a
    millisecond."""
    lost: tuple[LostValue, ...]
    """What the plan would no longer reach without it."""
    instead: PlanChange | None = None
    """The next best plan without anything at its place; None for what is pinned."""
