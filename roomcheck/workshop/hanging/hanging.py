"""Where each piece hangs: lines, studs, cleats, screws, and what forbids it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import FramingKind, Job, Placement, ShopPractice, StockPiece
from roomcheck.units import KG_PER_LB, M_PER_IN
from roomcheck.workshop.hanging.collisions import collisions, nearest_opening, true_place
from roomcheck.workshop.hanging.screws import SCREWS, into_wood_m, load_ratio, shear_per_screw_n
from roomcheck.workshop.hanging_kinds import HangingCaution, Refusal
from roomcheck.workshop.results import HangingLine

CABLES_M = 1.25 * M_PER_IN
"""Electrical codes set cables in bored studs back this far, as the trade quotes them: no screw goes
deeper. [m]"""
STANDS_OUT_M = 4 * M_PER_IN
"""How far a front edge at head height may stand out: accessibility guide on protruding objects,
307.2, as quoted by the trade. [m]"""
HEAD_HEIGHT_M = (27 * M_PER_IN, 80 * M_PER_IN)
"""From where to where that holds, above the floor; same source. [m]"""
_EDGE_M = M_PER_IN
"""Kept free between a cleat's end and its outermost screw. [m]"""
_DIAMETERS = 6
"""Least depth of a wood screw in framing, in its diameters. [1]"""
_TAPE_M = 0.0005
"""What no tape shows: 12.5 mm boards stand for 1/2 in, 32 mm for 1-1/4 in. [m]"""
_FELT_KG = 12 * KG_PER_LB
"""Heaviest piece that adhesive or pins hold (common practice). [kg]"""


def hanging_lines(
    job: Job,
    placed: Sequence[Placement],
    pieces: Sequence[StockPiece],
    outside_m: Sequence[tuple[float, float]],
    practice: ShopPractice,
) -> tuple[HangingLine, ...]:
    """Give the installer a line for each piece.

    A piece whose frame makes it larger than the plan drew it hangs round the same middle, and is
    checked against its neighbours and the zones to keep clear.

    Raises
    ------
    KeyError
        The plan names a face that the room does not have.
    """
    places = [true_place(p.place, size) for p, size in zip(placed, outside_m, strict=True)]
    lines = []
    for i, (placement, piece) in enumerate(zip(placed, pieces, strict=True)):
        line = _Hanging(job, placement, places[i], piece, practice).line()
        if places[i] != placement.place:
            others = _others(placed, places, i)
            hits = collisions(job, placement, places[i], others)
            line = replace(line, refused=(*hits, *line.refused))
        lines.append(line)
    return tuple(lines)


def _others(
    placed: Sequence[Placement], places: Sequence[Rectangle], i: int
) -> list[tuple[str, Rectangle]]:
    """The other pieces on the same face."""
    face = placed[i].face
    return [
        (other.name, places[j]) for j, other in enumerate(placed) if j != i and other.face == face
    ]


def hook_m(practice: ShopPractice) -> float:
    """From a hung piece's top to the bottom line of its wall cleat, by drawing. [m]

    The piece's cleat sits under the frame's top board; both cleats have a 45-degree bevel and mate
    over its whole depth, so the wall cleat ends its own long face less one thickness below the
    point of the piece's cleat.
    """
    return practice.board_m + 2 * practice.cleat_width_m - practice.cleat_m


@dataclass(frozen=True)
class _Cleat:
    left_m: float
    length_m: float
    studs_m: tuple[float, ...]


