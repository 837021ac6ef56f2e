"""What the shop cuts, buys, glues and hangs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from roomcheck.facts import Fact
from roomcheck.job import Offcut
from roomcheck.workshop.cutting.bars import CuttingPlan
from roomcheck.workshop.cutting.fabric import FabricRow
from roomcheck.workshop.cutting.sheets import Rip
from roomcheck.workshop.hanging.kinds import HangingCaution, Refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """So many equal parts.

    Attributes
    ----------
    part, stock : str
        What it is, and what it is cut from.
    count : int
    length_m, width_m : float
        Finished size. [m]
    note : str
    """

    part: str
    stock: str
    count: int
    length_m: float
    width_m: float
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockCount:
    """Blocks of one height.

    Attributes
    ----------
    height_m : float
        [m]
    cells, spares : int
        In all pieces of the sheet, and cut on top for splits and knots.
    """

    height_m: float
    cells: int
    spares: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SawSetup:
    """One setting of the stop: everything of this length, in one go.

    Attributes
    ----------
    stock : str
    parts : tuple of (piece, part, count)
        What is cut at this setting.
    stop_m : float
        From the blade's near side to the stop. [m]
    count : int
        All of them.
    """

    stock: str
    parts: tuple[tuple[str, str, int], ...]
    stop_m: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """A stretch of work.

    Attributes
    ----------
    name : str
    hours : Decimal
        At the bench.
    wait_hours : Decimal
        Until the next one may start.
    """

    name: str
    hours: Decimal
    wait_hours: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSheet:
    """How one kind of piece is built.

    Attributes
    ----------
    piece : str
    names : tuple of str
        The plan's pieces of this kind.
    cuts : tuple of Cut
        For all of them together, longest first.
    steps, cautions : tuple of str
    row_map : tuple of tuple of float
        Block diffusers: heights seen from the front, top row first; else empty. [m]
    weight_kg : float
        Of one, as the shop's file has it, and as it hangs. [kg]
    hours : Decimal
        To build all of them.
    made_kg : float or None
        Of one, worked out from its parts. [kg]
    depths_m : tuple of float
        Well diffusers: from the left, seen from the front. [m]
    tuned_hz : float or None
        Boxes: where the closed form puts their resonance. [Hz]
    blocks : tuple of BlockCount
        Block diffusers: tallest first.
    operations : tuple of Operation
        What the hours are spent on.
    pattern : str
        Diffusers: how the heights were made, enough to make them again.
    array_width_m, array_height_m : float or None
        Block diffusers: size of the laid blocks from the measured stick; the frame is made to it.
        [m]
    over_width_m, over_height_m : float or None
        What the array is larger than the piece's nominal size; negative where it is smaller. [m]
    outside_width_m, outside_height_m : float or None
        With the frame. [m]
    finish_m2 : float or None
        Area of one that takes a finish. [m2]
    works_from_hz, works_to_hz : float or None
        Diffusers: planning range. [Hz]
    diffusion : tuple of (band, coefficient)
        Diffusers: normalised directional diffusion coefficient, Fraunhofer model. ([Hz], [1])
    """

    piece: str
    names: tuple[str, ...]
    cuts: tuple[Cut, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    weight_kg: float
    hours: Decimal
    row_map: tuple[tuple[float, ...], ...] = ()
    blocks: tuple[BlockCount, ...] = ()
    operations: tuple[Operation, ...] = ()
    pattern: str = ""
    array_width_m: float | None = None
    array_height_m: float | None = None
    over_width_m: float | None = None
    over_height_m: float | None = None
    outside_width_m: float | None = None
    outside_height_m: float | None = None
    finish_m2: float | None = None
    works_from_hz: float | None = None
    works_to_hz: float | None = None
    diffusion: tuple[tuple[float, float], ...] = ()
    made_kg: float | None = None
    depths_m: tuple[float, ...] = ()
    tuned_hz: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """What to buy, in whole packs.

    Attributes
    ----------
    item, unit : str
    net, with_waste : Decimal
        Needed, and needed with waste. [unit]
    packs : int
    pack : Decimal
        Units a pack. [unit]
    cost : Decimal
    left : Decimal
        Goes back to stock. [unit]
    """

    item: str
    unit: str
    net: Decimal
    with_waste: Decimal
    packs: int
    pack: Decimal
    cost: Decimal
    left: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class HangingLine:
    """Where one piece hangs."""

    name: str
    piece: str
    face: str
    left_m: float
    """Left edge from the face's left corner [m]."""
    top_m: float
    """Top edge above the floor; on a ceiling the far edge [m]."""
    width_m: float
    """[m]"""
    height_m: float
    """[m]"""
    cleat_m: float | None
    """Bottom line of the wall cleat above the floor [m]."""
    studs_m: tuple[float, ...]
    """Studs or joists behind its cleat, from the left corner [m]."""
    cautions: tuple[Fact[HangingCaution], ...]
    cleat_left_m: float | None = None
    """Left end of the wall cleat from the face's left corner [m]."""
    cleat_length_m: float | None = None
    """[m]"""
    hook_m: float | None = None
    """From the hung piece's top down to the wall cleat's bottom line, as planned; measure it on the
    piece [m]."""
    freedom_m: float | None = None
    """How far the hung piece may slide to either side [m]."""
    right_m: float | None = None
    """Right edge to the face's right corner [m]."""
    off_centre_m: float | None = None
    """Middle of the piece right of the face's middle; negative is left [m]."""
    opening: str = ""
    """Door or window on its wall whose middle is nearest."""
    off_opening_m: float | None = None
    """Middle of the piece right of that opening's middle; negative is left [m]."""
    screws: int | None = None
    """Into wood framing, all together; None where none are planned."""
    screw: str = ""
    """Gauge; empty where no wood screws are planned."""
    screw_m: float | None = None
    """Length of the screw [m]."""
    into_wood_m: float | None = None
    """Depth that each reaches into the framing [m]."""
    load_ratio: float | None = None
    """Planning strength of the screws in shear over the piece's weight: below the practice's least
    it is refused. Never a rating [1]."""
    refused: tuple[Fact[Refusal], ...] = ()
    """Why it must not be hung like this; empty where nothing refuses it."""
    weight_kg: float = 0.0
    """[kg]"""
    people: int = 1
    """Who lift it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Pieces that hang beside each other with level tops."""

    face: str
    names: tuple[str, ...]
    """From the left."""
    left_m: float
    """Left corner to the first piece [m]."""
    gaps_m: tuple[float, ...]
    """Between the pieces [m]."""
    right_m: float
    """Last piece to the right corner [m]."""
    even_m: float | None = None
    """Gap with which all would be equal; None where they are, or do not fit so [m]."""
    even_lefts_m: tuple[float, ...] = ()
    """Left edges with that gap [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialPlan:
    """How one material of the whole job is cut.

    Attributes
    ----------
    item : str
    plan : CuttingPlan
        Bars with their parts.
    """

    item: str
    plan: CuttingPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPlan:
    """How the sheets of one material are ripped and crosscut.

    Attributes
    ----------
    item : str
    width_m, length_m : float
        Of one sheet. [m]
    sheets : int
    rips : tuple of Rip
    """

    item: str
    width_m: float
    length_m: float
    sheets: int
    rips: tuple[Rip, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FabricPlan:
    """How one fabric is cut off the roll.

    Attributes
    ----------
    item : str
    roll_m, length_m : float
        Width of the roll, and what comes off it. [m]
    rows : tuple of FabricRow
    """

    item: str
    roll_m: float
    length_m: float
    rows: tuple[FabricRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """One working day.

    Attributes
    ----------
    day : int
        From 1.
    place : str
        "shop" or "site".
    work : tuple of str
    hours : Decimal
    """

    day: int
    place: str
    work: tuple[str, ...]
    hours: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet:
    """Everything the shop and the installer need.

    Attributes
    ----------
    sheets : tuple of PieceSheet
    purchases : tuple of Purchase
    hanging : tuple of HangingLine
    build_hours, install_hours : Decimal
        Person-hours.
    weight_kg : float
        Of all pieces. [kg]
    cautions : tuple of str
    cutting : tuple of MaterialPlan
        Sticks and boards, pooled over all pieces.
    setups : tuple of SawSetup
        One ticket a setting of the stop, longest first for each stock.
    pick_list : tuple of str
        What goes on the van.
    days : tuple of DayPlan
    order : tuple of str
        Order of work on site.
    refusals : tuple of str
        Pieces that must not be hung as planned, each with its cure.
    panels : tuple of SheetPlan
    fabrics : tuple of FabricPlan
    leftovers : tuple of Offcut
        Long enough to go back on the rack.
    unpriced : tuple of str
        What is cut from stock that the price list does not have: not on the buy list.
    rows : tuple of str
        Pieces that hang beside each other, and how even their gaps are.
    """

    sheets: tuple[PieceSheet, ...]
    purchases: tuple[Purchase, ...]
    hanging: tuple[HangingLine, ...]
    build_hours: Decimal
    install_hours: Decimal
    weight_kg: float
    cautions: tuple[str, ...]
    cutting: tuple[MaterialPlan, ...] = ()
    setups: tuple[SawSetup, ...] = ()
    pick_list: tuple[str, ...] = ()
    days: tuple[DayPlan, ...] = ()
    order: tuple[str, ...] = ()
    refusals: tuple[str, ...] = ()
    panels: tuple[SheetPlan, ...] = ()
    fabrics: tuple[FabricPlan, ...] = ()
    leftovers: tuple[Offcut, ...] = ()
    unpriced: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
