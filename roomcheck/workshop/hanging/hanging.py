"""Where each piece hangs: lines, studs, cleats, screws, and what forbids it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Framing, Job, Placement, Practice, StockPiece
from roomcheck.units import KG_PER_LB, M2_PER_FT2, M_PER_IN, LengthError, format_size, parse_length
from roomcheck.workshop.hanging.collisions import collisions, nearest_opening, true_place
from roomcheck.workshop.hanging.screws import (
    SCREWS,
    into_wood_m,
    load_ratio,
    pounds,
    shear_per_screw_n,
)
from roomcheck.workshop.results import HangingLine

CABLES_M = 1.25 * M_PER_IN
"""Electrical codes set cables in bored studs back this far, as the trade quotes them: no screw goes
deeper."""
PROJECTION_M = (4 * M_PER_IN, 27 * M_PER_IN, 80 * M_PER_IN)
"""How far, from and to which height: accessibility guide on protruding objects, 307.2, as quoted by
the trade."""
DEFER = "Defer to local code and licensed practice; planning numbers refuse, they never approve."
_EDGE_M = M_PER_IN
_DIAMETERS = 6
_TAPE_M = 0.0005
"""What no tape shows: 12.5 mm boards stand for 1/2 in, 32 mm for 1-1/4 in."""
_FELT_KG = 12 * KG_PER_LB


def hanging_lines(
    job: Job,
    placed: Sequence[Placement],
    pieces: Sequence[StockPiece],
    outside_m: Sequence[tuple[float, float]],
    practice: Practice,
) -> tuple[HangingLine, ...]:
    """The installer's lines, one a piece.

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
        others = [
            (placed[j].name, places[j])
            for j in range(len(placed))
            if j != i and placed[j].face == placement.face
        ]
        hit = collisions(job, placement, places[i], others) if places[i] != placement.place else ()
        lines.append(_hanging_line(job, placement, places[i], piece, practice, hit))
    return tuple(lines)


def _hanging_line(
    job: Job,
    placed: Placement,
    place: Rectangle,
    piece: StockPiece,
    practice: Practice,
    hit: tuple[str, ...],
) -> HangingLine:
    face = job.room.face(placed.face)
    opening, off = nearest_opening(job, placed.face, place)
    base = {
        "opening": opening,
        "off_opening_m": off,
        "name": placed.name,
        "piece": placed.piece,
        "face": placed.face,
        "left_m": place.u_m,
        "top_m": place.top_m,
        "width_m": place.width_m,
        "height_m": place.height_m,
        "right_m": face.width_m - place.right_m,
        "off_centre_m": place.centre[0] - face.width_m / 2,
        "weight_kg": piece.weight_kg,
        "people": 2 if piece.weight_kg >= practice.two_people_kg or face.kind == "ceiling" else 1,
    }
    work = _Work(job, face, place, piece, practice)
    if face.kind == "ceiling":
        rest = work.overhead()
    elif piece.kind == "felt":
        rest = work.felt()
    elif piece.kind in ("corner", "corner stack"):
        rest = work.corner()
    else:
        rest = work.wall()
    refused = " ".join((*hit, *([str(rest["refused"])] if rest.get("refused") else [])))
    said = rest["cautions"]
    assert isinstance(said, tuple)
    first = (f"DO NOT HANG: {refused}",) if refused else ()
    return HangingLine(**{**base, **rest, "refused": refused, "cautions": (*first, *said)})  # type: ignore[arg-type]


def sheathing_m(build: str) -> float | None:
    """Thickness of the layer in front of the framing, read from its description; None where it
    gives none. [m]

    >>> round(sheathing_m("1/2 in gypsum on wood studs") / 0.0254, 3)
    0.5
    """
    found = re.match(r"\s*(\d[\d\s./-]*(?:in|mm|cm|\"))", build)
    if found is None:
        return None
    try:
        return parse_length(found[1])
    except LengthError:
        return None


def studs_between(
    framing: Framing, from_m: float, to_m: float, face_width_m: float
) -> tuple[float, ...]:
    """Framing centres from one place to another, from the face's left corner. [m]

    >>> studs_between(Framing(face="north", build="", spacing_m=0.4, first_m=0.3), 0.5, 1.2, 4.0)
    (0.7, 1.1)
    """
    count = int((face_width_m - framing.first_m) / framing.spacing_m + 1e-9) + 1
    centres = [round(framing.first_m + k * framing.spacing_m, 9) for k in range(max(count, 0))]
    return tuple(c for c in centres if from_m - 1e-9 <= c <= to_m + 1e-9)


def hook_m(practice: Practice) -> float:
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
    studs: tuple[float, ...]


