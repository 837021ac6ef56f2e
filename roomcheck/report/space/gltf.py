"""The scene as a glTF 2.0 file (GLB), for any program that shows rooms in space.

Written after the Khronos Group's glTF 2.0 Specification (2.0.1), from memory, and held against its
validator. Metres; y is up, as the format has it.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

import roomcheck
from roomcheck.geometry import Point
from roomcheck.scene import (
    Axes,
    Body,
    Facets,
    Look,
    Scene,
    Shape,
    Surface,
    body_facets,
    furniture_facets,
    triangles,
)

Floats = NDArray[np.float32]

_OWN = Axes(
    origin=Point(0.0, 0.0, 0.0), right=(1.0, 0.0, 0.0), up=(0.0, 1.0, 0.0), out=(0.0, 0.0, 1.0)
)
_Y_UP = [1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1]
"""The room's z becomes the format's y; column by column."""
_COLOURS: dict[str, tuple[float, float, float]] = {
    "wood": (0.58, 0.39, 0.19),
    "end grain": (0.69, 0.51, 0.27),
    "plywood": (0.65, 0.48, 0.27),
    "cloth": (0.27, 0.35, 0.39),
    "felt": (0.18, 0.23, 0.26),
    "wool": (0.58, 0.52, 0.25),
    "wall": (0.90, 0.89, 0.86),
    "floor": (0.69, 0.66, 0.60),
    "ceiling": (0.96, 0.96, 0.94),
    "window": (0.48, 0.65, 0.75),
    "door": (0.46, 0.32, 0.19),
    "patch": (0.54, 0.58, 0.51),
    "keep clear": (0.75, 0.58, 0.53),
    "furniture": (0.62, 0.60, 0.57),
    "path": (0.07, 0.10, 0.12),
}
"""Linear red, green and blue of what is drawn: a picture, no promise of a colour. [1]"""
_OFF_M = 0.002
"""What lies flat on a face is drawn so far in front of it. [m]"""
_FLOAT, _UINT = 5126, 5125
_ARRAY, _ELEMENTS = 34962, 34963
_TRIANGLES, _LINES = 4, 1


@dataclass
class _File:
    """A file in the making."""

    nodes: list[dict[str, Any]] = field(default_factory=list)
    meshes: list[dict[str, Any]] = field(default_factory=list)
    materials: dict[tuple[str, str | None], int] = field(default_factory=dict)
    """By what it is and the colour that was chosen for it."""
    accessors: list[dict[str, Any]] = field(default_factory=list)
    views: list[dict[str, Any]] = field(default_factory=list)
    binary: bytearray = field(default_factory=bytearray)

    def material(self, name: str, chosen: str | None) -> int:
        return self.materials.setdefault((name, chosen), len(self.materials))

    def node(self, name: str, axes: Axes, mesh: int | None = None) -> int:
        """A thing in its frame."""
        columns = [(*axis, 0.0) for axis in axes.all] + [(*axes.origin, 1.0)]
        node: dict[str, Any] = {"name": name, "matrix": [x for column in columns for x in column]}
        if mesh is not None:
            node["mesh"] = mesh
        self.nodes.append(node)
        return len(self.nodes) - 1

    def accessor(self, values: NDArray[Any], kind: str, target: int) -> int:
        """An array in the binary part: (values, 3) or (values,)."""
        data = np.ascontiguousarray(values)
        view = {"buffer": 0, "byteOffset": len(self.binary), "byteLength": data.nbytes}
        self.views.append(view | {"target": target})
        self.binary += data.tobytes()
        entry: dict[str, Any] = {
            "bufferView": len(self.views) - 1,
            "componentType": _UINT if kind == "SCALAR" else _FLOAT,
            "count": len(data),
            "type": kind,
        }
        if kind == "VEC3":
            entry |= {"min": data.min(axis=0).tolist(), "max": data.max(axis=0).tolist()}
        self.accessors.append(entry)
        return len(self.accessors) - 1

    def primitive(
        self,
        look: str,
        places: NDArray[Any],
        normals: NDArray[Any] | None,
        order: NDArray[Any] | None,
        mode: int = _TRIANGLES,
        chosen: str | None = None,
    ) -> dict[str, Any]:
        """Triangles or lines of one look."""
        position = self.accessor(places.astype("<f4"), "VEC3", _ARRAY)
        attributes = {"POSITION": position}
        if normals is not None:
            attributes["NORMAL"] = self.accessor(normals.astype("<f4"), "VEC3", _ARRAY)
        entry = {"attributes": attributes, "material": self.material(look, chosen), "mode": mode}
        if order is not None:
            entry["indices"] = self.accessor(order.astype("<u4"), "SCALAR", _ELEMENTS)
        return entry

    def mesh(self, name: str, primitives: list[dict[str, Any]]) -> int:
        self.meshes.append({"name": name, "primitives": primitives})
        return len(self.meshes) - 1


def scene_glb(scene: Scene, title: str) -> bytes:
    """The scene as one binary file: each kind of piece once, each piece a node of its name.

    Faces are seen from inside alone, as in the drawings: programs that leave out backs show the
    room from outside with its near walls left out.
    """
    made = _File()
    children = [_face(made, surface) for surface in scene.surfaces]
    shapes = {shape.piece: _piece(made, shape) for shape in scene.shapes}
    for piece in scene.pieces:
        children.append(made.node(piece.name, piece.axes, shapes[piece.piece]))
    for one in scene.furniture:
        sides = _triangles_of(furniture_facets((one,)))
        children.append(made.node(one.name, _OWN, made.mesh(one.name, [_solid(made, sides)])))
    for mark in scene.marks:
        children.append(made.node(mark.name, Axes(origin=mark.point, **_level())))
    for path in scene.paths:
        ends = np.array([place for pair in pairwise(path.points) for place in pair])
        lines = made.primitive("path", ends, None, None, _LINES)
        mesh = made.mesh(f"{path.source} by {path.face} to {path.seat}", [lines])
        children.append(made.node(made.meshes[mesh]["name"], _OWN, mesh))
    made.nodes.append({"name": title, "matrix": _Y_UP, "children": children})
    return _packed(made)


def _level() -> dict[str, tuple[float, float, float]]:
    return {"right": _OWN.right, "up": _OWN.up, "out": _OWN.out}


def _piece(made: _File, shape: Shape) -> int:
    """A kind of piece, its parts by what they look like."""
    by_look: dict[Look, list[Body]] = {}
    for body in shape.outside:
        by_look.setdefault(body.look, []).append(body)
    primitives = []
    for look, bodies in by_look.items():
        places, normals, order = _triangles_of(body_facets(bodies, _OWN))
        chosen = shape.colour(look)
        primitives.append(made.primitive(look, places, normals, order, chosen=chosen))
    return made.mesh(shape.piece, primitives)


def _solid(made: _File, sides: tuple[NDArray[Any], NDArray[Any], NDArray[Any]]) -> dict[str, Any]:
    places, normals, order = sides
    return made.primitive("furniture", places, normals, order)


def _triangles_of(facets: Facets) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Corners, normals and order of a solid's sides, counter-clockwise seen from outside."""
    corners = facets.corners
    turn = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    back = np.einsum("fi,fi->f", turn, facets.normals) < 0
    corners = np.where(back[:, None, None], corners[:, ::-1], corners)
    start = 4 * np.arange(len(facets))[:, None]
    order = np.concatenate([start + np.array(half) for half in ((0, 1, 2), (0, 2, 3))])
    places = corners.reshape(-1, 3)
    sides = places[order]
    flat = np.linalg.norm(np.cross(sides[:, 1] - sides[:, 0], sides[:, 2] - sides[:, 0]), axis=1)
    return places, np.repeat(facets.normals, 4, axis=0), order[flat > 1e-15].reshape(-1)


