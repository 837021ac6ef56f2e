"""Absorption as handbooks print it: every row names its book.

How sure a row is. The standard uncertainty of a coefficient is the larger of two: what laboratories
differ by on the same specimen (ISO 12999-2, see `laboratory`), and the sample standard deviation
between the books that print the same construction differently (`DIFFERING`). Neither covers a wall
that is not built like the book's. Areas of one piece take the first, as for a coefficient over one
square metre.

A band that a book leaves empty is missing. Coefficients above 1 stand as the laboratory's edges
made them.
"""

from __future__ import annotations

import difflib
import statistics

from roomcheck.errors import RoomcheckError
from roomcheck.materials.absorption import Absorption
from roomcheck.materials.table.curtains import CURTAINS, hung
from roomcheck.materials.table.laboratory import reproducibility_sd
from roomcheck.materials.table.rows import AREAS, COEFFICIENTS, DIFFERING, FOOTPRINTS, MaterialRow

BANDS_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
"""Octaves of the handbooks. [Hz]"""

BOOKS = {
    "B": "Bies, Hansen and Howard, Engineering Noise Control, 5th ed. (2017), Table 6.2",
    "L": "Long, Architectural Acoustics, 2nd ed. (2014), Table 7.1",
    "C": "Cox and D'Antonio, Acoustic Absorbers and Diffusers, 3rd ed. (2017), Appendix A",
    "V": "Vorländer, Auralization (2008), annex",
}


class UnknownMaterial(RoomcheckError):
    """A material that no row of the table is called."""

    def __init__(self, *, key: str, near: tuple[str, ...]) -> None:
        self.key, self.near = key, near
        meant = f" Did you mean {' or '.join(map(repr, near))}?" if near else ""
        super().__init__(f"{key!r} is not in the materials table.{meant}")


def absorption_of(key: str) -> Absorption:
    """A row of the table.

    Parameters
    ----------
    key : str
        As in `MATERIALS`; capitals do not matter.

    Raises
    ------
    UnknownMaterial
        Names the nearest rows.

    >>> absorption_of("thin carpet on concrete").at(1000)
    0.2
    """
    folded = " ".join(key.casefold().split())
    if folded not in MATERIALS:
        raise UnknownMaterial(
            key=key, near=tuple(difflib.get_close_matches(folded, MATERIALS, n=3, cutoff=0.5))
        )
    return MATERIALS[folded]


def _row(row: MaterialRow, *, per_piece: bool) -> Absorption:
    return Absorption(
        key=row.key,
        title=row.title,
        per_piece=per_piece,
        bands_hz=BANDS_HZ,
        values=row.values,
        uncertainty=tuple(_uncertainty(row.key, i, value) for i, value in enumerate(row.values)),
        source="; ".join(BOOKS[book] for book in row.books),
        mark="verified",
    )


def _uncertainty(key: str, band: int, value: float) -> float:
    laboratories = reproducibility_sd(BANDS_HZ[band], value)
    other = [values[band] for values in DIFFERING.get(key, ()) if values[band] is not None]
    books = statistics.stdev([value, *(v for v in other if v is not None)]) if other else 0.0
    return max(laboratories, books)


def _seat(key: str, title: str, rows: str, area_m2: float) -> Absorption:
    """One seat of a block of seats: its coefficient times the floor it takes."""
    block = _row(COEFFICIENTS[rows], per_piece=False)
    return Absorption(
        key=key,
        title=title,
        per_piece=True,
        bands_hz=block.bands_hz,
        values=tuple(area_m2 * value for value in block.values),
        uncertainty=tuple(area_m2 * u for u in block.uncertainty),
        source=f"{block.source}: {block.title}, times {area_m2:g} m² a seat",
        mark="computed",
    )


MATERIALS: dict[str, Absorption] = {
    **{key: _row(row, per_piece=False) for key, row in COEFFICIENTS.items()},
    **{key: _row(row, per_piece=True) for key, row in AREAS.items()},
    **{key: _seat(key, *footprint) for key, footprint in FOOTPRINTS.items()},
}
"""Every row of the table by its key."""


def curtain(cloth: str, fullness: float) -> Absorption:
    """A curtain that hangs with some fullness; see `curtains.hung`.

    Raises
    ------
    ValueError
        No such cloth, or a fullness beyond what is printed.

    >>> round(curtain("velour", 1.5).at(500), 2)
    0.3
    """
    if cloth not in CURTAINS:
        raise ValueError(f"cloth: found {cloth!r}, needed one of {', '.join(CURTAINS)}")
    flat, _, folded, _ = CURTAINS[cloth]
    return hung(cloth, fullness, MATERIALS[flat], MATERIALS[folded])


MATERIALS.update(
    (row.key, row)
    for row in (curtain(c, f) for c in ("velour", "loose") for f in (1.25, 1.5, 1.75))
)
