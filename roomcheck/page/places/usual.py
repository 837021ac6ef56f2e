"""What rooms usually have, with the sizes that such things usually have: a start for whoever then
measures the real one. All of it common practice; clearances are what a local code may exceed."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.job import USUAL_CLEARANCE_M, Units
from roomcheck.units import format_length


@dataclass(frozen=True, slots=True)
class Usual:
    """One thing that can be put on a face with one click."""

    key: str
    title: str
    kind: str
    """Table of the job's file: "patch" or "keep_clear"."""
    imperial: tuple[str, str, str, str]
    """Width, height, bottom, clearance; as a job in feet and inches writes them."""
    metric: tuple[str, str, str, str]
    material: str = ""
    opening: bool = False
    sort: str = ""
    """`kind` of a keep_clear."""

    def sizes(self, units: Units) -> dict[str, str]:
        """Width, height, bottom and clearance; what is usual for its kind stands in the job's own
        list."""
        texts = self.imperial if units == "imperial" else self.metric
        sizes = dict(zip(("width", "height", "bottom", "clearance"), texts, strict=True))
        clearance_m = USUAL_CLEARANCE_M.get(self.sort)
        if clearance_m is None:
            return sizes
        return sizes | {"clearance": format_length(clearance_m, units)}

    def values(self, units: Units) -> dict[str, str]:
        """The keys of its table, its place along the face apart."""
        own = {"kind": self.sort}
        if self.kind == "patch":
            own = {"material": self.material} | ({"opening": "yes"} if self.opening else {})
        return own | self.sizes(units)


USUAL = (
    Usual(
        "door", "door", "patch",
        ("3 ft", "6 ft 8 in", "0 in", "3 in"), ("0.9 m", "2.0 m", "0 m", "8 cm"),
        material="solid wooden door", opening=True,
    ),
    Usual(
        "window", "window", "patch",
        ("4 ft", "3 ft", "3 ft", "3 in"), ("1.2 m", "1.2 m", "0.9 m", "8 cm"),
        material="double glazing", opening=True,
    ),
    Usual(
        "curtain", "curtain", "patch",
        ("5 ft", "7 ft", "0 in", "0 in"), ("1.5 m", "2.2 m", "0 m", "0 cm"),
        material="heavy curtain, draped",
    ),
    Usual(
        "outlet", "outlet", "keep_clear",
        ("2 3/4 in", "4 1/2 in", "12 in", "4 in"), ("8 cm", "8 cm", "30 cm", "10 cm"),
        sort="outlet",
    ),
    Usual(
        "switch", "light switch", "keep_clear",
        ("2 3/4 in", "4 1/2 in", "46 in", "4 in"), ("8 cm", "8 cm", "1.05 m", "10 cm"),
        sort="switch",
    ),
    Usual(
        "radiator", "radiator", "keep_clear",
        ("3 ft", "24 in", "6 in", "6 in"), ("1.0 m", "60 cm", "15 cm", "15 cm"),
        sort="radiator",
    ),
    Usual(
        "vent", "supply vent", "keep_clear",
        ("14 in", "8 in", "7 ft", "12 in"), ("40 cm", "20 cm", "2.1 m", "30 cm"),
        sort="supply vent",
    ),
    Usual(
        "screen", "screen", "keep_clear",
        ("5 ft", "3 ft", "3 ft", "0 in"), ("1.4 m", "0.8 m", "1.0 m", "0 cm"),
        sort="screen",
    ),
    Usual(
        "shelf", "shelf", "keep_clear",
        ("3 ft", "6 ft", "0 in", "0 in"), ("0.9 m", "1.8 m", "0 m", "0 cm"),
        sort="shelf",
    ),
)  # fmt: skip
