"""How a surface absorbs, band by band, and where the numbers come from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Absorption:
    """Random-incidence absorption of a surface or of a piece."""

    key: str
    title: str
    per_piece: bool
    """True where the values are equivalent areas of one piece [m2], not coefficients."""
    bands_hz: tuple[float, ...]
    """Octaves that the source gives; the others are missing, not zero [Hz]."""
    values: tuple[float, ...]
    """Coefficients (above 1 where a laboratory's edges made them so), or areas [1] or [m2]."""
    uncertainty: tuple[float, ...]
    """Standard uncertainty of each value [1] or [m2]."""
    source: str
    """Book or standard, with table or page; or the model that computed them."""
    mark: str
    """"verified", "memory", "common practice" or "computed"."""

    def at(self, band_hz: float) -> float | None:
        """The value in one octave; None where the source has none."""
        return dict(zip(self.bands_hz, self.values, strict=True)).get(band_hz)

    def uncertainty_at(self, band_hz: float) -> float | None:
        return dict(zip(self.bands_hz, self.uncertainty, strict=True)).get(band_hz)
