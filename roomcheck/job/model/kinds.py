"""Closed lists of the job's and the shop's file: what stands behind a face, what the shop buys."""

from __future__ import annotations

from roomcheck.facts import Kind


class FramingKind(Kind):
    """What carries the sheathing of a wall or a ceiling, and so what a screw finds behind it."""

    WOOD_STUDS = "wood studs"
    """Joists where the face is a ceiling."""
    STEEL_STUDS = "steel studs"
    MASONRY = "masonry"
    CONCRETE = "concrete"
    GRID = "grid"
    """Of a hung ceiling: carries nothing but its own tiles."""
    UNKNOWN = "unknown"


class ShopMaterial(Kind):
    """What a price of the shop's file buys, as far as cutting, weighing and buying differ by it."""

    BOARD = "board"
    """Solid wood by length: frames and spacers."""
    STICK = "stick"
    """Square stick that blocks are cut from."""
    SLAT = "slat"
    """Solid wood for the fronts of slatted boxes."""
    PLYWOOD = "plywood"
    """Sheet goods by area; anything but plywood says its density."""
    CORE = "core"
    """Boards or batts of porous absorber, laid into a frame."""
    FABRIC = "fabric"
    """Cloth off the roll, before or behind a core."""
    FELT = "felt"
    GLUE = "glue"
    FINISH = "finish"
    SCREW = "screw"
    HANGING_SET = "hanging set"
    """One lift point of a piece overhead."""
    SAFETY_WIRE = "safety wire"
    """The second hold of a piece overhead."""
    ANCHOR = "anchor"
    """What fixes a cleat, or a lift point, where there is no wood: `into` says where."""
    HARDWARE = "hardware"
    """Anything else that is neither cut nor weighed: staples, nails, brackets, tape."""
    UNKNOWN = "unknown"


class UsedFor(Kind):
    """Which of two purposes a material serves where a piece has both."""

    FACE = "face"
    BACK = "back"


NEEDED_SIZES: dict[ShopMaterial, tuple[str, ...]] = {
    ShopMaterial.BOARD: ("thickness", "width"),
    ShopMaterial.SLAT: ("thickness",),
    ShopMaterial.PLYWOOD: ("thickness",),
    ShopMaterial.CORE: ("thickness", "width", "length"),
}
"""Keys of a price without which nothing can be cut from it, or weighed."""

MADE_OF_STUDS = (FramingKind.WOOD_STUDS, FramingKind.STEEL_STUDS)
"""Kinds of framing with a spacing."""
