"""Where each piece hangs: lines, studs, cleats, screws, and what forbids it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from math import ceil, floor

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    MADE_OF_STUDS,
    Framing,
    FramingKind,
    Job,
    ShopPractice,
    WallCleat,
    WallScrew,
    best_cleat,
    cleat_kg,
    cleat_lengths,
    hook_m,
    pieces_play_m,
    studs_behind_m,
    wall_screw,
)
from roomcheck.units import KG_PER_LB, M_PER_IN
from roomcheck.workshop.hanging.collisions import collisions, nearest_opening
from roomcheck.workshop.hanging.marks import as_cut, mark_step_m, on_mark
from roomcheck.workshop.hanging.overhead import lift_points, tethers
from roomcheck.workshop.hanging.placing import BESIDE_M, Hung, holds, other_places, placed_pieces
from roomcheck.workshop.hanging.rails import OnRail
from roomcheck.workshop.hanging_kinds import FixingKind, HangingCaution, Refusal
from roomcheck.workshop.results import FaceFixing, HangingLine

STANDS_OUT_M = 4 * M_PER_IN
"""How far a front edge at head height may stand out: accessibility guide on protruding objects,
307.2, as quoted by the trade. [m]"""
HEAD_HEIGHT_M = (27 * M_PER_IN, 80 * M_PER_IN)
"""From where to where that holds, above the floor; same source. [m]"""
_FELT_KG = 12 * KG_PER_LB
"""Heaviest piece that adhesive or pins hold (common practice). [kg]"""
_ANCHORS_M = 16 * M_PER_IN
"""Between fixings along a cleat on masonry or concrete, and along the strip that holds a corner
piece (common practice). [m]"""
_ANCHORED = {
    FramingKind.STEEL_STUDS: FixingKind.STEEL_ANCHOR,
    FramingKind.MASONRY: FixingKind.MASONRY_ANCHOR,
    FramingKind.CONCRETE: FixingKind.CONCRETE_ANCHOR,
}
"""What fixes a cleat, or a lift point, where there is no wood: a kind, and no load."""


def hanging_lines(
    job: Job, hung: Sequence[Hung], practice: ShopPractice
) -> tuple[HangingLine, ...]:
    """Give the installer a line for each piece.

    A piece whose frame makes it larger than the plan drew it hangs round the same middle, moved
    onto the marking grid before anything is measured from it. One whose studs do not hold it there
    is moved by as much as the plan's tolerance, to where they do. All of it is checked against
    neighbours and the zones to keep clear.

    Raises
    ------
    KeyError
        The plan names a face that the room does not have.
    """
    placed = placed_pieces(job, hung, practice)
    lines = []
    for i, each in enumerate(hung):
        place = placed.places[i]
        line = _Hanging(job, each, place, practice, placed.rails.get(i)).line()
        line = _said_moved(line, placed.moved_m[i])
        if place != each.placed.place:
            hits = collisions(job, each.placed, place, other_places(hung, placed.places, i))
            line = replace(line, refused=(*hits, *line.refused))
        lines.append(line)
    return tuple(lines)


def _said_moved(line: HangingLine, moved_m: float) -> HangingLine:
    """The line with how far its piece was moved to meet its studs."""
    if abs(moved_m) < 1e-6:
        return line
    moved = fact(HangingCaution.MOVED, by_m=moved_m)
    return replace(line, moved_m=moved_m, cautions=(moved, *line.cautions))


class _Hanging:
    """One piece on one face."""

    def __init__(
        self,
        job: Job,
        hung: Hung,
        place: Rectangle,
        practice: ShopPractice,
        on_rail: OnRail | None = None,
    ) -> None:
        self.on_rail = on_rail
        self.job, self.hung, self.place, self.practice = job, hung, place, practice
        self.piece, self.placed = hung.piece, hung.placed
        self.face: Face = job.room.face(hung.placed.face)
        self.rule = job.fixing_of(hung.placed.face)
        self.framing = job.framing_of(hung.placed.face)
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
        self.mind_found(line)
        return replace(line, cautions=tuple(self.cautions), refused=tuple(self.refused))

    def caution(self, kind: HangingCaution, **values: object) -> None:
        self.cautions.append(fact(kind, **values))  # type: ignore[arg-type]

    def refuse(self, kind: Refusal, **values: object) -> None:
        self.refused.append(fact(kind, **values))  # type: ignore[arg-type]

    def placed_line(self) -> HangingLine:
        """The line with its place alone."""
        place, weight_kg = self.place, self.hung.weight_kg
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
            depth_m=self.piece.depth_m,
            weight_kg=weight_kg,
            people=2 if two else 1,
            cleat_m=None,
            studs_m=(),
            cautions=(),
        )

    def overhead(self) -> HangingLine:
        """Lift points, hardware and who decides; no ratio at all."""
        for kind in (HangingCaution.OVERHEAD, HangingCaution.LICENSED_OVERHEAD):
            self.caution(kind)
        self.caution(HangingCaution.DEFER)
        self.mind_load()
        line = self.placed_line()
        if self.rule != "screws":
            self.refuse_rule_overhead()
        elif self.piece.kind != "cloud":
            self.refuse(Refusal.NO_CEILING_MOUNT)
        elif self.framed(self.face, self.framing):
            return self.lifted(line)
        return line

    def refuse_rule_overhead(self) -> None:
        if self.rule == "adhesive":
            self.refuse(Refusal.ADHESIVE_OVERHEAD)
        elif self.rule == "grid":
            self.refuse(Refusal.GRID, face=self.face.name)
        else:
            self.refuse(Refusal.NOTHING_ALLOWED, face=self.face.name)

    def framed(self, of: Face, framing: Framing | None) -> bool:
        """Whether anybody knows what stands behind a face, and it takes a fixing; else refuse, with
        the cure."""
        face, ceiling = of.name, of.kind == "ceiling"
        if framing is None:
            self.refuse(Refusal.JOISTS_MISSING if ceiling else Refusal.STUDS_MISSING, face=face)
        elif framing.kind is FramingKind.GRID:
            self.refuse(Refusal.GRID, face=face)
        elif framing.kind is FramingKind.UNKNOWN:
            self.refuse(Refusal.FRAMING_UNKNOWN, face=face)
        elif framing.kind in MADE_OF_STUDS and framing.spacing_m is None:
            self.refuse(Refusal.JOISTS_MISSING if ceiling else Refusal.STUDS_MISSING, face=face)
        else:
            return True
        return False

    def lifted(self, line: HangingLine) -> HangingLine:
        framing, place = self.framing, self.place
        assert framing is not None
        joists: tuple[float, ...] | None = None
        if framing.kind in MADE_OF_STUDS:
            joists = framing.centres_m(place.u_m, place.right_m, self.face.width_m)
        if framing.kind is not FramingKind.WOOD_STUDS:
            self.not_wood(self.face, framing.kind)
        points = lift_points(place, self.practice.board_m, joists)
        points = tuple((self.across_joists(u, joists), self.over_board(v)) for u, v in points)
        if not points:
            self.refuse(Refusal.FEW_JOISTS)
        return replace(
            line,
            studs_m=joists or (),
            lift_points=points,
            tethers=tuple((u, on_mark(v, self.job.units)) for u, v in tethers(points)),
            drop_m=max(self.piece.depth_m - self.hung.frame_m, 0.0),
            fixing=FixingKind.HANGING_SET,
            fixings=len(points),
        )

    def across_joists(self, at_m: float, joists: tuple[float, ...] | None) -> float:
        """Where no joist says it, on the marking grid. [m]"""
        return on_mark(at_m, self.job.units) if joists is None else at_m

    def over_board(self, at_m: float) -> float:
        """The next mark from a board's middle towards the piece's, still over the board. [m]"""
        step_m = mark_step_m(self.job.units)
        steps = at_m / step_m
        near = at_m < self.place.centre[1]
        return round((ceil(steps - 1e-6) if near else floor(steps + 1e-6)) * step_m, 9)

    def felt(self) -> HangingLine:
        self.caution(HangingCaution.TRY_ONE_TILE)
        self.mind_load()
        if self.rule == "nothing":
            self.refuse(Refusal.NOTHING_ALLOWED, face=self.face.name)
        elif self.hung.weight_kg > _FELT_KG:
            self.refuse(Refusal.TOO_HEAVY_TO_GLUE, weight_kg=self.hung.weight_kg)
        return self.placed_line()

    def corner(self) -> HangingLine:
        """Across a corner: what it really takes of both walls, and no ratio."""
        self.caution(HangingCaution.TIE_TO_STUD)
        self.mind_load()
        self.caution(HangingCaution.HIDDEN)
        line = self.placed_line()
        reach_m = as_cut((self.piece.width_m + self.hung.frame_m) / 2**0.5, self.job.units)
        walls = [face for face in self.job.room.faces if face.kind == "wall"]
        beside = walls[(walls.index(self.face) + 1) % len(walls)]
        strips = [self.strip_on(face) for face in (self.face, beside)]
        return replace(
            line,
            width_m=reach_m,
            right_m=self.face.width_m - self.place.u_m - reach_m,
            off_centre_m=None,
            beside=beside.name,
            beside_left_m=beside.width_m - reach_m,
            strips=tuple(strip for strip in strips if strip is not None),
        )

    def strip_on(self, face: Face) -> FaceFixing | None:
        """What fixes the strip of a corner piece on one of its walls: no load and no ratio; None,
        and a refusal, where nothing may or nobody knows what would."""
        framing = self.job.framing_of(face.name)
        if self.job.fixing_of(face.name) != "screws":
            self.refuse(Refusal.CORNER_NEEDS_SCREW, face=face.name)
            return None
        if not self.framed(face, framing):
            return None
        assert framing is not None
        count = max(ceil(self.place.height_m / _ANCHORS_M - 1e-9) + 1, 2)
        if framing.kind is not FramingKind.WOOD_STUDS:
            self.not_wood(face, framing.kind)
            return FaceFixing(face=face.name, fixing=_ANCHORED[framing.kind], count=count)
        if framing.sheathing_m is None:
            self.refuse(Refusal.SHEATHING_MISSING, face=face.name)
            return None
        screw = wall_screw(self.practice, framing.sheathing_m)
        if screw is None:
            cleat_m, sheathing_m = self.practice.cleat_m, framing.sheathing_m
            self.refuse(Refusal.NO_SCREW, sheathing_m=sheathing_m, cleat_m=cleat_m)
            return None
        return FaceFixing(
            face=face.name,
            fixing=FixingKind.WOOD_SCREW,
            count=count,
            screw=screw.gauge,
            screw_m=screw.length_m,
        )

    def wall(self) -> HangingLine:
        practice = self.practice
        self.caution(HangingCaution.HIDDEN)
        self.mind_load()
        self.mind_place()
        if self.on_rail is not None:
            return self.railed(self.placed_line(), self.on_rail)
        cleat = self.cleat()
        line = self.cleated(self.placed_line(), cleat)
        if self.rule == "nothing":
            self.refuse(Refusal.NOTHING_ALLOWED, face=self.face.name)
        elif self.rule != "screws":
            self.refuse(Refusal.CLEAT_NEEDS_SCREWS)
        elif self.framed(self.face, self.framing):
            assert self.framing is not None
            line = self.fixed(line, self.framing, cleat)
            self.caution(HangingCaution.DEFER)
        return replace(line, hook_m=hook_m(practice))

    def railed(self, line: HangingLine, on_rail: OnRail) -> HangingLine:
        """The line of a piece that hangs on a rail: the first one has its screws."""
        assert self.framing is not None and self.framing.sheathing_m is not None
        rail, cleat = on_rail.rail, on_rail.cleat
        screw = self.mind_screw(self.framing.sheathing_m)
        assert screw is not None
        self.caution(
            HangingCaution.ON_RAIL,
            name=rail.name,
            names=rail.names,
            left_m=rail.left_m,
            right_m=rail.left_m + rail.length_m,
            at_m=rail.at_m,
            per_stud=cleat.per_stud,
            studs_m=cleat.studs_m,
        )
        if on_rail.play_m < self.practice.freedom_m - 1e-6:
            self.caution(HangingCaution.LITTLE_PLAY, play_m=on_rail.play_m)
        self.caution(HangingCaution.DEFER)
        screws = 0
        if rail.names[0] == self.placed.name:
            screws = cleat.per_stud * len(cleat.studs_m)
        return replace(
            line,
            cleat_m=rail.at_m,
            hook_m=hook_m(self.practice),
            rail=rail,
            studs_m=cleat.studs_m,
            screw=screw.gauge,
            screw_m=screw.length_m,
            screws=screws,
            per_stud=cleat.per_stud,
            into_wood_m=screw.into_wood_m,
            load_ratio=cleat.ratio,
            counted_kg=on_rail.counted_kg,
            freedom_m=on_rail.play_m,
            fixing=FixingKind.WOOD_SCREW,
            fixings=screws,
        )

    def cleated(self, line: HangingLine, cleat: WallCleat) -> HangingLine:
        """The line with its cleat's place."""
        return replace(
            line,
            cleat_m=self.place.top_m - hook_m(self.practice),
            cleat_left_m=cleat.left_m,
            cleat_length_m=cleat.length_m,
            freedom_m=max((self.inside_m() - cleat.length_m) / 2, 0.0),
            studs_m=cleat.studs_m,
        )

    def cleat(self) -> WallCleat:
        """The cleat that holds best on wood; elsewhere the usual one, or a longer one where that
        meets another stud."""
        framing, place, practice = self.framing, self.place, self.practice
        if framing is not None and framing.kind is FramingKind.WOOD_STUDS:
            return best_cleat(
                framing, self.face, place, practice, self.hung.weight_kg, self.piece.depth_m
            )
        cleats = []
        for left_m, length_m in cleat_lengths(place, practice):
            studs: tuple[float, ...] = ()
            if framing is not None:
                studs = studs_behind_m(framing, self.face, left_m, length_m)
            cleats.append(
                WallCleat(left_m=left_m, length_m=length_m, studs_m=studs, per_stud=0, ratio=0.0)
            )
        return max(cleats, key=lambda cleat: (len(cleat.studs_m), -cleat.length_m))

    def fixed(self, line: HangingLine, framing: Framing, cleat: WallCleat) -> HangingLine:
        """What fixes the cleat: screws into wood, else a kind of anchor."""
        if framing.kind is not FramingKind.WOOD_STUDS:
            return self.anchored(line, framing.kind, cleat)
        if framing.sheathing_m is None:
            self.refuse(Refusal.SHEATHING_MISSING, face=self.face.name)
            return line
        return self.screwed(line, framing, cleat, framing.sheathing_m)

    def anchored(self, line: HangingLine, kind: FramingKind, cleat: WallCleat) -> HangingLine:
        """How many anchors of which kind; no load, no ratio."""
        self.not_wood(self.face, kind)
        if kind is FramingKind.STEEL_STUDS:
            count = self.practice.screws_per_stud * len(cleat.studs_m)
            if len(cleat.studs_m) < 2:
                self.refuse(Refusal.FEW_STUDS, studs=len(cleat.studs_m))
        else:
            count = max(ceil(cleat.length_m / _ANCHORS_M - 1e-9) + 1, 2)
        return replace(line, fixing=_ANCHORED[kind], fixings=count)

    def screwed(
        self, line: HangingLine, framing: Framing, cleat: WallCleat, sheathing_m: float
    ) -> HangingLine:
        """Screws through cleat and sheathing into wood studs, and their planning ratio."""
        practice = self.practice
        screw = self.mind_screw(sheathing_m)
        if screw is None:
            self.refuse(Refusal.NO_SCREW, sheathing_m=sheathing_m, cleat_m=practice.cleat_m)
            return line
        play_m = self.play_m(framing, cleat, line.freedom_m or 0.0)
        if cleat.ratio < practice.least_ratio:
            self.refuse_ratio(framing, cleat)
        elif play_m < (line.freedom_m or 0.0) - 1e-6:
            self.caution(HangingCaution.LITTLE_PLAY, play_m=play_m)
        screws = cleat.per_stud * len(cleat.studs_m)
        return replace(
            line,
            screw=screw.gauge,
            screw_m=screw.length_m,
            screws=screws,
            per_stud=cleat.per_stud,
            into_wood_m=screw.into_wood_m,
            load_ratio=cleat.ratio,
            counted_kg=self.hung.weight_kg + cleat_kg(cleat.length_m, practice),
            freedom_m=play_m,
            fixing=FixingKind.WOOD_SCREW,
            fixings=screws,
        )

    def mind_screw(self, sheathing_m: float) -> WallScrew | None:
        """The screw into its studs, and what must be said of it; None where none is on sale."""
        practice = self.practice
        screw = wall_screw(practice, sheathing_m)
        if screw is None:
            return None
        self.caution(HangingCaution.NO_ANCHORS)
        if (screw.gauge, screw.length_m) != (practice.screw, practice.screw_m):
            self.caution(
                HangingCaution.OTHER_SCREW,
                screw=screw.gauge,
                screw_m=screw.length_m,
                usual=practice.screw,
                usual_m=practice.screw_m,
                sheathing_m=sheathing_m,
            )
        return screw

    def play_m(self, framing: Framing, cleat: WallCleat, free_m: float) -> float:
        """How far the piece may slide on its cleat before the ratio falls under the least. [m]"""
        return pieces_play_m(
            framing,
            cleat,
            self.place,
            self.practice,
            self.hung.weight_kg,
            self.piece.depth_m,
            free_m,
        )

    def mind_found(self, line: HangingLine) -> None:
        """Refuse where something was found that nobody drills into; where a stud stands elsewhere
        than the job says, ask for the others behind the piece."""
        for found in self.job.dangers_of(self.face.name):
            near = found.at_m is None and not found.piece
            if found.at_m is not None:
                left_m, right_m = self.place.u_m - BESIDE_M, self.place.right_m + BESIDE_M
                near = left_m <= found.at_m <= right_m
            if near or found.piece == self.placed.name:
                self.refuse(Refusal.FOUND_BEHIND, what=found.what, at_m=found.at_m)
        if self.framing is not None and self.framing.seen:
            studs_m = tuple(m for m in line.studs_m if m not in self.framing.found_m)
            if studs_m:
                self.caution(HangingCaution.FIND_OTHERS, studs_m=studs_m)

    def mind_load(self) -> None:
        """Cautions that hold wherever the piece hangs."""
        practice, weight_kg = self.practice, self.hung.weight_kg
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

    def not_wood(self, face: Face, kind: FramingKind) -> None:
        """Say what stands behind a face, and who decides how it is fixed."""
        ceiling = face.kind == "ceiling"
        self.caution(HangingCaution.NOT_WOOD, face=face.name, framing=kind, ceiling=ceiling)

    def inside_m(self) -> float:
        return self.place.width_m - 2 * self.practice.board_m

    def refuse_ratio(self, framing: Framing, cleat: WallCleat) -> None:
        """Refuse too little, with every cure that raises the ratio to the least."""
        least = self.practice.least_ratio
        cures: dict[str, float] = {}
        across = self.across(framing)
        if across is not None and across.ratio >= least:
            cures |= {"across_studs": len(across.studs_m), "across_ratio": across.ratio}
        moved_m = self.move_that_holds_m(framing)
        if moved_m is not None:
            cures |= {"move_m": moved_m}
        self.refuse(
            Refusal.FEW_SCREWS,
            weight_kg=self.hung.weight_kg,
            studs=len(cleat.studs_m),
            ratio=cleat.ratio,
            least_ratio=least,
            **cures,
        )

    def across(self, framing: Framing) -> WallCleat | None:
        """The cleat once the piece hangs the long way across; None where it does already."""
        place = self.place
        if place.height_m <= place.width_m or not self.piece.turns:
            return None
        u, v = place.centre
        wide, high = place.height_m, place.width_m
        turned = Rectangle(u - wide / 2, v - high / 2, wide, high)
        return best_cleat(
            framing, self.face, turned, self.practice, self.hung.weight_kg, self.piece.depth_m
        )

    def move_that_holds_m(self, framing: Framing) -> float | None:
        """The nearest place along the wall whose studs hold the piece, right of here; negative is
        left; None within one stud's spacing. [m]"""
        assert framing.spacing_m is not None
        step_m = mark_step_m(self.job.units)
        for steps, sign in product(range(1, ceil(framing.spacing_m / step_m)), (1, -1)):
            moved = replace(self.place, u_m=self.place.u_m + sign * steps * step_m)
            if self.face.holds(moved) and holds(self.job, self.hung, moved, self.practice):
                return sign * steps * step_m
        return None
