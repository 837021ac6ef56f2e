"""What a person typed about a job, as frozen values in metres, seconds and degrees Celsius."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Literal

from roomcheck.facts import Fact
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job.model.kinds import FramingKind
from roomcheck.job.model.progress import DANGERS, Behind, Found
from roomcheck.job.model.shop import Shop, ShopLook
from roomcheck.job.model.why_here import WhyHere
from roomcheck.standards import speed_of_sound_m_s
from roomcheck.units import M_PER_IN, ROOM_TEMPERATURE_C

SCHEMA = 2
"""Version of the job file that this roomcheck writes; it reads every one up to it."""

Units = Literal["imperial", "metric"]
Paper = Literal["letter", "a4"]
FixingRule = Literal["screws", "adhesive", "grid", "nothing"]
VisitName = Literal["before", "after"]
GradeName = Literal["survey", "engineering", "precision"]
STUD_M = 1.5 * M_PER_IN
"""Width of a stud: findings nearer to each other are of the same one. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """Something flat on a face that is of another material: window, door, curtain, board."""

    name: str
    face: str
    material: str
    """Key of the materials table."""
    place: Rectangle
    """In the face's frame [m]."""
    opening: bool = False
    """Whether it is a door or window: nothing may hang there, and casings count as clearance."""
    clearance_m: float = 0.0
    """Kept free around it [m]."""
    within_m: float = 0.0
    """Expanded uncertainty of its edges, k = 2; 0 where a tape found them [m]."""

    @property
    def zone(self) -> Rectangle:
        """The place with what is kept free around it."""
        return self.place.grown(self.clearance_m + self.within_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepClear:
    """A zone on a face where nothing may hang: outlet, vent, sprinkler, detector, radiator, door
    swing."""

    name: str
    face: str
    kind: str
    place: Rectangle
    """The thing itself [m]."""
    clearance_m: float = 0.0
    """Kept free around it [m]."""
    within_m: float = 0.0
    """Expanded uncertainty of its edges, k = 2; 0 where a tape found them [m]."""

    @property
    def zone(self) -> Rectangle:
        """The thing with what is kept free around it."""
        return self.place.grown(self.clearance_m + self.within_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Framing:
    """What stands behind a face: studs of a wall, joists of a ceiling, masonry, a grid."""

    face: str
    kind: FramingKind = FramingKind.UNKNOWN
    spacing_m: float | None = None
    """Of studs or joists on centre; None where there are none, or nobody found them [m]."""
    first_m: float | None = None
    """First centre from the left edge seen from inside (ceiling: from the x origin) [m]."""
    sheathing_m: float | None = None
    """Thickness of what lies in front of it; None where the job does not say [m]."""
    build: str = ""
    """A note, as typed; nothing decides by it."""
    seen: tuple[tuple[float, bool], ...] = ()
    """Where somebody looked while hanging, and whether a stud or joist is there, in the order in
    which they were typed ([m], from the left edge)."""

    def centres_m(self, from_m: float, to_m: float, face_width_m: float) -> tuple[float, ...]:
        """Centres of studs or joists from one place to another, from the face's left edge: where
        somebody looked, as found; elsewhere as spaced. [m]

        >>> Framing(face="north", spacing_m=0.4, first_m=0.3).centres_m(0.5, 1.2, 4.0)
        (0.7, 1.1)
        """
        spaced = self.spaced_m(face_width_m)
        centres = [*spaced] if not self.seen else sorted(self._as_seen(spaced))
        return tuple(c for c in centres if from_m - 1e-9 <= c <= to_m + 1e-9)

    def spaced_m(self, face_width_m: float) -> tuple[float, ...]:
        """Centres by their spacing alone, whatever was found. [m]"""
        if self.spacing_m is None or self.first_m is None:
            return ()
        count = int((face_width_m - self.first_m) / self.spacing_m + 1e-9) + 1
        return tuple(round(self.first_m + k * self.spacing_m, 9) for k in range(max(count, 0)))

    @property
    def found_m(self) -> tuple[float, ...]:
        """Centres that somebody found. [m]"""
        return tuple(sorted(self._as_seen(())))

    def _as_seen(self, spaced: Sequence[float]) -> set[float]:
        """Centres once each finding stands in place of the nearest one that it can be meant for:
        a spaced one within half a spacing, a found one within its own width. [m]"""
        if self.spacing_m is None:
            return set()
        centres, found = set(spaced), set[float]()
        for at_m, there in self.seen:
            meant = [c for c in centres if abs(c - at_m) <= self._reach_m(c in found)]
            if meant:
                nearest = min(meant, key=lambda c: abs(c - at_m))
                centres.discard(nearest)
                found.discard(nearest)
            if there:
                centres.add(at_m)
                found.add(at_m)
        return centres

    def _reach_m(self, found: bool) -> float:
        assert self.spacing_m is not None
        return STUD_M if found else self.spacing_m / 2 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """What may be fixed to a face; "grid" is a hung ceiling, through which wires run to the
    structure above."""

    face: str
    rule: FixingRule


@dataclass(frozen=True, slots=True, kw_only=True)
class Furnishing:
    """Furniture or people, as so many of a material's unit."""

    name: str
    material: str
    amount: float
    """Square metres, or a count where the material's coefficients are areas per piece."""
    visits: tuple[VisitName, ...] = ("before", "after")
    """At which it was there."""
    place: Rectangle | None = None
    """Where it stands, in the room's x and y; None where the job does not say [m]."""
    height_m: float | None = None
    """How high it is; None where it has no place [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A source or a microphone. [m]"""

    name: str
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """The conditions of one visit."""

    name: VisitName
    date: str
    """ISO 8601 day."""
    temperature_c: float
    """Of the air in the room [degC]."""
    humidity_pct: float
    """Relative humidity [%]."""
    people: int = 1
    """In the room while measuring."""
    doors: str = ""
    """As typed, like every text below but `settings`."""
    hvac: str = ""
    gain: str = ""
    notes: str = ""
    settings: str = ""
    """Sweep, level and channels, as roomcheck measure set them."""
    equipment: str = ""
    """Loudspeaker, microphone and interface: what a report after ISO 3382-2 names."""
    omnidirectional: bool = False
    """Whether the sound source sends alike in all directions, as ISO 3382-1 describes it."""
    serials: str = ""
    """Serial numbers and calibrations of the equipment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTarget:
    """A target of the job's own, with the reason that stands on every page."""

    low_s: float
    """Least decay in each octave from `from_hz` to `to_hz` [s]."""
    high_s: float
    """Longest decay in each of them [s]."""
    from_hz: float
    """Lowest nominal octave that is judged [Hz]."""
    to_hz: float
    """Highest nominal octave that is judged [Hz]."""
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A piece of the shop's stock at a place in the room."""

    name: str
    """"A1", "A2", …: as on every sheet."""
    piece: str
    """Name of the stock piece."""
    face: str
    place: Rectangle
    """In the face's frame [m]."""
    reasons: tuple[Fact[WhyHere], ...] = ()
    """Why this piece hangs here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A piece that a person wants at a place, whatever the plan says."""

    piece: str
    face: str
    place: Rectangle
    """In the face's frame; a corner piece stands at the face's left edge [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forbid:
    """What a person does not want."""

    piece: str = ""
    """This stock piece; "" for every piece."""
    face: str = ""
    """On this face; "" for every face."""
    place: Rectangle | None = None
    """Only where it touches this; None for the whole face [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenLook:
    """A cloth, stain or paint that was chosen."""

    look: ShopLook
    piece: str = ""
    """For this stock piece; "" for every piece that shows such a thing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """Something beside the plan that a client may have or leave: an option to tick."""

    name: str
    """As the client reads it."""
    cost: Decimal
    """To the shop, without tax; the price is made of it with the shop's margin."""
    taken: bool = False
    """Whether the client wants it."""


SURE_PCT = (80, 90, 95)
"""How surely a plan may be asked to reach the target. [%]"""

PAIRS_AFTER = (2, 48)
"""At how many source-microphone pairs a promise may be measured again, least and most: one alone
shows no scatter, and beyond the most nobody measures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One client's room."""

    folder: Path
    made_up: bool
    """Whether it is a demonstration; every page then says so."""
    client: str
    title: str
    complaint: str
    """In the client's own words."""
    use: str
    """Key of the room's use; chooses the target."""
    own_target: OwnTarget | None
    units: Units
    """How pages show lengths and weights."""
    paper: Paper
    """Size of the pages."""
    currency: str
    """Sign or code of money."""
    budget: Decimal | None
    room: Room
    materials: tuple[tuple[str, str], ...]
    """Face and material, one for every face."""
    patches: tuple[Patch, ...]
    keep_clear: tuple[KeepClear, ...]
    framing: tuple[Framing, ...]
    fixings: tuple[Fixing, ...]
    furnishings: tuple[Furnishing, ...]
    sources: tuple[Position, ...]
    microphones: tuple[Position, ...]
    seat: str | None
    """The microphone position that matters most."""
    visits: tuple[Visit, ...]
    shop: Shop
    """The job's copy where there is one, else the contractor's own, else the defaults."""
    pins: tuple[Pin, ...] = ()
    """Pieces that a person wants at a place."""
    forbids: tuple[Forbid, ...] = ()
    """What a person does not want."""
    grade: GradeName = "survey"
    """What a visit must reach, after ISO 3382-2."""
    people_in_use: int | None = None
    """How many people the room usually holds, for documents that mean it occupied; None where
    nobody said."""
    sure_pct: int = 90
    """How surely a plan shall reach the target: 80, 90 or 95 [%]."""
    pairs_after: int | None = None
    """At how many source-microphone pairs the promise is held against the room after the work;
    None: at all that were measured before."""
    client_address: str = ""
    """As typed, like the two below."""
    offer_number: str = ""
    """"" where the shop lets roomcheck number its offers."""
    offer_date: str = ""
    """Day of the offer, ISO 8601; "" where it is written by hand."""
    looks: tuple[ChosenLook, ...] = ()
    """Cloth, stain and paint as chosen; nothing where nobody chose."""
    found: tuple[Found, ...] = ()
    """What was found behind the walls, in the order it was typed."""
    extras: tuple[Extra, ...] = ()
    """Options of the offer, in the order of the file."""

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Source and microphone of every pair that the job names."""
        return tuple((s.name, m.name) for s in self.sources for m in self.microphones)

    def pairs_at(self, visit: str) -> tuple[tuple[str, str], ...]:
        """The pairs that a visit measures: after the work as many as `pairs_after` says, no place
        twice before every other had its turn, in the order of the job."""
        if visit != "after" or self.pairs_after is None or self.pairs_after >= len(self.pairs):
            return self.pairs
        chosen: list[tuple[str, str]] = []
        for _ in range(self.pairs_after):
            left = (pair for pair in self.pairs if pair not in chosen)
            chosen.append(min(left, key=lambda pair: _turns(pair, chosen)))
        return tuple(pair for pair in self.pairs if pair in chosen)

    def material_of(self, face: str) -> str:
        return dict(self.materials)[face]

    def look_of(self, piece: str) -> ShopLook | None:
        """What was chosen for a stock piece, by its name before for all; None where nothing was."""
        shows = next((stock.shows for stock in self.shop.stock if stock.name == piece), ())
        fitting = [chosen for chosen in self.looks if chosen.look.kind in shows]
        for name in (piece, ""):
            for chosen in fitting:
                if chosen.piece == name:
                    return chosen.look
        return None

    def visit(self, name: str) -> Visit | None:
        return next((v for v in self.visits if v.name == name), None)

    def speed_of_sound_m_s(self, visit: str) -> float:
        """Speed of sound in the visit's air, of 20 degC where no temperature was noted. [m/s]"""
        noted = self.visit(visit)
        return speed_of_sound_m_s(ROOM_TEMPERATURE_C if noted is None else noted.temperature_c)

    def framing_of(self, face: str) -> Framing | None:
        return next((f for f in self.framing if f.face == face), None)

    def fixing_of(self, face: str) -> FixingRule:
        return next((f.rule for f in self.fixings if f.face == face), "screws")

    def dangers_of(self, face: str) -> tuple[Found, ...]:
        """What was found behind a face that keeps everybody from drilling, and was not cleared by
        who is licensed."""
        cleared = {
            one.of for one in self.found if one.what is Behind.CLEARED and not one.taken_back
        }
        return tuple(
            one
            for one in self.found
            if one.face == face
            and one.what in DANGERS
            and not one.taken_back
            and one.number not in cleared
        )


def _turns(pair: tuple[str, str], chosen: Sequence[tuple[str, str]]) -> tuple[int, int]:
    """How often the places of a pair are chosen already, both together and the one chosen more."""
    source = sum(other[0] == pair[0] for other in chosen)
    microphone = sum(other[1] == pair[1] for other in chosen)
    return source + microphone, max(source, microphone)
