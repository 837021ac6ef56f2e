"""What the shop cuts, buys, glues and hangs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


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
        Of one. [kg]
    hours : Decimal
        To build all of them.
    """

    piece: str
    names: tuple[str, ...]
    cuts: tuple[Cut, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    weight_kg: float
    hours: Decimal
    row_map: tuple[tuple[float, ...], ...] = ()


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
    """Where one piece hangs.

    Attributes
    ----------
    name, piece, face : str
    left_m, top_m : float
        Left edge from the face's left corner, top edge above the floor (ceiling: far edge). [m]
    width_m, height_m : float
        [m]
    cleat_m : float or None
        Bottom line of the wall cleat above the floor. [m]
    studs_m : tuple of float
        Framing centres behind it, from the left corner. [m]
    cautions : tuple of str
    """

    name: str
    piece: str
    face: str
    left_m: float
    top_m: float
    width_m: float
    height_m: float
    cleat_m: float | None
    studs_m: tuple[float, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet:
    """Everything the shop and the installer need.

    Attributes
    ----------
    sheets : tuple of PieceSheet
    purchases : tuple of Purchase
    hanging : tuple of HangingLine
    build_hours, install_hours : Decimal
    weight_kg : float
        Of all pieces. [kg]
    cautions : tuple of str
    """

    sheets: tuple[PieceSheet, ...]
    purchases: tuple[Purchase, ...]
    hanging: tuple[HangingLine, ...]
    build_hours: Decimal
    install_hours: Decimal
    weight_kg: float
    cautions: tuple[str, ...]
