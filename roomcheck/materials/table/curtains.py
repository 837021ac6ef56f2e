"""Curtains by how full they hang: rows of the table between flat and folded to half their width.

Fullness is the width of the cloth over the width that it covers: 1 flat, 2 folded to half the area.
Only cloths for which handbooks print both ends, or one of them and a cloth of about the same weight
for the other, are offered; between the printed ends the value is interpolated and a quarter of
their distance counts into the uncertainty.
"""

from __future__ import annotations

from roomcheck.materials.absorption import Absorption

CURTAINS = {
    "velour": ("light curtain, flat", 1.0, "medium curtain, draped", 2.0),
    "cotton": ("cotton curtain, little folded", 8 / 7, "cotton curtain, some folds", 4 / 3),
    "loose": ("curtain, 150 mm off, flat", 1.0, "curtain, 150 mm off, folded", 2.0),
}
"""Row and fullness at the two printed ends of each cloth; "folded" without a number is taken as
2."""


def hung(cloth: str, fullness: float, flat_row: Absorption, folded_row: Absorption) -> Absorption:
    """A curtain that hangs with some fullness.

    Parameters
    ----------
    cloth : str
        A key of `CURTAINS`.
    fullness : float
        Width of the cloth over the width that it covers, between the printed ends. [1]
    flat_row, folded_row : Absorption
        The two printed ends.

    Returns
    -------
    Absorption
        Coefficients for the area that it covers.

    Raises
    ------
    ValueError
        A fullness beyond what is printed: there nothing is known.
    """
    _, least, _, most = CURTAINS[cloth]
    if not least <= fullness <= most:
        raise ValueError(
            f"fullness: found {fullness}, needed {least:.2f} to {most:.2f}, between the printed "
            "rows"
        )
    a, b = flat_row, folded_row
    share = (fullness - least) / (most - least)
    between = share * (1 - share) * 4
    said = f"{cloth} curtain, fullness {fullness:g}"
    rows = list(zip(a.values, b.values, a.uncertainty, b.uncertainty, strict=True))
    return Absorption(
        key=said,
        title=said,
        per_piece=False,
        bands_hz=a.bands_hz,
        values=tuple((1 - share) * x + share * y for x, y, _, _ in rows),
        uncertainty=tuple(
            (((1 - share) * u + share * v) ** 2 + (between * (y - x) / 4) ** 2) ** 0.5
            for x, y, u, v in rows
        ),
        source=f"between {a.title} ({a.source}) and {b.title} ({b.source})",
        mark="computed",
    )
