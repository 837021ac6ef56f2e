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
RunsLong = Literal["long", "short"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopPractice:
    """Settings of the bench, the saw and the wall.

    Attributes
    ----------
    board_m, backing_m, cleat_m, fin_m : float
        Thickness of frame boards, of a diffuser's backing, of cleats, of the fins between wells.
        [m]
    cleat_width_m : float
        Long face of a cleat: two staggered rows of screws need 3-1/2 in. [m]
    clearance_m : float
        Between the array or core and its frame, each side. [m]
    corner : "butt" or "mitre"
    runs_long : "long" or "short"
        Butt corners: which boards overlap the others, by two thicknesses.
    stock_m : tuple of float
        Lengths that sticks and boards are sold in where the price list does not say. [m]
    sheet_m : tuple of float
        Width and length of a sheet of plywood. [m]
    trim_m, hold_m : float
        Cut off each end of a stick or board; shortest remainder that stays in the clamp. [m]
    offcut_m : float
        A leftover from this length goes back on the rack. [m]
    spare_pct, spare_least : int
        Blocks on top per height. [%], and at least so many.
    stick_m : float or None
        Section of the stick as measured over many side by side; None takes the nominal cell. [m]
    moisture_points : float
        Change of wood moisture the panel must live through. [% points]
    wrap_m, selvedge_m : float
        Fabric behind each edge; lost on the roll's width. [m]
    nap : bool
        True where the fabric has a nap or a pattern: it is not turned on the roll.
    core_board_m : tuple of float
        Width and length of a core board as sold. [m]
    wood_kg_m3, plywood_kg_m3, core_kg_m3, cloth_kg_m2 : float
        Weights of spruce-pine-fir, plywood, mineral wool, fabric: to work out what a piece weighs.
        [kg/m3], [kg/m2]
    coats : int
    coverage_m2_l : float
        Of the finish, one coat on smooth wood; the can says. [m2/l]
    end_grain : float
        How many times as much end grain drinks. [1]
    screw_m, screw : float, str
        Wall screw: length and gauge ("#8", "#10" or "#12"). [m]
    screws_per_stud : int
    least_ratio : float
        Planning strength over weight below which a piece is refused.
    freedom_m : float
        Wall cleat shorter than the piece's inside width by twice this, so that the piece can slide.
        [m]
    lift_m : float
        Free height above a hung piece, to lift it onto its cleat. [m]
    two_people_kg, engineer_kg, engineer_kg_m2 : float
        From here two people lift; from here a licensed person decides. [kg], [kg], [kg/m2]
    day_hours : Decimal
        Work in a day.
    shares : tuple of (kind, operations)
        The shop's own split of a piece's hours: for each kind, (name, share [%], wait [h]); where a
        kind is not named, the trade's usual split.
    """

    board_m: float = 0.75 * M_PER_IN
    backing_m: float = 0.5 * M_PER_IN
    cleat_m: float = 0.75 * M_PER_IN
    fin_m: float = 0.25 * M_PER_IN
    cleat_width_m: float = 3.5 * M_PER_IN
    clearance_m: float = M_PER_IN / 16
    corner: Corner = "butt"
    runs_long: RunsLong = "long"
    stock_m: tuple[float, ...] = (96 * M_PER_IN,)
    sheet_m: tuple[float, float] = (48 * M_PER_IN, 96 * M_PER_IN)
    trim_m: float = M_PER_IN / 4
    hold_m: float = 6 * M_PER_IN
    offcut_m: float = 12 * M_PER_IN
    spare_pct: int = 10
    spare_least: int = 4
    stick_m: float | None = None
    moisture_points: float = 6.0
    wrap_m: float = 2 * M_PER_IN
    selvedge_m: float = M_PER_IN
    nap: bool = False
    core_board_m: tuple[float, float] = (24 * M_PER_IN, 48 * M_PER_IN)
    wood_kg_m3: float = 448.5
    plywood_kg_m3: float = 577.0
    core_kg_m3: float = 48.0
    cloth_kg_m2: float = 0.3
    coats: int = 2
    coverage_m2_l: float = 9.8
    end_grain: float = 1.5
    screw_m: float = 2.5 * M_PER_IN
    screw: str = "#10"
    screws_per_stud: int = 2
    least_ratio: float = 4.0
    freedom_m: float = 2 * M_PER_IN
    lift_m: float = M_PER_IN
    two_people_kg: float = 22.7
    engineer_kg: float = 34.0
    engineer_kg_m2: float = 24.4
    day_hours: Decimal = Decimal(7)
    shares: tuple[tuple[str, tuple[tuple[str, Decimal, Decimal], ...]], ...] = ()
