"""Parts that more than one document shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from roomcheck.job import Job, Placement, Visit
from roomcheck.report.figures.drawings import bounces, elevation_svg, plan_svg, scale_text
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    Bullets,
    CautionBox,
    Heading,
    Picture,
)
from roomcheck.words import across, area, length, say, shortened, temperature, volume

if TYPE_CHECKING:
    from roomcheck.recommend import ReflectionChange
    from roomcheck.workshop import HangingLine

TELEPHONE_PT, TELEPHONE_MM = 270.0, 3.2
"""What a telephone of 390 px has for a drawing, and letters of 12 px on it. [pt], [mm]"""


def room_view(
    job: Job,
    pieces: Sequence[Placement],
    hanging: Sequence[HangingLine] = (),
    *,
    width_pt: float = 468.0,
    height_pt: float = 300.0,
) -> Picture:
    """The room with its pieces as one sees it, with a form for telephones."""
    from roomcheck.report.figures.room_picture import Size, draw_sizes
    from roomcheck.scene import scene

    narrow_size = Size(
        width_pt=TELEPHONE_PT, height_pt=TELEPHONE_PT, letters_mm=(TELEPHONE_MM, TELEPHONE_MM)
    )
    sizes = (Size(width_pt=width_pt, height_pt=height_pt), narrow_size)
    drawn, narrow = draw_sizes(scene(job, pieces, hanging), sizes)
    things = ", ".join(piece.name for piece in pieces) or say("no_pieces")
    more = [say("cap_room_dashed")] if drawn.dashed else []
    more += [say("cap_room_places")] if job.sources or job.microphones else []
    more += [say("cap_room_unnamed", names=shortened(drawn.unnamed))] if drawn.unnamed else []
    return Picture(
        svg=drawn.svg,
        narrow=narrow.svg,
        alt=say("alt_room", room=job.title, things=things),
        caption=" ".join((say("cap_room"), *more)),
    )


def plan_picture(job: Job, pieces: Sequence[Placement] = (), *, positions: bool = True) -> Picture:
    """The floor plan to scale."""
    svg, scale = plan_svg(job, pieces, positions=positions)
    floor = job.room.face("floor")
    sizes = f"{length(floor.width_m, job)} × {length(floor.height_m, job)}"
    names = [position.name for position in (*job.sources, *job.microphones)]
    names += [piece.name for piece in pieces]
    things = ", ".join(names) or say("no_pieces")
    caption = say("cap_plan") if positions else say("cap_plan_pieces")
    alt = say("alt_plan", room=job.title, sizes=sizes, things=things)
    return Picture(svg=svg, alt=alt, caption=f"{caption} {scale_text(job, scale)}")


def elevations(
    job: Job,
    pieces: Sequence[Placement],
    *,
    framing: bool = False,
    marks: Sequence[ReflectionChange] = (),
    under: Mapping[str, bytes] | None = None,
) -> tuple[Picture, ...]:
    """Every face that carries a piece, to scale, in the room's order; `under` has photographs of
    whole faces, by their names."""
    pictures = []
    for face in job.room.faces:
        here = [piece for piece in pieces if piece.face == face.name]
        if here:
            below = (under or {}).get(face.name, b"")
            drawn = elevation(job, face.name, here, framing=framing, marks=marks, under=below)
            pictures.append(drawn)
    return tuple(pictures)


def elevation(
    job: Job,
    name: str,
    pieces: Sequence[Placement],
    *,
    framing: bool = False,
    room_m: tuple[float, float] | None = None,
    marks: Sequence[ReflectionChange] = (),
    under: bytes = b"",
) -> Picture:
    """One face to scale."""
    face = job.room.face(name)
    bouncing = bounces(face, marks)
    svg, scale = elevation_svg(
        job, face, pieces, framing=framing, room_m=room_m, marks=bouncing, under=under
    )
    sizes = f"{length(face.width_m, job)} × {length(face.height_m, job)}"
    listed = [
        say(
            "alt_piece",
            name=piece.name,
            size=across(piece.place, job),
            left=length(piece.place.u_m, job),
            bottom=length(piece.place.v_m, job),
        )
        for piece in pieces
    ]
    alt = say(
        "alt_elevation",
        face=_named(name, face.kind),
        sizes=sizes,
        things=", ".join(listed) or say("no_pieces"),
    )
    keys = [say("cap_framing")] if job.framing_of(name) is not None else []
    keys += [say("cap_photo_under")] if under else []
    keys += [say("cap_marks")] if any(mark.face == name for mark in marks) else []
    return Picture(
        svg=svg, alt=alt, caption=" ".join([_caption(job, name), *keys, scale_text(job, scale)])
    )


def _named(name: str, kind: str) -> str:
    return say("wall_named", name=name.capitalize()) if kind == "wall" else name.capitalize()


def _caption(job: Job, name: str) -> str:
    face = job.room.face(name)
    if face.kind == "wall":
        return say("cap_elevation", face=_named(name, face.kind))
    if job.room.is_box:
        front, _, _, left = job.room.wall_names
        return say("cap_ceiling", face=_named(name, face.kind), left=left, front=front)
    return say("cap_face_flat", face=_named(name, face.kind))


def two_by_two(pictures: Sequence[Picture]) -> tuple[Picture, ...]:
    """Small pictures side by side on paper, and one below the other on a telephone."""
    left, right = pictures[::2], pictures[1::2]
    pairs = [replace(one, beside=other) for one, other in zip(left, right, strict=False)]
    return (*pairs, *left[len(right) :])


def room_facts(job: Job) -> tuple[tuple[str, str], ...]:
    """Size, surfaces and furniture."""
    floor = job.room.face("floor")
    sizes = " × ".join(length(x, job) for x in (floor.width_m, floor.height_m, job.room.height_m))
    by_material: dict[str, list[str]] = {}
    for face, material in job.materials:
        by_material.setdefault(material, []).append(face)
    surfaces = "; ".join(
        f"{', '.join(faces)}: {material}" for material, faces in by_material.items()
    )
    patches = "; ".join(
        f"{p.name} ({p.face}, {across(p.place, job)}): {p.material}" for p in job.patches
    )
    furniture = "; ".join(f"{thing.name} ({', '.join(thing.visits)})" for thing in job.furnishings)
    facts = (
        (say("room"), sizes),
        (say("volume"), volume(job.room.volume_m3, job)),
        (say("surface"), area(job.room.surface_m2, job)),
        (say("materials"), "; ".join(filter(None, [surfaces, patches]))),
        (say("furniture"), furniture),
    )
    return tuple((name, value or say("nothing_noted")) for name, value in facts)


def visit_facts(job: Job, visit: Visit) -> tuple[tuple[str, str], ...]:
    """The conditions of one visit."""
    facts = (
        (say("date"), visit.date),
        (say("temperature"), temperature(visit.temperature_c, job)),
        (say("humidity"), f"{visit.humidity_pct:.0f} %"),
        (say("people"), str(visit.people)),
        (say("doors"), visit.doors),
        (say("hvac"), visit.hvac),
        (say("equipment"), visit.equipment),
        (say("gain"), visit.gain),
        (say("notes"), visit.notes),
    )
    return tuple((name, value or say("nothing_noted")) for name, value in facts)


def rights(n: int) -> tuple[Align, ...]:
    """One column to the left, `n` to the right."""
    right: Align = "right"
    return ("left", *(right for _ in range(n)))


def blocks(*parts: Block | Sequence[Block]) -> tuple[Block, ...]:
    """Blocks and runs of blocks, in one row."""
    row: list[Block] = []
    for part in parts:
        if isinstance(part, Sequence):
            row.extend(part)
        else:
            row.append(part)
    return tuple(row)


def titled(heading: Heading, *body: Block | Sequence[Block]) -> tuple[Block, ...]:
    """A heading with what stands under it; nothing where there is nothing, or only empty lists."""
    held = [
        block
        for block in blocks(*body)
        if not isinstance(block, Bullets | Boxes | CautionBox) or block.items
    ]
    return (heading, *held) if held else ()
