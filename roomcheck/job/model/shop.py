"""The shop: what it builds, what that costs, and what it charges."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Literal

from roomcheck.job.model.kinds import FramingKind, ShopMaterial, UsedFor
from roomcheck.job.model.practice import ShopPractice

PieceKind = Literal[
    "panel",
    "cloud",
    "felt",
    "corner",
    "corner stack",
    "slatted box",
    "perforated box",
    "membrane trap",
    "well diffuser",
    "block diffuser",
]
DIFFUSERS: tuple[PieceKind, ...] = ("well diffuser", "block diffuser")
"""Kinds whose heights, cells and patterns can be set."""

PatternName = Literal["quadratic residues", "primitive root"]
"""As a shop's file names a number pattern."""

Fits = Literal["array", "opening", "core"]
TaxedLine = Literal["pieces", "installation", "measuring", "allowance"]
Mount = Literal["wall", "ceiling", "corner"]
FrontKind = Literal["cloth", "holes", "slots", "sheet"]
LookKind = Literal["cloth", "stain", "paint"]

_SHOWS: dict[PieceKind, tuple[LookKind, ...]] = {
    "panel": ("cloth",),
    "cloud": ("cloth",),
    "corner": ("cloth",),
    "corner stack": ("cloth",),
    "felt": (),
}
"""Kinds that fabric goes round, and felt, which is as it is bought; every other shows its wood."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreFront:
    """What covers a core and takes part in how it absorbs."""

    kind: FrontKind
    """Cloth that one can hardly blow through, a board with round holes, slats with slots, or a
    closed sheet."""
    thickness_m: float = 0.0
    """Of a board or of slats [m]."""
    opening_m: float = 0.0
    """Width of a hole or slot [m]."""
    open_share: float = 0.0
    """Open share of a board or of slats [1]."""
    mass_kg_m2: float = 0.0
    """Weight of cloth or a sheet [kg/m2]."""
    resistance_pa_s_m: float = 0.0
    """Flow resistance of cloth [Pa s/m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PorousCore:
    """The absorbing layer of a piece."""

    thickness_m: float
    gap_m: float
    """Air behind the layer [m]."""
    flow_resistivity_pa_s_m2: float
    front: CoreFront | None = None
    """None for bare wool and for cloth that one can blow through easily."""
    divided: bool = False
    """Whether layer and gap are cut into cells."""
    solid: bool = False
    """Of a corner trap: wool to the very corner, not a slab with air behind it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """So much of a bought material in one piece, before waste."""

    item: str
    amount: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberPattern:
    """A sequence of number theory that sets the heights of blocks or the depths of wells."""

    name: PatternName
    prime: int | None = None
    """None for the least that covers the panel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPiece:
    """A piece the shop builds."""

    name: str
    kind: PieceKind
    width_m: float
    """Outside [m]."""
    height_m: float
    """Outside [m]."""
    depth_m: float
    """Outside, the gap included [m]."""
    weight_kg: float
    mounts: tuple[Mount, ...]
    core: PorousCore | None
    """None for diffusers."""
    material: str | None
    """Row of the materials table that gives its absorption where there is no core to compute it
    from."""
    build_hours: Decimal
    """A piece [h]."""
    install_hours: Decimal
    """A piece [h]."""
    needs: tuple[Need, ...]
    cell_m: float = 0.0
    """Width of a cell, well or slat, or pitch of the holes [m]."""
    steps_m: tuple[float, ...] = ()
    """Diffusers: the heights or depths in use [m]."""
    turns: bool = True
    """Whether it may hang either way round."""
    learned: tuple[tuple[float, float, float], ...] = ()
    """Band [Hz], mean and standard deviation of what verified jobs say of the natural logarithm of
    its absorption over the computed one."""
    pattern: NumberPattern | None = None
    """Diffusers: None draws block heights or takes the wells' own depths."""
    seed: int = 7
    """Of a drawn pattern: same seed, same panel."""
    fits: Fits = "array"
    """Block diffusers: `width_m` and `height_m` are the blocks' own size, or an opening that holds
    blocks and frame. Panels: with "core" they are the size of an uncut core, and the frame goes
    round it."""
    hole_m: float = 0.0
    """Boxes: width of a slot or hole [m]."""
    front_m: float = 0.0
    """Boxes: thickness of the slats, sheet or membrane [m]."""
    fill_m: float = 0.0
    """Boxes: depth of the fill behind [m]."""
    drawn: bool = False
    """Whether what is cut is bought as drawn, and `needs` give the rest alone."""
    fire_papers: str = ""
    """Which papers on its reaction to fire the shop holds, as they call themselves; empty where
    there are none."""

    @property
    def diffuser(self) -> bool:
        """Whether it scatters by wells or blocks."""
        return self.kind in DIFFUSERS

    @property
    def shows(self) -> tuple[LookKind, ...]:
        """Which kinds of look can be chosen for it."""
        return _SHOWS.get(self.kind, ("stain", "paint"))


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherLength:
    """Another length that a stick or board is sold in."""

    length_m: float
    price: Decimal
    """For one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """What lies on the rack."""

    item: str
    """A name of the price list."""
    length_m: float
    """[m]"""
    count: int = 1
    width_m: float | None = None
    """Of a sheet's offcut, its shorter side; None of a bar [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What a material is bought for, and what it is as far as cutting and weighing go."""

    item: str
    """The shop's own name for it; pieces, offcuts and lists refer to it by this name."""
    unit: str
    pack: Decimal
    """Units in the smallest pack on sale."""
    price: Decimal
    """For one pack."""
    waste_pct: Decimal
    """Allowed on top of the net amount [%]."""
    also: tuple[OtherLength, ...] = ()
    """Other lengths on sale; the cheapest mix is bought."""
    material: ShopMaterial = ShopMaterial.UNKNOWN
    thickness_m: float | None = None
    """Dressed, as it measures [m]."""
    width_m: float | None = None
    """Of a board its broad side, of a sheet, core board or tile the shorter side, of fabric the
    roll [m]."""
    length_m: float | None = None
    """Of one stick, sheet, core board or tile [m]."""
    density_kg_m3: float | None = None
    """None takes the practice's for this material [kg/m3]."""
    mass_kg_m2: float | None = None
    """Of fabric; None takes the practice's [kg/m2]."""
    used_for: UsedFor | None = None
    """None where the material serves either purpose."""
    into: FramingKind | None = None
    """Of a screw or anchor: what it is made to hold in; None of a screw for the bench."""
    gauge: str = ""
    """Of a screw into a wall: "#10", "5 mm"; `length_m` is its length."""
    supplier: str = ""
    """Where it is bought; "" where the shop's file does not say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What the shop charges."""

    hour: Decimal
    """Burdened cost of an hour."""
    margin_pct: Decimal
    """Of the price, not of the cost [%]."""
    contingency_pct: Decimal
    """Of the cost, for the unforeseen [%]."""
    tax_pct: Decimal
    travel: Decimal
    """A job; so are the other amounts."""
    consumables: Decimal
    survey_fee: Decimal
    minimum_job: Decimal
    survey_hours: Decimal
    verify_hours: Decimal
    valid_days: int
    """How long an offer stands."""
    deposit_pct: Decimal
    """Due on acceptance [%]."""
    delivery_pct: Decimal = Decimal(40)
    """Due on delivery; the rest at sign-off [%]."""
    disposal: Decimal = Decimal(0)
    subcontract: Decimal = Decimal(0)
    taxed: tuple[TaxedLine, ...] = ("pieces", "installation", "measuring", "allowance")
    """Which of the client's lines carry tax: the place's rules say which."""
    tax_rounding: Literal["net", "lines"] = "net"
    """Tax on the taxed sum, rounded once, or rounded on every line."""
    retainage_pct: Decimal = Decimal(0)
    """Held back on invoices until the punch list is done [%]."""
    terms: str = ""
    payment_days: int = 14
    """From an invoice's day to the day it is due."""
    pay_to: str = ""
    """Account or other way to pay, as printed on invoices."""
    tax_id: str = ""
    """The shop's tax number, where invoices must show one."""
    """When and how an invoice is paid, as printed on it."""
    bench_hours_week: Decimal = Decimal(30)
    """Hours that go into building in a week."""
    lead_weeks: Decimal = Decimal(2)
    """From the order of fabric and wool to the first cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one kind of piece did in a job."""

    piece: str
    """Name of the stock piece."""
    count: int
    pull: tuple[float, ...]
    """How the decay moves with its absorption in each band: d ln T / d ln A, below 0 [1]."""
    prior: tuple[float, ...]
    """Standard uncertainty of the natural logarithm of its computed absorption in each band
    [log]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtScatter:
    """What one verified job would say if its room scattered so much."""

    scatter: float
    """Scattering coefficient of the room, furniture included [1]."""
    weight: float
    """How likely the measurement before makes it, where none was likelier than another [1]."""
    away: tuple[float, ...]
    """Natural logarithm of the decay predicted there over the likely one, in each band [log]."""
    spread: tuple[float, ...]
    """As in the lesson, for this scattering [log]."""
    model: tuple[float, ...]
    """Likewise [log]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What one verified job says."""

    job: str
    """Name of its folder."""
    day: str
    """Of the visit after the work, ISO 8601."""
    bands_hz: tuple[float, ...]
    off: tuple[float, ...]
    """Natural logarithm of measured over predicted decay, every piece taken as computed [log]."""
    spread: tuple[float, ...]
    """Standard uncertainty of that from everything but the pieces: room, formula, measurement
    [log]."""
    shares: tuple[Share, ...]
    model: tuple[float, ...] = ()
    """Part of `spread` that is the prediction's own error, which no measurement before the work
    takes out; empty in lessons that do not say [log]."""
    scatters: tuple[AtScatter, ...] = ()
    """The same for each scattering that the room may have; empty in lessons that do not say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopWords:
    """What a shop says in its own words; "" or nothing where the usual words stand."""

    greeting: str = ""
    """First sentence of an offer."""
    exclusions: tuple[str, ...] = ()
    """What is not included, beside what follows from the plan."""
    care: str = ""
    """How the pieces are cared for."""
    remedy: str = ""
    """What the shop does where the promise is not kept."""
    payment: str = ""
    """When and how an offer is paid, beside its steps."""
    colour: str = ""
    """Of heads and rules on every page: "#1d5b46"; dark enough to be read on white."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopLook:
    """A cloth, a stain or a paint that the shop offers."""

    name: str
    """As the shop and its supplier call it."""
    kind: LookKind
    colour: str
    """In pictures: "#3f4347"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The contractor's own file."""

    name: str
    """As on the letterhead, like address and contact."""
    address: str
    contact: str
    made_up: bool
    kerf_m: float
    """Width of the saw cut [m]."""
    fabric_roll_m: float
    """Width of the roll [m]."""
    stock: tuple[StockPiece, ...]
    prices: tuple[Price, ...]
    rates: Rates
    lessons: tuple[Lesson, ...] = ()
    """What verified jobs taught."""
    model_learned: tuple[float, float] = (0.0, 1.0)
    """Mean and standard deviation that verified jobs say of the prediction's own error, in units of
    the one that is stated without them [1]."""
    scatter_learned: tuple[tuple[float, float], ...] = ()
    """Scattering coefficients, and how likely each is in the shop's next room by its verified jobs;
    empty where nothing is known [1]."""
    logo: Path | None = None
    """SVG or PNG file for the head of every document."""
    practice: ShopPractice = field(default_factory=ShopPractice)
    offcuts: tuple[Offcut, ...] = ()
    words: ShopWords = field(default_factory=ShopWords)
    looks: tuple[ShopLook, ...] = ()
    """What clients can choose from."""

    def piece(self, name: str) -> StockPiece:
        """The stock piece of that name; KeyError where there is none."""
        for piece in self.stock:
            if piece.name == name:
                return piece
        raise KeyError(name)
