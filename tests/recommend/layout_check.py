"""A second pair of eyes on a drawn plan: complaints, found without the planner's code.

Everything is worked out in the room's own coordinates, from corners of rectangles and polygons.
"""

from __future__ import annotations

from math import hypot, sqrt

from roomcheck.geometry import Face
from roomcheck.job import Job, Placement, StockPiece

SLACK = 2e-4
INCH = 0.0254


def complaints(job: Job, pieces: tuple[Placement, ...]) -> list[str]:
    """What is wrong with a plan; empty where nothing is."""
    found = []
    boxes = [
        (p, p.face, (p.place.u_m, p.place.v_m, p.place.right_m, p.place.top_m)) for p in pieces
    ]
    stock = {s.name: s for s in job.shop.stock}
    corners = [b for b in boxes if stock[b[0].piece].kind == "corner"]
    for placed, _, box in corners:
        walls = [f.name for f in job.room.faces if f.kind == "wall"]
        nxt = job.room.face(walls[(walls.index(placed.face) + 1) % len(walls)])
        leg = stock[placed.piece].width_m / sqrt(2)
        boxes.append((placed, nxt.name, (nxt.width_m - leg, box[1], nxt.width_m, box[3])))
        if box[0] > SLACK:
            found.append(f"{placed.name}: a corner piece away from the corner")
        if not _convex(job, walls.index(placed.face)):
            found.append(f"{placed.name}: its corner juts into the room")
    for placed, face_name, box in boxes:
        found += _on_face(job, placed, stock[placed.piece], job.room.face(face_name), box)
    for i, (a, face_a, p) in enumerate(boxes):
        for b, face_b, q in boxes[i + 1 :]:
            if (
                face_a == face_b
                and a != b
                and max(q[0] - p[2], p[0] - q[2], q[1] - p[3], p[1] - q[3]) < 0.05 - SLACK
            ):
                found.append(f"{a.name} and {b.name} are too near each other on the {face_a}")
    for placed in pieces:
        found += _piece(job, placed, stock[placed.piece])
    if len({p.name for p in pieces}) < len(pieces):
        found.append("two pieces have one name")
    if any(not p.name.startswith("A") or not p.name[1:].isdigit() for p in pieces):
        found.append("a name that is no A and a number")
    return found


def _on_face(
    job: Job,
    placed: Placement,
    piece: StockPiece,
    face: Face,
    box: tuple[float, float, float, float],
) -> list[str]:
    found = []
    corner = piece.kind == "corner"
    side = 0.0 if corner else 0.05 if face.kind == "wall" else 0.15
    low = 0.12 if face.kind == "wall" else 0.15
    high = INCH if face.kind == "wall" else 0.15
    if box[1] < low - SLACK or box[3] > face.height_m - high + SLACK:
        found.append(f"{placed.name}: too near the floor or the ceiling edge")
    # A ceiling's edges may run anywhere, such as at the inner corner of an L.
    under, over = (low, high) if face.kind == "ceiling" else (0.0, 0.0)
    reach = (box[0] - side, box[1] - under, box[2] + side, box[3] + over)
    if not _in_polygon(face.outline, reach):
        found.append(f"{placed.name}: off the {face.name}")
    keep = [(p.name, p.place, p.clearance_m) for p in job.patches if p.face == face.name]
    keep += [(k.name, k.place, k.clearance_m) for k in job.keep_clear if k.face == face.name]
    for name, r, clear in keep:
        apart = max(r.u_m - box[2], box[0] - r.right_m, r.v_m - box[3], box[1] - r.top_m)
        if apart < clear - SLACK:
            found.append(f"{placed.name}: {clear - apart:.3f} m too near {name}")
    return found


