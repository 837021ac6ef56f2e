"""How much sound the pieces of a plan take in each octave."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

from roomcheck.job import Job, Placement
from roomcheck.materials import Absorption
from roomcheck.report.sound.early import absorption_of_piece, bare_surface
from roomcheck.units import OCTAVES_HZ


def added_m2(job: Job, pieces: Sequence[Placement]) -> dict[float, float]:
    """Absorption that pieces add to the bare surfaces behind them, by octave [Hz]. [m2]

    Below the lowest octave in which a piece or surface is known its value there is taken, above the
    highest that one's. Pieces of which nothing is known add nothing.
    """
    added = dict.fromkeys(OCTAVES_HZ, 0.0)
    for placed in pieces:
        piece = absorption_of_piece(job, placed)
        if piece is None:
            continue
        area_m2 = placed.place.area_m2
        bare = bare_surface(job, job.room.face(placed.face), *placed.place.centre)
        for hz in OCTAVES_HZ:
            taken = _near(piece, hz) * (1.0 if piece.per_piece else area_m2)
            added[hz] += taken - _near(bare, hz) * area_m2
    return added


def _near(absorption: Absorption, hz: float) -> float:
    """The value in an octave, or in the nearest that has one."""
    nearest_hz = min(absorption.bands_hz, key=lambda band_hz: abs(log(band_hz / hz)))
    return absorption.at(nearest_hz) or 0.0