class _Work:
    def __init__(
        self, job: Job, face: Face, place: Rectangle, piece: StockPiece, practice: Practice
    ) -> None:
        self.job, self.face, self.piece, self.practice = job, face, piece, practice
        self.place = place
        self.rule = job.fixing_of(face.name)
        self.framing = job.framing_of(face.name)

    def size(self, length_m: float) -> str:
        return format_size(length_m, self.job.units)

    def mass(self) -> str:
        kg = self.piece.weight_kg
        return f"{pounds(kg):.0f} lb" if self.job.units == "imperial" else f"{kg:.0f} kg"

    def common(self) -> list[str]:
        said = []
        if self.rule == "nothing":
            said.append(
                f"Nothing may be fixed to the {self.face.name}: stand the piece free, or ask in "
                "writing."
            )
        if self.piece.weight_kg >= self.practice.two_people_kg:
            said.append(
                f"{self.mass()}: two people lift it; a temporary strip below carries it meanwhile."
            )
        per_area = self.piece.weight_kg / self.place.area_m2
        imperial = self.job.units == "imperial"
        load = (
            f"{pounds(per_area) * M2_PER_FT2:.1f} lb/ft²" if imperial else f"{per_area:.0f} kg/m²"
        )
        if (
            self.piece.weight_kg > self.practice.engineer_kg
            or per_area > self.practice.engineer_kg_m2
        ):
            said.append(f"{self.mass()}, {load}: a licensed person decides how it is fixed.")
        return said

    def forbidden(self) -> str:
        return (
            f"Fixing to the {self.face.name} is not allowed: choose another face or a free stand."
        )

    def overhead(self) -> dict[str, object]:
        cautions = [
            "Overhead: every hanger into a joist, each point able to carry half the piece "
            "alone, and a separate safety tether to a second joist. Never to a ceiling grid, "
            "pipe, conduit or duct.",
            "A licensed person engineers overhead fixings. No load is certified here. " + DEFER,
            *self.common(),
        ]
        joists: tuple[float, ...] = ()
        if self.framing is None:
            cautions.append("Joists are not in the job file: find and mark them first.")
        else:
            joists = studs_between(
                self.framing, self.place.u_m, self.place.right_m, self.face.width_m
            )
        refused = self.forbidden() if self.rule == "nothing" else ""
        if self.rule == "adhesive":
            refused = (
                "Adhesive alone never holds a piece overhead: screws into joists, or another face."
            )
        elif not refused and self.framing is not None and len(joists) < 2:
            refused = (
                "Fewer than two joists are above it: turn or move it until two are, or have a "
                "carrier engineered."
            )
        return {"cleat_m": None, "studs_m": joists, "cautions": tuple(cautions), "refused": refused}

    def felt(self) -> dict[str, object]:
        refused = self.forbidden() if self.rule == "nothing" else ""
        if not refused and self.piece.weight_kg > _FELT_KG:
            refused = (
                f"{self.mass()} is too heavy for adhesive or pins: smaller tiles, or a backing on "
                "a cleat."
            )
        cautions = [
            "Adhesive or pins: try one tile where it will not show; some paints let go.",
            *self.common(),
        ]
        return {"cleat_m": None, "studs_m": (), "cautions": tuple(cautions), "refused": refused}

    def corner(self) -> dict[str, object]:
        refused = ""
        cautions = [
            "Tie it to a stud at the top of each part so that it cannot tip; leave outlets "
            "within reach."
        ]
        if self.rule != "screws":
            refused = (
                "A tall piece in a corner needs a tie to the wall: allow one screw, or leave it "
                "out."
            )
        cautions += [*self.common(), _HIDDEN]
        return {"cleat_m": None, "studs_m": (), "cautions": tuple(cautions), "refused": refused}

    def wall(self) -> dict[str, object]:
        practice, place = self.practice, self.place
        hook = hook_m(practice)
        cautions = [_HIDDEN, *self.common()]
        if place.top_m > self.face.height_m - practice.lift_m + 1e-9:
            cautions.append(
                "Too close to the ceiling to lift it onto its cleat: leave "
                f"{self.size(practice.lift_m)}."
            )
        if (
            self.piece.depth_m > PROJECTION_M[0]
            and place.v_m < PROJECTION_M[2]
            and place.top_m > PROJECTION_M[1]
        ):
            low, high = self.size(PROJECTION_M[1]), self.size(PROJECTION_M[2])
            cautions.append(
                f"It stands {self.size(self.piece.depth_m)} out: where people walk past in a "
                f"public building, a front edge between {low} and {high} above the floor may "
                f"often stand out {self.size(PROJECTION_M[0])} at most."
            )
        cleat = self.cleat()
        found: dict[str, object] = {
            "cleat_m": place.top_m - hook,
            "hook_m": hook,
            "cleat_left_m": cleat.left_m,
            "cleat_length_m": cleat.length_m,
            "freedom_m": max((self.inside_m() - cleat.length_m) / 2, 0.0),
            "studs_m": cleat.studs,
        }
        if self.rule != "screws":
            why = (
                self.forbidden()
                if self.rule == "nothing"
                else "A cleat needs screws, and this face allows adhesive."
            )
            return {**found, "cautions": tuple(cautions), "refused": why}
        return {**found, **self.load(cleat, cautions)}

    def inside_m(self) -> float:
        return self.place.width_m - 2 * self.practice.board_m

    def cleat(self) -> _Cleat:
        """The usual cleat, or a longer one where that meets another stud."""
        inside, middle = self.inside_m(), self.place.centre[0]
        usual = inside - 2 * self.practice.freedom_m
        longest = inside - _EDGE_M
        options = [length for length in (usual, longest) if length >= 4 * _EDGE_M] or [inside]
        cleats = [
            _Cleat(middle - length / 2, length, self.studs(middle, length)) for length in options
        ]
        return max(cleats, key=lambda c: (len(c.studs), -c.length_m))

    def studs(self, middle: float, length: float) -> tuple[float, ...]:
        if self.framing is None:
            return ()
        reach = length / 2 - _EDGE_M
        return studs_between(self.framing, middle - reach, middle + reach, self.face.width_m)

    def load(self, cleat: _Cleat, cautions: list[str]) -> dict[str, object]:
        practice, framing = self.practice, self.framing
        screw = f"{practice.screw} x {self.size(practice.screw_m)}"
        if framing is None:
            cautions.append(
                f"Studs of the {self.face.name} are not in the job file: find and mark them, "
                "then check again."
            )
            return {"cautions": (*cautions, DEFER), "screw": screw}
        if re.search(
            r"steel|metal|masonry|brick|concrete|block|stone|glass", framing.build, re.IGNORECASE
        ):
            cautions.append(
                f"“{framing.build}”: anchors with a published allowable load, chosen by a "
                "licensed person."
            )
            return {"cautions": (*cautions, DEFER), "screw": ""}
        layer = sheathing_m(framing.build)
        if layer is None:
            cautions.append(
                f"“{framing.build}” gives no thickness in front of the studs: measure it and "
                "write it first."
            )
            return {"cautions": (*cautions, DEFER), "screw": screw}
        depth = into_wood_m(practice.screw_m, practice.cleat_m, layer)
        cautions += depth_cautions(depth, practice.screw, self.size)
        screws = practice.screws_per_stud * len(cleat.studs)
        each = (
            shear_per_screw_n(practice.screw, layer, practice.cleat_m, depth) if depth > 0 else 0.0
        )
        ratio = load_ratio(self.piece.weight_kg, screws, each)
        refused = "" if ratio >= practice.least_ratio else self.cure(len(cleat.studs), ratio, each)
        cautions.append(f"No drywall screws and no anchors in gypsum for this piece. {DEFER}")
        return {
            "cautions": tuple(cautions),
            "screw": screw,
            "screws": screws,
            "into_wood_m": depth,
            "load_ratio": ratio,
            "refused": refused,
        }

    def cure(self, studs: int, ratio: float, each_n: float) -> str:
        practice = self.practice
        found = (
            f"{self.mass()} on {studs} stud{'' if studs == 1 else 's'}: planning ratio "
            f"{ratio:.1f}, "
        )
        found += f"{practice.least_ratio:g} is the least."
        if each_n <= 0:
            return f"{found} The screws do not reach the framing: longer ones, or a thinner cleat."
        per_stud = load_ratio(self.piece.weight_kg, practice.screws_per_stud, each_n)
        need = int(-(-practice.least_ratio // per_stud))
        cures = [f"a cleat or rail that meets {need} studs ({need * per_stud:.1f})"]
        if studs >= 2:
            more = practice.screws_per_stud + 1
            raised = load_ratio(self.piece.weight_kg, more * studs, each_n)
            if raised >= practice.least_ratio:
                cures.append(f"{more} screws a stud ({raised:.1f})")
        across = len(
            self.studs(self.place.centre[0], self.place.height_m - 2 * practice.board_m - _EDGE_M)
        )
        if self.place.height_m > self.place.width_m and self.piece.turns and across >= need:
            cures.append(
                f"hang it the long way across, on {across} studs ({across * per_stud:.1f})"
            )
        return f"{found} Cure: {', or '.join(cures)}."


_HIDDEN = (
    "Wires and pipes: treat the strip straight above, below and beside every outlet, switch, "
    "radiator and wet-wall fitting as live; probe first; stop on metal."
)


def depth_cautions(depth_m: float, screw: str, size: object = None) -> list[str]:
    """What a screw's depth in the framing asks for. [m] in, sentences out.

    >>> depth_cautions(1.25 * 0.0254, "#10")
    []
    """
    said: list[str] = []
    show = size if callable(size) else (lambda m: format_size(m, "imperial"))
    least = _DIAMETERS * SCREWS[screw][0] * M_PER_IN
    inches = show(M_PER_IN).endswith('"')

    def exact(length_m: float) -> str:
        return f'{length_m / M_PER_IN:.2f}"' if inches else f"{length_m * 1000:.1f} mm"

    if depth_m > CABLES_M + _TAPE_M:
        said.append(
            f"The screw reaches {show(depth_m)} into the stud, deeper than {show(CABLES_M)} "
            "where cables may run: use a shorter one, or have someone licensed confirm that no "
            "cable or pipe is there."
        )
    if depth_m < least - 1e-6:
        said.append(
            f"The screw reaches {exact(depth_m)} into the stud, under six diameters "
            f"({exact(least)}): use a longer one."
        )
    return said