def _piece(job: Job, placed: Placement, piece: StockPiece) -> list[str]:
    found = []
    face = job.room.face(placed.face)
    rule = next((f.rule for f in job.fixings if f.face == placed.face), "screws")
    mount = "corner" if piece.kind == "corner" else face.kind
    if mount not in piece.mounts:
        found.append(f"{placed.name}: a {piece.name} does not mount on a {face.kind}")
    if rule == "nothing" or (rule, piece.kind) not in {
        ("screws", piece.kind),
        ("adhesive", "felt"),
        ("grid", "cloud"),
    }:
        found.append(f"{placed.name}: may not be fixed to the {placed.face}")
    size = (placed.place.width_m, placed.place.height_m)
    straight = abs(size[0] - piece.width_m) + abs(size[1] - piece.height_m)
    turned = abs(size[1] - piece.width_m) + abs(size[0] - piece.height_m)
    if straight > SLACK and (turned > SLACK or not piece.turns):
        found.append(f"{placed.name}: not the size of a {piece.name}")
    if face.kind == "ceiling" and job.room.height_m - piece.depth_m < 2.03:
        found.append(f"{placed.name}: no headroom")
    if not placed.reasons:
        found.append(f"{placed.name}: no reason given")
    framing = next((f for f in job.framing if f.face == placed.face), None)
    if framing is not None and piece.kind not in ("felt", "corner"):
        end, need = (
            (0.0, 2) if face.kind == "ceiling" else (0.057, max(-(-piece.weight_kg // 11.8), 1))
        )
        studs = [framing.first_m + k * framing.spacing_m for k in range(200)]
        met = [
            s
            for s in studs
            if placed.place.u_m + end - SLACK <= s <= placed.place.right_m - end + SLACK
        ]
        if len(met) < need:
            found.append(f"{placed.name}: {len(met)} studs behind it, needs {need:.0f}")
    if "diffuser" in piece.kind:
        found += _diffuser(job, placed, piece, face)
    found += _on_the_floor(job, placed, piece, face) if face.kind == "wall" else []
    for f in job.forbids:
        r = f.place
        here = r is None or (
            min(r.u_m + r.width_m, placed.place.right_m) - max(r.u_m, placed.place.u_m) > SLACK
            and min(r.v_m + r.height_m, placed.place.top_m) - max(r.v_m, placed.place.v_m) > SLACK
        )
        if here and f.piece in ("", piece.name) and f.face in ("", placed.face):
            found.append(f"{placed.name}: not wanted there")
    return found


def _on_the_floor(job: Job, placed: Placement, piece: StockPiece, face: Face) -> list[str]:
    """By sampling the piece's outline: who walks into it, what door hits it, what sprinkler it
    shades."""
    found, n = [], 40
    r, deep = placed.place, piece.width_m / 2 if piece.kind == "corner" else piece.depth_m
    spots = []
    for i in range(n + 1):
        for j in range(n + 1):
            u, off = r.width_m * i / n, deep * j / n
            if piece.kind == "corner":
                leg = piece.width_m / sqrt(2)
                u, off = leg * i / n, leg * j / n
                if u + off > leg:
                    continue
            p = face.to_room(r.u_m + u, 0.0, off)
            spots.append((p.x, p.y, off))
    x0, y0 = min(c[0] for c in job.room.corners), min(c[1] for c in job.room.corners)
    for zone in job.keep_clear:
        if (
            zone.kind not in ("door swing", "walkway", "sprinkler")
            or job.room.face(zone.face).kind == "wall"
        ):
            continue
        grown = zone.clearance_m if zone.kind != "sprinkler" else max(zone.clearance_m, 18 * INCH)
        z = zone.place
        low_x, high_x = x0 + z.u_m - grown + SLACK, x0 + z.u_m + z.width_m + grown - SLACK
        low_y, high_y = y0 + z.v_m - grown + SLACK, y0 + z.v_m + z.height_m + grown - SLACK
        if zone.kind == "walkway":
            low_x, high_x, low_y, high_y = (
                x0 + z.u_m,
                x0 + z.u_m + z.width_m,
                y0 + z.v_m,
                y0 + z.v_m + z.height_m,
            )
        offs = [off for x, y, off in spots if low_x < x < high_x and low_y < y < high_y]
        if not offs:
            continue
        if zone.kind == "door swing" and r.v_m < 84 * INCH:
            found.append(f"{placed.name}: the {zone.name} hits it")
        if (
            zone.kind == "walkway"
            and 27 * INCH < r.v_m <= 80 * INCH
            and max(offs) - min(offs) > 4 * INCH + SLACK
        ):
            found.append(f"{placed.name}: stands out into the {zone.name}")
        if (
            zone.kind == "sprinkler"
            and zone.face == "ceiling"
            and job.room.height_m - r.top_m < 18 * INCH
        ):
            found.append(f"{placed.name}: shades the {zone.name}")
    return found


def _diffuser(job: Job, placed: Placement, piece: StockPiece, face: Face) -> list[str]:
    least = max(1.2, 3 * 4 * max(piece.steps_m))
    r, n = placed.place, 12
    grid = [
        (r.u_m + r.width_m * i / n, r.v_m + r.height_m * j / n)
        for i in range(n + 1)
        for j in range(n + 1)
    ]
    points = [face.to_room(u, v) for u, v in grid]
    found = []
    for thing in (*job.sources, *job.microphones):
        near = min(
            hypot(p.x - thing.point.x, p.y - thing.point.y, p.z - thing.point.z) for p in points
        )
        if near < least - 0.02:
            found.append(f"{placed.name}: {near:.2f} m from {thing.name}, needs {least:.2f}")
    return found


def _convex(job: Job, wall: int) -> bool:
    c = job.room.corners
    a, b, d = (c[(wall + k) % len(c)] for k in range(3))
    return (b[0] - a[0]) * (d[1] - b[1]) - (b[1] - a[1]) * (d[0] - b[0]) > 0


def _in_polygon(
    outline: tuple[tuple[float, float], ...], box: tuple[float, float, float, float]
) -> bool:
    """Dense sampling by winding angle's cheap cousin: every sample inside by ray casting along
    v."""
    u1, v1, u2, v2 = (box[0] + SLACK, box[1] + SLACK, box[2] - SLACK, box[3] - SLACK)
    n = 24
    samples = [
        (u1 + (u2 - u1) * i / n, v1 + (v2 - v1) * j / n) for i in range(n + 1) for j in range(n + 1)
    ]
    return all(_ray(outline, u, v) for u, v in samples)


def _ray(outline: tuple[tuple[float, float], ...], u: float, v: float) -> bool:
    crossings = 0
    for (a, b), (c, d) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if min(a, c) <= u < max(a, c) and b + (d - b) * (u - a) / (c - a) > v:
            crossings += 1
    return crossings % 2 == 1
