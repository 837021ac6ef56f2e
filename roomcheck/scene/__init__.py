"""The room in space with everything in it, for every picture that is made of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.scene.choose import HALF_ANGLE_DEG, best_view, room_corners, shows_front, view_of
    from roomcheck.scene.cover import hidden, shadows
    from roomcheck.scene.facets import (
        Facets,
        body_facets,
        furniture_facets,
        hull_facets,
        piece_facets,
        surface_facets,
        triangles,
    )
    from roomcheck.scene.in_room import body_of, scene, shape_of, stacked
    from roomcheck.scene.results import (
        Axes,
        Body,
        Furniture,
        Look,
        Mark,
        Path,
        Role,
        Scene,
        Shape,
        Standing,
        Surface,
        Thing,
    )
    from roomcheck.scene.view import View, look_at

__all__ = [
    "HALF_ANGLE_DEG",
    "Axes",
    "Body",
    "Facets",
    "Furniture",
    "Look",
    "Mark",
    "Path",
    "Role",
    "Scene",
    "Shape",
    "Standing",
    "Surface",
    "Thing",
    "View",
    "best_view",
    "body_facets",
    "body_of",
    "furniture_facets",
    "hidden",
    "hull_facets",
    "look_at",
    "piece_facets",
    "room_corners",
    "scene",
    "shadows",
    "shape_of",
    "shows_front",
    "stacked",
    "surface_facets",
    "triangles",
    "view_of",
]

__getattr__, __dir__ = door(__name__)
