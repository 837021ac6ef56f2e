"""How a small shop works: every planning value of the building stage, as a setting with a default.

All of it is common practice of the trade unless a line says otherwise; a shop learns its own and
writes it under `[practice]` in shop.toml.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from roomcheck.units import M_PER_IN

Corner = Literal["butt", "mitre"]
RunsLong = Literal["long", "short", "cheaper"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopPractice:
    """Settings of the bench, the saw and the wall."""

    board_m: float = 0.75 * M_PER_IN
    """Thickness of frame boards [m]."""
    backing_m: float = 0.5 * M_PER_IN
    """Thickness of a diffuser's backing [m]."""
    cleat_m: float = 0.75 * M_PER_IN
    """Thickness of cleats [m]."""
    fin_m: float = 0.25 * M_PER_IN
    """Thickness of the fins between wells [m]."""
    cleat_width_m: float = 3.5 * M_PER_IN
    """Long face of a cleat: two staggered rows of screws need 3-1/2 in [m]."""
    clearance_m: float = M_PER_IN / 16
    """Between the array or core and its frame, each side [m]."""
    corner: Corner = "butt"
    runs_long: RunsLong = "cheaper"
    """Butt corners: which boards overlap the others, by two thicknesses; "cheaper" tries both for
    every kind of piece and takes what costs the job less."""
    stock_m: tuple[float, ...] = (96 * M_PER_IN,)
    """Lengths that sticks and boards are sold in where the price list does not say [m]."""
    sheet_m: tuple[float, float] = (48 * M_PER_IN, 96 * M_PER_IN)
    """Width and length of a sheet of plywood [m]."""
    trim_m: float = M_PER_IN / 4
    """Cut off each end of a stick or board [m]."""
    hold_m: float = 6 * M_PER_IN
    """Shortest remainder that stays in the clamp [m]."""
    offcut_m: float = 12 * M_PER_IN
    """A leftover from this length on goes back on the rack [m]."""
    spare_pct: int = 10
    """Blocks on top, of each height [%]."""
    spare_least: int = 4
    """Blocks on top of each height, at least."""
    stick_m: float | None = None
    """Section of the stick as measured over many side by side; None takes the nominal cell [m]."""
    moisture_points: float = 6.0
    """Change of wood moisture that the panel must live through [% points]."""
    wrap_m: float = 2 * M_PER_IN
    """Fabric behind each edge [m]."""
    selvedge_m: float = M_PER_IN
    """Lost on the roll's width [m]."""
    nap: bool = False
    """Whether the fabric has a nap or a pattern, and is not turned on the roll."""
    core_board_m: tuple[float, float] = (24 * M_PER_IN, 48 * M_PER_IN)
    """Width and length of a core board as sold [m]."""
    wood_kg_m3: float = 448.5
    """Density of spruce-pine-fir [kg/m3]."""
    plywood_kg_m3: float = 577.0
    """Density of plywood [kg/m3]."""
    core_kg_m3: float = 48.0
    """Density of mineral wool [kg/m3]."""
    cloth_kg_m2: float = 0.3
    """Weight of fabric [kg/m2]."""
    coats: int = 2
    """Coats of the finish."""
    coverage_m2_l: float = 9.8
    """Of the finish, one coat on smooth wood; the can says [m2/l]."""
    end_grain: float = 1.5
    """How many times as much end grain drinks as the face [1]."""
    screw_m: float = 2.5 * M_PER_IN
    """Length of a wall screw [m]."""
    screw: str = "#10"
    """Gauge of a wall screw: "#8", "#10" or "#12"."""
    screws_per_stud: int = 2
    """At the least: a third is planned where two are too few."""
    anchor_hours: Decimal = Decimal("0.1")
    """To drill and set one anchor where there is no wood, a planning value [h]."""
    rail_hours: Decimal = Decimal("0.25")
    """A piece on a rail: its share of ripping and fixing the rail, and the notches in its frame, a
    planning value [h]."""
    least_ratio: float = 4.0
    """Planning strength over weight below which a piece is refused [1]."""
    freedom_m: float = 2 * M_PER_IN
    """The wall cleat is shorter than the piece's inside width by twice this, so that the piece can
    slide [m]."""
    lift_m: float = M_PER_IN
    """Free height above a hung piece, to lift it onto its cleat [m]."""
    two_people_kg: float = 22.7
    """From this weight on two people lift [kg]."""
    engineer_kg: float = 34.0
    """From this weight on a licensed person decides [kg]."""
    engineer_kg_m2: float = 24.4
    """From this load of a face on a licensed person decides [kg/m2]."""
    day_hours: Decimal = Decimal(7)
    """Work in a day [h]."""
    shares: tuple[tuple[str, tuple[tuple[str, Decimal, Decimal], ...]], ...] = ()
    """The shop's own split of a piece's hours: for each kind, (name, share [%], wait [h]); where a
    kind is not named, the trade's usual split."""