def _face(made: _File, surface: Surface) -> int:
    """A face and what lies flat on it."""
    corners = [corner for triangle in triangles(surface.outline) for corner in triangle]
    primitives = [_flat(made, surface.kind, corners, 0.0)]
    for thing in surface.things:
        r = thing.place
        a, b = (r.u_m, r.v_m), (r.right_m, r.v_m)
        c, d = (r.right_m, r.top_m), (r.u_m, r.top_m)
        primitives.append(_flat(made, thing.kind, [a, b, c, a, c, d], _OFF_M))
    return made.node(surface.name, surface.axes, made.mesh(surface.name, primitives))


def _flat(
    made: _File, look: str, corners: Sequence[tuple[float, float]], off_m: float
) -> dict[str, Any]:
    places = np.array([(u, v, off_m) for u, v in corners])
    normals = np.tile([0.0, 0.0, 1.0], (len(places), 1))
    return made.primitive(look, places, normals, None)


def _packed(made: _File) -> bytes:
    """Both parts behind a header, each padded to four bytes."""
    whole = {
        "asset": {"version": "2.0", "generator": f"roomcheck {roomcheck.__version__}"},
        "scene": 0,
        "scenes": [{"nodes": [len(made.nodes) - 1]}],
        "nodes": made.nodes,
        "meshes": made.meshes,
        "materials": [_material(name, chosen) for name, chosen in made.materials],
        "accessors": made.accessors,
        "bufferViews": made.views,
        "buffers": [{"byteLength": len(made.binary)}],
    }
    text = json.dumps(whole, ensure_ascii=False, separators=(",", ":")).encode()
    chunks = b""
    for data, sign, pad in ((text, b"JSON", b" "), (bytes(made.binary), b"BIN\0", b"\0")):
        padded = data + pad * (-len(data) % 4)
        chunks += struct.pack("<I", len(padded)) + sign + padded
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _material(name: str, chosen: str | None) -> dict[str, Any]:
    colour = _COLOURS[name] if chosen is None else _linear(chosen)
    rough = {
        "baseColorFactor": [*colour, 1.0],
        "metallicFactor": 0.0,
        "roughnessFactor": 1.0,
    }
    return {"name": name, "pbrMetallicRoughness": rough}


def _linear(colour: str) -> list[float]:
    """Linear red, green and blue of "#rrggbb", after IEC 61966-2-1 (from memory). [1]"""
    parts = [value / 255 for value in bytes.fromhex(colour.removeprefix("#"))]
    return [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
