"""What was measured on a face from afar, with its uncertainty, as an entry of the job."""

from __future__ import annotations

from math import ceil

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Rectangle
from roomcheck.job.model.job import Job, Units
from roomcheck.job.read.entries import KINDS
from roomcheck.job.usual import USUAL_CLEARANCE_M, USUAL_OPENINGS
from roomcheck.job.write.edit import Edit
from roomcheck.units import M_PER_IN, format_length

FOUND_KINDS = (*USUAL_OPENINGS, *USUAL_CLEARANCE_M)
"""What a thing that is found can be: openings, and kinds whose clearance is known."""
_CASING_M = 3 * M_PER_IN
"""Kept free around an opening: casing and handle, as usual. [m]"""


def found_edits(
    job: Job, face: str, name: str, kind: str, place: Rectangle, within_m: float
) -> tuple[Edit, ...]:
    """Changes that make a thing an entry of the job, or give one that is there this size and place.

    Parameters
    ----------
    kind : str
        Of `FOUND_KINDS`; not looked at where the job has the thing.
    place : Rectangle
        In the face's frame. [m]
    within_m : float
        Expanded uncertainty of its edges, k = 2. [m]

    Raises
    ------
    RoomcheckError
        Nothing is of this kind, or nothing is usual for the clearance of its kind.
    """
    sizes = _sizes(job.units, place, within_m)
    for way, things in (("patch", job.patches), ("keep_clear", job.keep_clear)):
        if any(thing.name == name and thing.face == face for thing in things):
            return tuple(Edit((way, name, key), text) for key, text in sizes.items())
    own = {"name": name, "face": face}
    if kind in USUAL_OPENINGS:
        casing = format_length(_CASING_M, job.units)
        more = {"material": USUAL_OPENINGS[kind], "opening": "yes", "clearance": casing}
        return (Edit(("patch", name), {**own, **more, **sizes}),)
    if kind not in KINDS:
        raise RoomcheckError(f"{kind!r} is no kind; one of {', '.join((*USUAL_OPENINGS, *KINDS))}")
    if kind not in USUAL_CLEARANCE_M:
        raise RoomcheckError(
            f"{kind}: nothing is usual for the clearance of its kind; type it into job.toml"
        )
    clearance = format_length(USUAL_CLEARANCE_M[kind], job.units)
    return (Edit(("keep_clear", name), {**own, "kind": kind, **sizes, "clearance": clearance}),)


def _sizes(units: Units, place: Rectangle, within_m: float) -> dict[str, str]:
    """Place, size and how far the edges may be off, as the job writes lengths; what rounding takes
    is added to the doubt."""
    sizes = {
        "left": max(place.u_m, 0.0),
        "bottom": max(place.v_m, 0.0),
        "width": place.width_m,
        "height": place.height_m,
    }
    texts = {key: format_length(value, units) for key, value in sizes.items()}
    step_m = M_PER_IN / 16 if units == "imperial" else 1e-3
    up_m = step_m * ceil((within_m + step_m / 2) / step_m)
    return {**texts, "within": format_length(up_m, units)}
