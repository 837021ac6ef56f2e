"""What was measured on a photograph as entries of the job, beside what was taped."""

from __future__ import annotations

from math import ceil

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face
from roomcheck.job import KINDS, USUAL_CLEARANCE_M, USUAL_OPENINGS, Edit, Job, Units
from roomcheck.measure.photo.results import Measured
from roomcheck.units import M_PER_IN, format_length

PHOTO_KINDS = (*USUAL_OPENINGS, *USUAL_CLEARANCE_M)
"""What a thing measured on a photograph can be: openings, and kinds whose clearance is known."""


def entry_edits(job: Job, face: Face, name: str, kind: str, found: Measured) -> tuple[Edit, ...]:
    """Changes that make a thing an entry of the job, or give one that is there the photograph's
    size and place.

    Parameters
    ----------
    kind : str
        Of `PHOTO_KINDS`; not looked at where the job has the thing.

    Raises
    ------
    RoomcheckError
        Nothing is of this kind, or nothing is usual for the clearance of its kind.
    """
    sizes = _sizes(job.units, found)
    for way, things in (("patch", job.patches), ("keep_clear", job.keep_clear)):
        if any(thing.name == name and thing.face == face.name for thing in things):
            return tuple(Edit((way, name, key), text) for key, text in sizes.items())
    own = {"name": name, "face": face.name}
    if kind in USUAL_OPENINGS:
        more = {"material": USUAL_OPENINGS[kind], "opening": "yes", "clearance": _usual(job, 3)}
        return (Edit(("patch", name), {**own, **more, **sizes}),)
    if kind not in KINDS:
        raise RoomcheckError(f"{kind!r} is no kind; one of {', '.join((*USUAL_OPENINGS, *KINDS))}")
    if kind not in USUAL_CLEARANCE_M:
        raise RoomcheckError(
            f"{kind}: nothing is usual for the clearance of its kind; type it into job.toml"
        )
    clearance = format_length(USUAL_CLEARANCE_M[kind], job.units)
    entry = {**own, "kind": kind, **sizes, "clearance": clearance}
    return (Edit(("keep_clear", name), entry),)


def _usual(job: Job, inches: float) -> str:
    """Around casing and handle, as the page adds openings."""
    return format_length(inches * M_PER_IN, job.units)


def _sizes(units: Units, found: Measured) -> dict[str, str]:
    """Place, size and how far the edges may be off, as the job writes lengths; what rounding takes
    is added to the doubt."""
    places = {"left": found.left_m, "bottom": found.bottom_m}
    sizes = {**places, "width": found.width_m, "height": found.height_m}
    texts = {key: format_length(max(value, 0.0), units) for key, value in sizes.items()}
    step_m = M_PER_IN / 16 if units == "imperial" else 1e-3
    doubts = (found.left_95_m, found.bottom_95_m, found.width_95_m, found.height_95_m)
    within_m = step_m * ceil((max(doubts) + step_m / 2) / step_m)
    return {**texts, "within": format_length(within_m, units)}
