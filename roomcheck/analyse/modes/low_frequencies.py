"""The modes of a visit, from its takes and what the job says of the room."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

from roomcheck.analyse.means import BandMean
from roomcheck.analyse.modes.mode_names import Place
from roomcheck.analyse.modes.modes import LOWEST_HZ, room_modes
from roomcheck.analyse.modes.results import Modes
from roomcheck.job import Job
from roomcheck.measure import Measurement

EDGE = 2 ** (1 / 6)
"""The sweep is not yet at full strength below so many times its lowest frequency. [1]"""


def modes_of_visit(
    kept: Sequence[Measurement],
    job: Job,
    visit: str,
    transition_hz: float | None,
    octaves: Sequence[BandMean],
) -> Modes | None:
    """The modes below the transition frequency; None where that is not known.

    Takes at another rate than most are left out of this alone.
    """
    if transition_hz is None or not kept:
        return None
    rate = Counter(m.response.rate_hz for m in kept).most_common(1)[0][0]
    used = [m for m in kept if m.response.rate_hz == rate]
    at = {position.name: position.point for position in (*job.sources, *job.microphones)}
    places = [
        Place(source=at[m.source], microphone=at[m.microphone])
        for m in used
        if m.source in at and m.microphone in at
    ]
    known = [band.t20_s for band in octaves if band.t20_s is not None]
    return room_modes(
        [m.response for m in used],
        room=job.room,
        transition_hz=transition_hz,
        speed_m_s=job.speed_of_sound_m_s(visit),
        from_hz=max([LOWEST_HZ, *(m.swept_hz[0] * EDGE for m in used if m.swept_hz)]),
        places=places if len(places) == len(used) else (),
        usual_s=median(known) if known else None,
    )
