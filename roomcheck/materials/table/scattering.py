"""How much of what a surface reflects it scatters, as far as a source says so."""

from __future__ import annotations

from dataclasses import dataclass

_BANDS_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
_SOURCE = "Vorländer, Auralization (2008), annex, as carried in open data"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scattering:
    """Random-incidence scattering coefficients."""

    key: str
    title: str
    bands_hz: tuple[float, ...]
    """Octaves that the source gives [Hz]."""
    values: tuple[float, ...]
    """One for each of those octaves [1]."""
    source: str
    mark: str


def _row(key: str, title: str, *values: float) -> Scattering:
    bands = _BANDS_HZ[: len(values)]
    return Scattering(
        key=key, title=title, bands_hz=bands, values=values, source=_SOURCE, mark="verified"
    )


SCATTERING = {
    row.key: row
    for row in (
        _row(
            "classroom tables with people",
            "Rows of tables and people on chairs",
            0.2,
            0.3,
            0.4,
            0.5,
            0.5,
            0.6,
        ),
        _row("theatre audience", "Audience in a theatre", 0.3, 0.5, 0.6, 0.6, 0.7, 0.7),
        _row(
            "wood well diffuser",
            "One-dimensional well diffuser",
            0.06,
            0.15,
            0.45,
            0.95,
            0.88,
            0.91,
        ),
        _row("wood block diffuser", "Block diffuser", 0.01, 0.08, 0.45, 0.82, 1.0),
    )
}
"""Every scattering row by its key, where possible the key of the same thing's absorption."""