class _Hanging:
    """One piece on one face."""

    def __init__(
        self,
        job: Job,
        placed: Placement,
        place: Rectangle,
        piece: StockPiece,
        practice: ShopPractice,
    ) -> None:
        self.job, self.placed, self.place = job, placed, place
        self.piece, self.practice = piece, practice
        self.face: Face = job.room.face(placed.face)
        self.rule = job.fixing_of(placed.face)
        self.framing = job.framing_of(placed.face)
        self.cautions: list[Fact[HangingCaution]] = []
        self.refused: list[Fact[Refusal]] = []

    def line(self) -> HangingLine:
        if self.face.kind == "ceiling":
            line = self.overhead()
        elif self.piece.kind == "felt":
            line = self.felt()
        elif self.piece.kind in ("corner", "corner stack"):
            line = self.corner()
        else:
            line = self.wall()
        return replace(line, cautions=tuple(self.cautions), refused=tuple(self.refused))

    def caution(self, kind: HangingCaution, **values: object) -> None:
        self.cautions.append(fact(kind, **values))  # type: ignore[arg-type]

    def refuse(self, kind: Refusal, **values: object) -> None:
        self.refused.append(fact(kind, **values))  # type: ignore[arg-type]

    def placed_line(self) -> HangingLine:
        """The line with its place alone."""
        place, weight_kg = self.place, self.piece.weight_kg
        opening, off_m = nearest_opening(self.job, self.face.name, place)
        two = weight_kg >= self.practice.two_people_kg or self.face.kind == "ceiling"
        return HangingLine(
            name=self.placed.name,
            piece=self.placed.piece,
            face=self.face.name,
            left_m=place.u_m,
            top_m=place.top_m,
            width_m=place.width_m,
            height_m=place.height_m,
            right_m=self.face.width_m - place.right_m,
            off_centre_m=place.centre[0] - self.face.width_m / 2,
            opening=opening,
            off_opening_m=off_m,
            weight_kg=weight_kg,
            people=2 if two else 1,
            cleat_m=None,
            studs_m=(),
            cautions=(),
        )

    def overhead(self) -> HangingLine:
        self.caution(HangingCaution.OVERHEAD)
        self.caution(HangingCaution.LICENSED_OVERHEAD)
        self.caution(HangingCaution.DEFER)
        self.mind_load()
        joists: tuple[float, ...] = ()
        if self.framing is None:
            self.caution(HangingCaution.JOISTS_MISSING)
        else:
            joists = self.framing.centres_m(self.place.u_m, self.place.right_m, self.face.width_m)
            if self.framing.kind is not FramingKind.WOOD_STUDS:
                self.not_wood()
        self.refuse_overhead(joists)
        return replace(self.placed_line(), studs_m=joists)

    def refuse_overhead(self, joists: tuple[float, ...]) -> None:
        if self.rule == "adhesive":
            self.refuse(Refusal.ADHESIVE_OVERHEAD)
        elif self.rule == "nothing":
            self.refuse(Refusal.NOTHING_ALLOWED, face=self.face.name)
        elif self.framing and self.framing.spacing_m is not None and len(joists) < 2:
            self.refuse(Refusal.FEW_JOISTS)

    def felt(self) -> HangingLine:
        self.caution(HangingCaution.TRY_ONE_TILE)
        self.mind_load()
        if self.rule == "nothing":
            self.refuse(Refusal.NOTHING_ALLOWED, face=self.face.name)
        elif self.piece.weight_kg > _FELT_KG:
            self.refuse(Refusal.TOO_HEAVY_TO_GLUE, weight_kg=self.piece.weight_kg)
        return self.placed_line()

    def corner(self) -> HangingLine:
        self.caution(HangingCaution.TIE_TO_STUD)
        self.mind_load()
        self.caution(HangingCaution.HIDDEN)
        if self.rule != "screws":
            self.refuse(Refusal.CORNER_NEEDS_SCREW)
        return self.placed_line()

    def wall(self) -> HangingLine:
        practice, place = self.practice, self.place
        self.caution(HangingCaution.HIDDEN)
        self.mind_load()
        self.mind_place()
        cleat, hook = self.cleat(), hook_m(practice)
        line = replace(
            self.placed_line(),
            cleat_m=place.top_m - hook,
            hook_m=hook,
            cleat_left_m=cleat.left_m,
            cleat_length_m=cleat.length_m,
            freedom_m=max((self.inside_m() - cleat.length_m) / 2, 0.0),
            studs_m=cleat.studs_m,
        )
        if self.rule == "nothing":
            self.refuse(Refusal.NOTHING_ALLOWED, face=self.face.name)
            return line
        if self.rule != "screws":
            self.refuse(Refusal.CLEAT_NEEDS_SCREWS)
            return line
        line = self.screwed(line)
        self.caution(HangingCaution.DEFER)
        return line

    def mind_load(self) -> None:
        """Cautions that hold wherever the piece hangs."""
        practice, weight_kg = self.practice, self.piece.weight_kg
        per_area = weight_kg / self.place.area_m2
        if self.rule == "nothing":
            self.caution(HangingCaution.NOTHING_ALLOWED, face=self.face.name)
        if weight_kg >= practice.two_people_kg:
            self.caution(HangingCaution.TWO_PEOPLE, weight_kg=weight_kg)
        if weight_kg > practice.engineer_kg or per_area > practice.engineer_kg_m2:
            self.caution(HangingCaution.LICENSED_LOAD, weight_kg=weight_kg, load_kg_m2=per_area)

    def mind_place(self) -> None:
        """Cautions about the ceiling above and about people who walk past."""
        place, lift_m = self.place, self.practice.lift_m
        low_m, high_m = HEAD_HEIGHT_M
        if place.top_m > self.face.height_m - lift_m + 1e-9:
            self.caution(HangingCaution.TOO_HIGH, lift_m=lift_m)
        at_head_height = place.v_m < high_m and place.top_m > low_m
        if self.piece.depth_m > STANDS_OUT_M and at_head_height:
            self.caution(
                HangingCaution.STANDS_OUT,
                depth_m=self.piece.depth_m,
                low_m=low_m,
                high_m=high_m,
                most_m=STANDS_OUT_M,
            )

    def not_wood(self) -> None:
        """Say what stands behind the face, and who decides how it is fixed."""
        assert self.framing is not None
        self.caution(
            HangingCaution.NOT_WOOD,
            face=self.face.name,
            framing=self.framing.kind,
            ceiling=self.face.kind == "ceiling",
        )

    def inside_m(self) -> float:
        return self.place.width_m - 2 * self.practice.board_m

    def cleat(self) -> _Cleat:
        """The usual cleat, or a longer one where that meets another stud."""
        inside, middle = self.inside_m(), self.place.centre[0]
        usual = inside - 2 * self.practice.freedom_m
        longest = inside - _EDGE_M
        lengths = [length for length in (usual, longest) if length >= 4 * _EDGE_M] or [inside]
        cleats = [
            _Cleat(middle - length / 2, length, self.studs_m(middle, length)) for length in lengths
        ]
        return max(cleats, key=lambda cleat: (len(cleat.studs_m), -cleat.length_m))

    def studs_m(self, middle_m: float, length_m: float) -> tuple[float, ...]:
        """Studs behind a cleat, its ends kept free. [m]"""
        if self.framing is None:
            return ()
        reach = length_m / 2 - _EDGE_M
        return self.framing.centres_m(middle_m - reach, middle_m + reach, self.face.width_m)

    def screwed(self, line: HangingLine) -> HangingLine:
        """Screws into wood studs, and their planning ratio; none into anything else."""
        practice, framing = self.practice, self.framing
        if framing is not None and framing.kind is not FramingKind.WOOD_STUDS:
            self.not_wood()
            return line
        line = replace(line, screw=practice.screw, screw_m=practice.screw_m)
        if framing is None:
            self.caution(HangingCaution.STUDS_MISSING, face=self.face.name)
            return line
        if framing.sheathing_m is None:
            self.caution(HangingCaution.SHEATHING_MISSING, face=self.face.name)
            return line
        return self.loaded(line, framing.sheathing_m)

    def loaded(self, line: HangingLine, sheathing_m: float) -> HangingLine:
        """Screws through cleat and sheathing into wood studs."""
        practice = self.practice
        depth_m = into_wood_m(practice.screw_m, practice.cleat_m, sheathing_m)
        self.cautions += depth_cautions(depth_m, practice.screw)
        self.caution(HangingCaution.NO_ANCHORS)
        each_n = 0.0
        if depth_m > 0:
            each_n = shear_per_screw_n(practice.screw, sheathing_m, practice.cleat_m, depth_m)
        screws = practice.screws_per_stud * len(line.studs_m)
        ratio = load_ratio(self.piece.weight_kg, screws, each_n)
        if ratio < practice.least_ratio:
            self.refuse_ratio(len(line.studs_m), ratio, each_n)
        return replace(line, screws=screws, into_wood_m=depth_m, load_ratio=ratio)

    def refuse_ratio(self, studs: int, ratio: float, each_n: float) -> None:
        """Refuse too few screws, with every cure that raises the ratio to the least."""
        practice, weight_kg = self.practice, self.piece.weight_kg
        found = {
            "weight_kg": weight_kg,
            "studs": studs,
            "ratio": ratio,
            "least_ratio": practice.least_ratio,
        }
        if each_n <= 0:
            self.refuse(Refusal.SCREWS_TOO_SHORT, **found)
            return
        per_stud = load_ratio(weight_kg, practice.screws_per_stud, each_n)
        need = ceil(practice.least_ratio / per_stud)
        cures: dict[str, float] = {"need_studs": need, "need_ratio": need * per_stud}
        more = practice.screws_per_stud + 1
        raised = load_ratio(weight_kg, more * studs, each_n)
        if studs >= 2 and raised >= practice.least_ratio:
            cures |= {"more_screws": more, "more_ratio": raised}
        across = self.studs_across()
        if across >= need:
            cures |= {"across_studs": across, "across_ratio": across * per_stud}
        self.refuse(Refusal.FEW_SCREWS, **found, **cures)

    def studs_across(self) -> int:
        """How many studs the longest cleat meets once the piece hangs the long way across."""
        place = self.place
        if place.height_m <= place.width_m or not self.piece.turns:
            return 0
        longest_m = place.height_m - 2 * self.practice.board_m - _EDGE_M
        return len(self.studs_m(place.centre[0], longest_m))


def depth_cautions(depth_m: float, screw: str) -> list[Fact[HangingCaution]]:
    """What a screw's depth in the framing asks for.

    >>> depth_cautions(1.25 * 0.0254, "#10")
    []
    """
    cautions = []
    least_m = _DIAMETERS * SCREWS[screw][0] * M_PER_IN
    if depth_m > CABLES_M + _TAPE_M:
        cautions.append(fact(HangingCaution.SCREW_TOO_LONG, depth_m=depth_m, cables_m=CABLES_M))
    if depth_m < least_m - 1e-6:
        cautions.append(fact(HangingCaution.SCREW_TOO_SHORT, depth_m=depth_m, least_m=least_m))
    return cautions
