"""Who reads, and in which units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from roomcheck.job import Units

Who = Literal["client", "contractor", "acoustician"]


@dataclass(frozen=True, slots=True)
class Reader:
    """For whom a sentence is made."""

    who: Who = "contractor"
    """A client gets no jargon, a contractor what to do, an acoustician the standard's terms."""
    units: Units = "imperial"
    """Feet and inches with pounds, or metres and millimetres with kilograms."""
