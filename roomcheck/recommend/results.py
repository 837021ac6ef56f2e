"""What to build and where to hang it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from roomcheck.job import Placement
from roomcheck.predict import Prediction


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedBand:
    """What may be signed for one octave. [s]"""

    band_hz: float
    low_s: float
    high_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tighter:
    """What a tolerance of the promised mean asks of the measurements.

    Attributes
    ----------
    tolerance_pct : float
        To both sides of the likely value. [%]
    pairs : int or None
        Source-microphone pairs, before and after; None where no number of pairs is enough.
    reason : str
        Why none is enough, or what grade it asks for.
    """

    tolerance_pct: float
    pairs: int | None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """What may be signed.

    Attributes
    ----------
    bands : tuple of PromisedBand
        Octaves above the transition frequency.
    mid_low_s, mid_high_s : float or None
        For the mean of 500 and 1000 Hz. [s]
    positions : int
        Source-microphone pairs at which it is measured again.
    conditions : tuple of str
        Under which it holds.
    grade : str
        Of the first visit, after ISO 3382-2; "" where it was not measured or reached none.
    tolerance_pct : float or None
        Of the mean, to the wider side of the likely value. [%]
    tighter : tuple of Tighter
        What a tighter tolerance would need.
    """

    bands: tuple[PromisedBand, ...]
    mid_low_s: float | None
    mid_high_s: float | None
    positions: int
    conditions: tuple[str, ...]
    grade: str = ""
    tolerance_pct: float | None = None
    tighter: tuple[Tighter, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceGain:
    """What one further piece takes off the mean decay, in order of benefit.

    Attributes
    ----------
    name : str
        Of the placed piece.
    gain_s : float
        Below 0 where it makes the decay longer. [s]
    after_s : float
        Decay once it hangs. [s]
    heard : bool
        Whether it alone changes the decay by 5 % or more.
    """

    name: str
    gain_s: float
    after_s: float
    heard: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReflectionChange:
    """A first reflection before and after.

    Attributes
    ----------
    source, seat, face : str
    u_m, v_m : float
        Where it meets the face. [m]
    delay_s : float
        After the direct sound. [s]
    before_db, after_db : float
        At the loudest of 1, 2 and 4 kHz, relative to the direct sound. [dB]
    limit_db : float
        [dB]
    piece : str
        Name of the piece that it meets; "" for none.
    advice : str
        Where it stays above the limit: what would help.
    """

    source: str
    seat: str
    face: str
    u_m: float
    v_m: float
    delay_s: float
    before_db: float
    after_db: float
    limit_db: float
    piece: str = ""
    advice: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Something on the drawn plan that a person has to look at: a warning, never an approval.

    Attributes
    ----------
    subject : str
        "egress and projection", "sprinklers and detectors", …
    text : str
    pieces : tuple of str
        Names of the pieces it is about; empty for the whole plan.
    """

    subject: str
    text: str
    pieces: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Pieces of the shop's stock at their places.

    Attributes
    ----------
    title : str
        "what the target needs", …
    pieces : tuple of Placement
    prediction : Prediction
    promise : Promise
    reaches_target : bool
    shortfalls : tuple of str
        Which band misses, by how much, and what would cure it.
    gain_per_piece : tuple of float
        Mid-band seconds that each further piece took off, in the order they were added. [s]
    notes : tuple of str
    gains : tuple of PieceGain
        As `gain_per_piece`, diffusers included, with what each piece is called.
    unheard_from : int or None
        Number of the piece, in order of benefit, from which on nobody hears all further ones
        together; None where every piece is heard.
    reflections : tuple of ReflectionChange
        First reflections off every surface, the floor included.
    price : Decimal or None
        Estimate with tax; the quote works it out.
    weeks : int or None
        From acceptance to the second visit.
    checks : tuple of Check
        To be looked at on site before anybody drills.
    """

    title: str
    pieces: tuple[Placement, ...]
    prediction: Prediction
    promise: Promise
    reaches_target: bool
    shortfalls: tuple[str, ...]
    gain_per_piece: tuple[float, ...]
    notes: tuple[str, ...] = ()
    gains: tuple[PieceGain, ...] = ()
    unheard_from: int | None = None
    reflections: tuple[ReflectionChange, ...] = ()
    price: Decimal | None = None
    weeks: int | None = None
    checks: tuple[Check, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """Why a piece of a plan is there.

    Attributes
    ----------
    name, piece, face : str
    reasons : tuple of str
        As on the plan.
    price : Decimal
        What leaving it out, and nothing in its place, would save the client; an estimate with tax.
    mid_with_s, mid_without_s : float or None
        Mean decay with it and without. [s]
    price_per_hundredth : Decimal or None
        Of a hundredth of a second of the mean decay; None where it shortens it by less than a
        millisecond.
    lost : tuple of str
        What the plan would no longer reach without it.
    instead : tuple of str
        What the next best plan without anything at its place would be.
    """

    name: str
    piece: str
    face: str
    reasons: tuple[str, ...]
    price: Decimal
    mid_with_s: float | None
    mid_without_s: float | None
    price_per_hundredth: Decimal | None
    lost: tuple[str, ...]
    instead: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A plan after changes by hand, beside what it was.

    Attributes
    ----------
    plan : Plan
        Solved again round what is pinned and forbidden.
    price_change : Decimal
        Estimate with tax.
    mid_change_s : float or None
        Of the likely mean decay. [s]
    sentences : tuple of str
        What the change costs in decay, money and wishes.
    """

    plan: Plan
    price_change: Decimal
    mid_change_s: float | None
    sentences: tuple[str, ...]
