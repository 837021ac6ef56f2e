"""The shop: what it builds, what that costs, and what it charges."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Literal

from roomcheck.job.model.kinds import ShopMaterial, UsedFor
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


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreFront:
    """What covers a core and takes part in how it absorbs.

    Attributes
    ----------
    kind : FrontKind
        Cloth that one can hardly blow through, a board with round holes, slats with slots, or a
        closed sheet.
    thickness_m, opening_m, open_share : float
        Of a board or of slats: thickness, width of a hole or slot, open share of the area. [m],
        [m], [1]
    mass_kg_m2, resistance_pa_s_m : float
        Of cloth or a sheet: weight, and of cloth its flow resistance. [kg/m2], [Pa s/m]
    """

    kind: FrontKind
    thickness_m: float = 0.0
    opening_m: float = 0.0
    open_share: float = 0.0
    mass_kg_m2: float = 0.0
    resistance_pa_s_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PorousCore:
    """The absorbing layer of a piece.

    Attributes
    ----------
    thickness_m, gap_m : float
        Of the layer, and of the air behind it. [m]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]
    front : CoreFront or None
        None for bare wool and for cloth that one can blow through easily.
    divided : bool
        Whether layer and gap are cut into cells.
    solid : bool
        Of a corner trap: wool to the very corner, not a slab with air behind it.
    """

    thickness_m: float
    gap_m: float
    flow_resistivity_pa_s_m2: float
    front: CoreFront | None = None
    divided: bool = False
    solid: bool = False


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
    """A piece the shop builds.

    Attributes
    ----------
    name : str
    kind : PieceKind
    width_m, height_m, depth_m : float
        Outside, gap included in the depth. [m]
    weight_kg : float
        [kg]
    mounts : tuple of Mount
    core : PorousCore or None
        None for diffusers.
    material : str or None
        Row of the materials table that gives its absorption where there is no core to compute it
        from.
    cell_m, steps_m : float, tuple of float
        Block and well diffusers: width of a cell or well, and the heights in use; boxes: `cell_m`
        is the width of a slat, or the pitch of the holes. [m]
    pattern : NumberPattern or None
        Diffusers: None draws block heights or takes the wells' own depths.
    seed : int
        Of a drawn pattern: same seed, same panel.
    fits : "array", "opening" or "core"
        Block diffusers: `width_m` and `height_m` are the blocks' own size, or an opening that holds
        blocks and frame. Panels: with "core" they are the size of an uncut core, and the frame goes
        round it.
    hole_m, front_m, fill_m : float
        Boxes: slot or hole, thickness of the slats, sheet or membrane, depth of the fill behind.
        [m]
    drawn : bool
        True where what is cut is bought as drawn, and `needs` give the rest alone.
    build_hours, install_hours : Decimal
        Per piece.
    needs : tuple of Need
    turns : bool
        True where it may hang either way round.
    learned : tuple of (band_hz, mean, sd)
        What verified jobs say of the natural logarithm of its absorption over the computed one.
        [Hz], [log], [log]
    fire_papers : str
        Which papers on its reaction to fire the shop holds, as they call themselves; empty where
        there are none.
    """

    name: str
    kind: PieceKind
    width_m: float
    height_m: float
    depth_m: float
    weight_kg: float
    mounts: tuple[Mount, ...]
    core: PorousCore | None
    material: str | None
    build_hours: Decimal
    install_hours: Decimal
    needs: tuple[Need, ...]
    cell_m: float = 0.0
    steps_m: tuple[float, ...] = ()
    turns: bool = True
    learned: tuple[tuple[float, float, float], ...] = ()
    pattern: NumberPattern | None = None
    seed: int = 7
    fits: Fits = "array"
    hole_m: float = 0.0
    front_m: float = 0.0
    fill_m: float = 0.0
    drawn: bool = False
    fire_papers: str = ""

    @property
    def diffuser(self) -> bool:
        """Whether it scatters by wells or blocks."""
        return self.kind in DIFFUSERS


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherLength:
    """Another length that a stick or board is sold in.

    Attributes
    ----------
    length_m : float
        [m]
    price : Decimal
        For one.
    """

    length_m: float
    price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """What lies on the rack.

    Attributes
    ----------
    item : str
        A name of the price list.
    length_m : float
        [m]
    count : int
    """

    item: str
    length_m: float
    count: int = 1


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What the shop charges.

    Attributes
    ----------
    hour : Decimal
        Burdened cost of an hour.
    margin_pct : Decimal
        Of the price, not of the cost. [%]
    contingency_pct, tax_pct : Decimal
        [%]
    travel, consumables, disposal, subcontract, survey_fee, minimum_job : Decimal
        A job.
    survey_hours, verify_hours : Decimal
    valid_days : int
    deposit_pct, delivery_pct : Decimal
        Due on acceptance and on delivery, the rest at sign-off. [%]
    taxed : tuple of TaxedLine
        Which of the client's lines carry tax: the place's rules say which.
    tax_rounding : "net" or "lines"
        Tax on the taxed sum, rounded once, or rounded on every line.
    retainage_pct : Decimal
        Held back on invoices until the punch list is done. [%]
    terms : str
        When and how an invoice is paid, as printed on it.
    bench_hours_week, lead_weeks : Decimal
        Hours that go into building in a week; weeks from the order of fabric and wool to the first
        cut.
    """

    hour: Decimal
    margin_pct: Decimal
    contingency_pct: Decimal
    tax_pct: Decimal
    travel: Decimal
    consumables: Decimal
    survey_fee: Decimal
    minimum_job: Decimal
    survey_hours: Decimal
    verify_hours: Decimal
    valid_days: int
    deposit_pct: Decimal
    delivery_pct: Decimal = Decimal(40)
    disposal: Decimal = Decimal(0)
    subcontract: Decimal = Decimal(0)
    taxed: tuple[TaxedLine, ...] = ("pieces", "installation", "measuring", "allowance")
    tax_rounding: Literal["net", "lines"] = "net"
    retainage_pct: Decimal = Decimal(0)
    terms: str = ""
    bench_hours_week: Decimal = Decimal(30)
    lead_weeks: Decimal = Decimal(2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one kind of piece did in a job.

    Attributes
    ----------
    piece : str
        Name of the stock piece.
    count : int
    pull : tuple of float
        Per band, how the decay moves with its absorption: d ln T / d ln A, below 0. [1]
    prior : tuple of float
        Per band, standard uncertainty of the natural logarithm of the computed absorption. [log]
    """

    piece: str
    count: int
    pull: tuple[float, ...]
    prior: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What one verified job says.

    Attributes
    ----------
    job : str
        Name of its folder.
    day : str
        Of the visit after the work, ISO 8601.
    bands_hz : tuple of float
        [Hz]
    off : tuple of float
        Natural logarithm of measured over predicted decay, every piece taken as computed. [log]
    spread : tuple of float
        Standard uncertainty of that from everything but the pieces: room, formula, measurement.
        [log]
    shares : tuple of Share
    """

    job: str
    day: str
    bands_hz: tuple[float, ...]
    off: tuple[float, ...]
    spread: tuple[float, ...]
    shares: tuple[Share, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The contractor's own file.

    Attributes
    ----------
    name, address, contact : str
        As on the letterhead.
    made_up : bool
    kerf_m : float
        Width of the saw cut. [m]
    fabric_roll_m : float
        [m]
    stock : tuple of StockPiece
    prices : tuple of Price
    rates : Rates
    lessons : tuple of Lesson
        What verified jobs taught.
    logo : Path or None
        SVG or PNG file for the head of every document.
    practice : Practice
    offcuts : tuple of Offcut
    """

    name: str
    address: str
    contact: str
    made_up: bool
    kerf_m: float
    fabric_roll_m: float
    stock: tuple[StockPiece, ...]
    prices: tuple[Price, ...]
    rates: Rates
    lessons: tuple[Lesson, ...] = ()
    logo: Path | None = None
    practice: ShopPractice = field(default_factory=ShopPractice)
    offcuts: tuple[Offcut, ...] = ()

    def piece(self, name: str) -> StockPiece:
        """The stock piece of that name; KeyError where there is none."""
        for piece in self.stock:
            if piece.name == name:
                return piece
        raise KeyError(name)
