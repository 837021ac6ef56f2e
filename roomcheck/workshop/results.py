"""What the shop cuts, buys, glues and hangs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from roomcheck.facts import Fact
from roomcheck.job import FramingKind, Offcut, ShopMaterial, UsedFor
from roomcheck.workshop.cutting.bars import CuttingPlan
from roomcheck.workshop.cutting.fabric import FabricRow
from roomcheck.workshop.cutting.sheets import Rip, SheetOffcut
from roomcheck.workshop.hanging_kinds import FixingKind, HangingCaution, Refusal
from roomcheck.workshop.kinds import Caution, Note, Packing, Part, Pattern, SiteStep, Step, Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a part is cut from."""

    material: ShopMaterial
    item: str = ""
    """Name in the price list; empty where the shop has no price for it."""
    thickness_m: float | None = None
    """[m]"""
    width_m: float | None = None
    """Of one sheet or board [m]."""
    length_m: float | None = None
    """Of one sheet or board [m]."""
    density_kg_m3: float | None = None
    """None takes the practice's [kg/m3]."""
    mass_kg_m2: float | None = None
    """Of fabric; None takes the practice's [kg/m2]."""
    used_for: UsedFor | None = None
    into: FramingKind | None = None
    """Of a screw or anchor: what it is made to hold in."""
    gauge: str = ""
    """Of a screw; `length_m` is its length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """So many equal parts."""

    part: Part
    stock: Stock
    count: int
    length_m: float
    """Finished length; of a sheet's or roll's part the longer side [m]."""
    width_m: float
    """Finished width [m]."""
    note: Fact[Note] | None = None
    in_line: bool = False
    """One of several in line that make a part longer than its stock."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """One part in its place in a piece: a box, from the lower left corner of the piece's back.

    Bevels and mitres are drawn as the box round them.
    """

    part: Part
    at_m: tuple[float, float, float]
    """Its corner: to the right, up, out of the wall [m]."""
    size_m: tuple[float, float, float]
    """[m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockCount:
    """Blocks of one height."""

    height_m: float
    """[m]"""
    cells: int
    """In all pieces of the sheet."""
    spares: int
    """Cut on top for splits and knots."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SawSetup:
    """One setting of the stop: everything of this length, in one go."""

    stock: str
    parts: tuple[tuple[str, Part, int], ...]
    """Piece, part and how many, of all that is cut at this setting."""
    stop_m: float
    """From the blade's near side to the stop [m]."""
    count: int
    """All of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """A stretch of work."""

    work: Fact[Work]
    hours: Decimal
    """At the bench [h]."""
    wait_hours: Decimal = Decimal(0)
    """Until the next one may start [h]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPanel:
    """How one of several block panels is laid from the rows of one map, or the wells of one of
    several well diffusers from those of the first."""

    name: str
    rows: tuple[int, ...]
    """Numbers of the map's rows from the top down, of the wells from the left, from 1; each of them
    once."""
    mirrored: bool
    """Whether every row is read from right to left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSheet:
    """How one kind of piece is built."""

    piece: str
    names: tuple[str, ...]
    """The plan's pieces of this kind."""
    cuts: tuple[Cut, ...]
    """For all of them together, longest first."""
    steps: tuple[Fact[Step], ...]
    cautions: tuple[Fact[Caution], ...]
    weight_kg: float
    """Of one, as the shop's file has it, and as it hangs [kg]."""
    hours: Decimal
    """To build all of them [h]."""
    row_map: tuple[tuple[float, ...], ...] = ()
    """Block diffusers: heights seen from the front, top row first; else empty [m]."""
    blocks: tuple[BlockCount, ...] = ()
    """Block diffusers: tallest first."""
    laid: tuple[LaidPanel, ...] = ()
    """Block and well diffusers of more than one: how each is laid, so that they run on as one
    pattern."""
    operations: tuple[Operation, ...] = ()
    """What the hours are spent on."""
    pattern: Fact[Pattern] | None = None
    """Diffusers: how the heights were made, enough to make them again."""
    array_width_m: float | None = None
    """Block diffusers: width of the laid blocks from the measured stick; the frame is made to it
    [m]."""
    array_height_m: float | None = None
    """[m]"""
    over_width_m: float | None = None
    """By how much the array is wider than the piece's nominal size; negative where narrower [m]."""
    over_height_m: float | None = None
    """[m]"""
    outside_width_m: float | None = None
    """With the frame [m]."""
    outside_height_m: float | None = None
    """With the frame [m]."""
    finish_m2: float | None = None
    """Area of one that takes a finish [m2]."""
    works_from_hz: float | None = None
    """Diffusers: lower end of the planning range [Hz]."""
    works_to_hz: float | None = None
    """Diffusers: upper end of the planning range [Hz]."""
    diffusion: tuple[tuple[float, float], ...] = ()
    """Diffusers: band, and normalised directional diffusion coefficient, Fraunhofer model
    ([Hz], [1])."""
    made_kg: float | None = None
    """Weight of one, worked out from its parts [kg]."""
    depths_m: tuple[float, ...] = ()
    """Well diffusers: from the left, seen from the front [m]."""
    finish_l: float = 0.0
    """For one, all coats, as its steps say [l]."""
    solids: tuple[Solid, ...] = ()
    """The parts of one in their places, upright as the shop's file has it; empty for a stack of
    triangles."""
    tuned_hz: float | None = None
    """Boxes: where the closed form puts their resonance [Hz]."""

    @property
    def letters(self) -> tuple[str, ...]:
        """A letter for each cut, in their order: A to Z, then AA, AB, …; equal parts that only
        stand elsewhere share one."""
        names: dict[tuple[object, ...], str] = {}
        return tuple(names.setdefault(_alike(cut), letter(len(names))) for cut in self.cuts)

    def letter_of(self, solid: Solid) -> str:
        """Letter of the cut that a part in space comes from; empty for one that is not cut."""
        same = [i for i, cut in enumerate(self.cuts) if cut.part is solid.part]
        if not same:
            return ""
        sides = sorted(solid.size_m)
        return self.letters[min(same, key=lambda i: _off_m(self.cuts[i], sides))]


def _alike(cut: Cut) -> tuple[object, ...]:
    """What makes two cuts the same part."""
    note = None if cut.note is None else cut.note.kind
    return cut.part, cut.stock, cut.length_m, cut.width_m, note, cut.in_line


def letter(number: int) -> str:
    """A part's letter by its number from 0.

    >>> letter(0), letter(25), letter(26), letter(52)
    ('A', 'Z', 'AA', 'BA')
    """
    tens, ones = divmod(number, 26)
    return (chr(ord("A") + tens - 1) if tens else "") + chr(ord("A") + ones)


def _off_m(cut: Cut, sides_m: list[float]) -> float:
    """How far a cut's two larger sides are off those of a part in space. [m]"""
    own = sorted((cut.length_m, cut.width_m))
    usual = sum(abs(a - b) for a, b in zip(own, sides_m[1:], strict=True))
    # A block is cut from a stick, so its two larger sides need not be its length and width.
    least = min(abs(cut.length_m - side) for side in sides_m)
    return least if cut.part is Part.BLOCK else usual


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """What to buy, in whole packs."""

    item: str
    unit: str
    net: Decimal
    """Needed [unit]."""
    with_waste: Decimal
    """Needed with waste [unit]."""
    packs: int
    pack: Decimal
    """Units a pack [unit]."""
    cost: Decimal
    left: Decimal
    """Goes back to stock [unit]."""
    reserve: int = 0
    """Packs to take along for knots, bow and splits, and to bring back: not in the cost."""
    supplier: str = ""
    """Where it is bought; "" where the price list does not say."""
    material: ShopMaterial = ShopMaterial.UNKNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """One long wall cleat for pieces of a row that do not meet their studs."""

    name: str
    """R1."""
    names: tuple[str, ...]
    """Of the pieces on it, from the left."""
    left_m: float
    """Left end from the face's left corner [m]."""
    length_m: float
    """[m]"""
    at_m: float
    """Its bottom line above the floor [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceFixing:
    """What fixes a cleat, a rail, a lift point or the strip of a corner piece to a face."""

    face: str
    fixing: FixingKind
    count: int
    screw: str = ""
    """Gauge of a wood screw."""
    screw_m: float | None = None
    """Its length [m]."""


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
    rail: Rail | None = None
    """What it hangs on together with others, in place of a wall cleat of its own; screws stand in
    the line of its first piece."""
    into_wood_m: float | None = None
    """Depth that each reaches into the framing [m]."""
    per_stud: int | None = None
    """Screws in each of its studs; None where none are planned."""
    load_ratio: float | None = None
    """Planning strength over load of the screw that is loaded most, weight, turning moment and
    pull together: below the practice's least it is refused. Never a rating [1]."""
    counted_kg: float | None = None
    """Weight that the ratio counts with: the heavier of the file's and the drawn parts', and the
    wall cleat [kg]."""
    moved_m: float = 0.0
    """How far right of the plan's drawing it hangs, to meet its studs; negative is left [m]."""
    beside: str = ""
    """Of a corner piece, the other wall that it takes."""
    beside_left_m: float | None = None
    """Its left edge on that wall; it ends at the corner [m]."""
    strips: tuple[FaceFixing, ...] = ()
    """Of a corner piece: what fixes its strip on either wall."""
    fixing: FixingKind | None = None
    """None where nothing is planned, or glue."""
    fixings: int = 0
    """Screws, anchors or hanging sets, all together."""
    lift_points: tuple[tuple[float, float], ...] = ()
    """Overhead: where each hanging set goes into the structure, from the left and from the near
    edge of the face [m]."""
    tethers: tuple[tuple[float, float], ...] = ()
    """Overhead: where each safety wire goes into the structure, likewise [m]."""
    depth_m: float = 0.0
    """From the face to the piece's front; overhead to its underside [m]."""
    drop_m: float | None = None
    """Overhead: from the ceiling down to the top of the frame [m]."""
    refused: tuple[Fact[Refusal], ...] = ()
    """Why it must not be hung like this; empty where nothing refuses it."""
    weight_kg: float = 0.0
    """[kg]"""
    people: int = 1
    """Who lift it."""

    @property
    def all_fixings(self) -> tuple[FaceFixing, ...]:
        """Everything that is screwed or anchored, by the face that it goes into."""
        if self.fixing is None:
            return self.strips
        own = FaceFixing(
            face=self.face,
            fixing=self.fixing,
            count=self.fixings,
            screw=self.screw,
            screw_m=self.screw_m,
        )
        return own, *self.strips

    @property
    def begins_rail(self) -> bool:
        """Whether it is the first piece of its rail."""
        return self.rail is not None and self.rail.names[0] == self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class HangingRow:
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
    """Gap with which all would be equal, to the nearest mark; None where they are, or do not fit
    so [m]."""
    even_lefts_m: tuple[float, ...] = ()
    """Left edges with that gap [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialPlan:
    """How one material of the whole job is cut: bars with their parts."""

    item: str
    plan: CuttingPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPlan:
    """How the sheets of one material are ripped and crosscut."""

    item: str
    width_m: float
    """Of one sheet [m]."""
    length_m: float
    """Of one sheet [m]."""
    sheets: int
    rips: tuple[Rip, ...]
    left: tuple[SheetOffcut, ...] = ()
    """Rectangles that are large enough to go back on the rack."""
    from_rack: tuple[tuple[float, float], ...] = ()
    """Offcuts that are cut up, width and length, in the order of their numbers [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FabricPlan:
    """How one fabric is cut off the roll."""

    item: str
    roll_m: float
    """Width of the roll [m]."""
    length_m: float
    """What comes off it [m]."""
    rows: tuple[FabricRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Work of one day on one kind of piece."""

    work: Fact[Work]
    hours: Decimal
    """[h]"""
    piece: str = ""
    """Empty for work on all of them."""
    partly: bool = False
    """The rest of it falls on another day."""
    wait_hours: Decimal = Decimal(0)
    """Until the next work on it may start: glue or finish dries [h]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """One working day."""

    day: int
    """From 1."""
    place: Literal["shop", "site"]
    work: tuple[Task, ...]
    hours: Decimal
    """[h]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet:
    """Everything the shop and the installer need."""

    sheets: tuple[PieceSheet, ...]
    purchases: tuple[Purchase, ...]
    hanging: tuple[HangingLine, ...]
    build_hours: Decimal
    """Person-hours in the shop [h]."""
    install_hours: Decimal
    """Person-hours on site [h]."""
    weight_kg: float
    """Of all pieces [kg]."""
    cautions: tuple[Fact[Caution], ...]
    """For the whole job; what must not be hung, `refusals` names."""
    cutting: tuple[MaterialPlan, ...] = ()
    """Sticks and boards, pooled over all pieces."""
    setups: tuple[SawSetup, ...] = ()
    """One ticket a setting of the stop, longest first for each stock."""
    pick_list: tuple[Fact[Packing], ...] = ()
    """What goes on the van."""
    days: tuple[DayPlan, ...] = ()
    order: tuple[Fact[SiteStep], ...] = ()
    """Order of work on site."""
    panels: tuple[SheetPlan, ...] = ()
    fabrics: tuple[FabricPlan, ...] = ()
    leftovers: tuple[Offcut, ...] = ()
    """Long enough to go back on the rack."""
    unpriced: tuple[Stock, ...] = ()
    """What is cut from stock that the price list does not have: not on the buy list."""
    rows: tuple[HangingRow, ...] = ()
    """Pieces that hang beside each other, and how even their gaps are."""
    jigs: tuple[Cut, ...] = ()
    """Made from offcuts before the first piece; not bought."""

    @property
    def rails(self) -> tuple[Rail, ...]:
        """Every rail once."""
        return tuple(dict.fromkeys(line.rail for line in self.hanging if line.rail is not None))

    @property
    def refusals(self) -> tuple[str, ...]:
        """Names of the pieces that must not be hung as planned; their lines say why."""
        return tuple(line.name for line in self.hanging if line.refused)
