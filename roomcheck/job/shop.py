"""The shop: what it builds, what that costs, and what it charges."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

PieceKind = Literal[
    "panel",
    "cloud",
    "felt",
    "corner",
    "slatted resonator",
    "perforated resonator",
    "membrane trap",
    "well diffuser",
    "block diffuser",
]
Mount = Literal["wall", "ceiling", "corner"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PorousCore:
    """The absorbing layer of a piece.

    Attributes
    ----------
    thickness_m, gap_m : float
        Of the layer, and of the air behind it. [m]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]
    """

    thickness_m: float
    gap_m: float
    flow_resistivity_pa_s_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Resonator:
    """A closed cavity behind slats, a board with holes, or a membrane; the piece's kind says which.

    Attributes
    ----------
    cavity_m : float
        Depth of the air behind the front, filling included. [m]
    thickness_m : float
        Of the slats or the board; 0 for a membrane. [m]
    opening_m, pitch_m : float
        Width of a slit or diameter of a hole, and from one to the next; 0 for a membrane. [m]
    mass_kg_m2 : float
        Of a membrane; 0 for the others. [kg/m2]
    fill_m, flow_resistivity_pa_s_m2 : float
        Porous layer in the cavity, against the front; 0 where it is empty. [m] [Pa s/m2]
    """

    cavity_m: float
    thickness_m: float = 0.0
    opening_m: float = 0.0
    pitch_m: float = 0.0
    mass_kg_m2: float = 0.0
    fill_m: float = 0.0
    flow_resistivity_pa_s_m2: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """So much of a bought material in one piece, before waste."""

    item: str
    amount: float


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
        None for diffusers and resonators.
    material : str or None
        Row of the materials table that gives its absorption where there is no core to compute it from.
    cell_m, steps_m : float, tuple of float
        Block and well diffusers: width of a cell or well, and the heights in use. [m]
    build_hours, install_hours : Decimal
        Per piece.
    needs : tuple of Need
    turns : bool
        True where it may hang either way round.
    resonator : Resonator or None
    fire_papers : str
        Which papers on its reaction to fire the shop holds, as they call themselves; empty where there are none.
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
    resonator: Resonator | None = None
    fire_papers: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What a material is bought for.

    Attributes
    ----------
    item, unit : str
    pack : Decimal
        Units in the smallest pack on sale.
    price : Decimal
        For one pack.
    waste_pct : Decimal
        Allowed on top of the net amount. [%]
    """

    item: str
    unit: str
    pack: Decimal
    price: Decimal
    waste_pct: Decimal


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
    travel, consumables, survey_fee, minimum_job : Decimal
    survey_hours, verify_hours : Decimal
    valid_days : int
    deposit_pct : Decimal
        [%]
    bench_hours_week : Decimal
        Hours that go into building in a week.
    lead_weeks : Decimal
        From the order of fabric and wool to the first cut.
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
    bench_hours_week: Decimal = Decimal(30)
    lead_weeks: Decimal = Decimal(2)


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

    def piece(self, name: str) -> StockPiece:
        """The stock piece of that name; KeyError where there is none."""
        for piece in self.stock:
            if piece.name == name:
                return piece
        raise KeyError(name)
