"""125 Hz in small rooms: what is read, and what of it is the room's."""

from __future__ import annotations

import math
import os
from pathlib import Path

import low_octave
from pages import table
from roomcheck.analyse.visit.average import MODES_LONGER_BT_PCT, MODES_LONGER_PCT
from roomcheck.standards.iso_3382_2_2008 import t20_sd_s

TITLE = "125 Hz in small rooms"

ROOMS = int(os.environ.get("ROOMS", "60"))
SWEEPS = 10
TIMES_S, PLACES = (0.4, 0.6), (1, 3, 6)


def write(figures: Path) -> str | None:
    found = [
        low_octave.read(kind, t60_s, places, ROOMS)
        for kind in low_octave.KINDS
        for t60_s in TIMES_S
        for places in PLACES
    ]
    return "\n".join((_how(), table(_HEAD, [_row(read) for read in found]), _so(found)))


def _how() -> str:
    return (
        f"{ROOMS} made-up rooms a row, 18 to 43 m³, loudspeaker near a corner, microphones at the "
        "height of ears, by two models that share nothing (`benchmarks/low_octave.py`): *waves*, "
        "standing waves in closed form, each with its own damping, where the octave of each place "
        "and of the whole room is known without a filter; *images*, image sources of first and "
        "second order added as pressures and a tail of noise that takes over the energy of the "
        "others. The room's T20 is that of its energy, averaged over all places. T = 0.4 and 0.6 s.\n"
    )


_HEAD = (
    *(
        "rooms",
        "T",
        "places",
        "given",
        "place over its own decay: median, 95th percentile of the error",
    ),
    *("places over the room: sd", "mean over the room's: mean, 5th to 95th percentile"),
    *("printed ±, median", "it holds the room's", "holds the mean over many places"),
)


def _row(read: low_octave.Read) -> tuple[str, ...]:
    median, p95 = read.to_own
    mean, low, high = read.means
    own = "–" if math.isnan(median) else f"{median:.3f}, {100 * p95:.1f} %"
    everywhere = "–" if math.isnan(read.longer) else f"{100 * read.held_everywhere:.0f} %"
    return (
        *(read.kind, f"{read.t60_s:g} s", str(read.places), f"{100 * read.given:.0f} %", own),
        *(f"{100 * read.place_sd:.0f} %", f"{mean:.2f}, {low:.2f} to {high:.2f}"),
        *(f"{100 * read.printed:.0f} %", f"{100 * read.held:.0f} %", everywhere),
    )


def _so(found: list[low_octave.Read]) -> str:
    longer = [100 * (read.longer - 1) for read in found if not math.isnan(read.longer)]
    chance = 100 * t20_sd_s(0.6, low_octave.BAND_HZ) / 0.6
    shared = found[-1]
    sweeps = [
        low_octave.through_a_sweep(low_hz, seconds, SWEEPS)
        for low_hz, seconds in ((20, 8), (63, 3))
    ]
    tilted = low_octave.between_octaves((0.4, 0.6, 0.35), 100.0) - 1
    real = [read for read in found if read.kind != shared.kind]
    short, inside = (sum(read.short[k] for read in real) for k in (0, 1))
    tails = [read for read in found if read.kind == shared.kind]
    short_shared, inside_shared = (sum(read.short[k] for read in tails) for k in (0, 1))
    least = 100 * min(read.held for read in real)
    return (
        "A place is read as its own decay is: nothing is lost by filter, noise or start. What the "
        "octave of a room *is* has two answers where a few modes of different decay make it up: the "
        f"mean over many places is {min(longer):.0f} to {max(longer):.0f} % longer than the decay of "
        "the room's energy, since each place hears few modes. ISO 3382-2 allows either mean (from "
        "memory). In octaves below the transition frequency roomcheck says so beside the value, and "
        f"the printed ± allows for it: {MODES_LONGER_BT_PCT:.0f} % over bandwidth times T, at most "
        f"{MODES_LONGER_PCT:.0f} %, to either side, as likely here as there, on top of what "
        "chance and places leave, and not less with more places. With that it holds the room's T20 "
        f"in {least:.0f} % of the rooms or more in every row but those with one tail.\n\n"
        f"0.49 s was read once for 0.60 s. In {sum(r.rooms for r in real)} rooms here {short} read so "
        f"short ({low_octave.SHORT:.2f} of the truth or less); the printed ± holds the truth in "
        f"{inside} of them. Why one reads short: one place strays by {chance:.0f} % by chance (ISO "
        "3382-2, Annex A); neighbours of 0.4 and 0.35 s and a loudspeaker that falls off below 100 "
        f"Hz make the octave's own decay {100 * tilted:+.0f} % (closed form), since its edges then "
        "die away sooner. A sweep takes nothing: it brings 0.6 s back to "
        f"{_spread(sweeps[0])} (20 Hz, 8 s) and {_spread(sweeps[1])} (63 Hz, 3 s): median, and "
        f"standard deviation over {SWEEPS} draws. Where a model gives all places one tail, as the "
        "last rows do, their mean strays as much as one place however many there are: "
        f"{short_shared} of {sum(r.rooms for r in tails)} read so short, {inside_shared} of them "
        "held. Real places half a wavelength apart (1.4 m) do not share their tail; whether the "
        "model in question did is not known, for its recordings are not at hand.\n"
    )


def _spread(found: tuple[float, float]) -> str:
    return f"{found[0]:+.1f} ± {found[1]:.1f} %"
