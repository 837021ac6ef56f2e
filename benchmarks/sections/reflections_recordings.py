"""Reflections in open measured recordings: what roomcheck says, and what a practitioner would."""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from roomcheck.analyse.echoes.flutter import flutter
from roomcheck.analyse.echoes.images import Explained, explain
from roomcheck.analyse.echoes.peaks import Echogram, echogram
from roomcheck.analyse.echoes.reflections import LATE_S, listen
from roomcheck.analyse.places.evidence import arrived
from roomcheck.analyse.places.would_fit import least_move
from roomcheck.geometry import Point, Room
from roomcheck.measure import ImpulseResponse, load_impulse_response
from roomcheck.mirrors import mirror_paths

TITLE = "Reflections in measured rooms: what a practitioner would conclude"

C, REACH_S, SHOWN_DB = 343.2, 0.03, -15.0
ROOMS = 8


@dataclass(frozen=True)
class Case:
    """One recording; without a room no surface can be named. `concluded` was written by hand,
    looking at the curve."""

    file: str
    said: str
    concluded: str
    room: Room | None = None
    ends: tuple[Point, Point] = (Point(500, 500, 500), Point(501, 500, 500))


_LAB = {
    "room": Room.box(8.1, 6.8, 3.07),
    "ends": (Point(5.56, 2.019, 1.175), Point(1.66, 3.33, 0.99)),
}
"""The loudspeaker's place is that of its own number in the authors' file of positions."""

_OTHER = {
    "room": Room.box(8.1, 6.8, 3.07),
    "ends": (Point(3.37, 1.63, 1.08), Point(1.66, 3.33, 0.99)),
}
"""With the place that the authors' script writes, which is another loudspeaker's."""

CASES = (
    Case(
        "tudelft-curtains/curtains_open_real_room_3.wav",
        "Laboratory, curtains open (TU Delft; places as its authors' file of positions gives them)",
        "One arrival rules: -6 dB, 1.6 ms late. It is the floor, due to the hundredth of a "
        "millisecond; a rug or a stand nearer to the seat is the cure. What comes at 10 and 12 ms "
        "is 13 to 15 dB down, within what listening rooms ask; one of the two no wall explains.",
        **_LAB,
    ),
    Case(
        "tudelft-curtains/curtains_closed_real_room_3.wav",
        "The same, curtains closed",
        "The floor has not moved and not changed by half a decibel: curtains are not its cure. "
        "What comes between 10 and 14 ms fell by 1 to 3 dB.",
        **_LAB,
    ),
    Case(
        "tudelft-curtains/curtains_open_real_room_3.wav",
        "Curtains open, with another loudspeaker's place typed",
        "This is how an earlier version of this page had it, from the authors' script: it read "
        "the floor's arrival as a table, or as two stands 20 cm too low, and both were wrong. The "
        "loudspeaker stood 2.2 m from where it was typed. The lesson: none of the reflections "
        "that are due comes, so no surface and no thing may be named; what can be said is by how "
        "much a place would have to be elsewhere, at the least, and that a tape must decide. "
        "roomcheck says that now, and calls an arrival at doubted places a thing no more.",
        **_OTHER,
    ),
    Case(
        "c4dm-classroom/00x00y.wav",
        "Classroom (C4DM data set; places not known)",
        "Two early arrivals near 4 ms, and one at 24 ms that is nearly as loud as the direct "
        "sound: a slap off a far, bare wall some 4 m behind. A meeting room would be told so; "
        "in a classroom it comes before 50 ms and helps.",
    ),
    Case(
        "sweep-recording-lab2/derived_ir_GrCLab2SSRPos1Src1.wav",
        "Laboratory (Thessaloniki; places not known)",
        "A dense patch from 4 to 11 ms, none of it clearly above -10 dB, nothing that stands "
        "alone: scattering furniture. There is no surface to treat for reflections' sake, and "
        "roomcheck names none; one late echo at 37 ms, just above -10 dB, is listed.",
    ),
    Case(
        "music-practice-room/musicRoom_2A_int1_ir_1.wav",
        "Music practice room (places not known)",
        "Quiet between the direct sound and one arrival at 12.4 ms, -11 dB: within the -10 dB "
        "of listening rooms. Nothing to do, and roomcheck says nothing.",
    ),
    Case(
        "coupled-rooms-double-slope/doubleslope_RIR_200cm.wav",
        "Two rooms with a door between (first channel)",
        "One group at 15 to 17 ms, -6 dB at most: a bare wall some 2.6 m off the direct way, "
        "with something in relief on it or beside it; before it, at 3.7 ms, the floor by its "
        "time. roomcheck lists both; without a plan it can name no surface.",
    ),
)


def explained(case: Case, data: Path) -> tuple[Echogram, Explained]:
    """What roomcheck says of one recording, with the materials not known."""
    source, microphone = case.ends
    room = case.room or Room.box(1000, 1000, 1000)
    first = mirror_paths(room, source, microphone, 1)[0].length_m - math.dist(source, microphone)
    gram = echogram(response(case, data), LATE_S, first / C if case.room else None)
    assert gram is not None
    heard = listen("S", "M", gram, REACH_S)
    return gram, explain(
        room, [heard], {"S": source, "M": microphone}, lambda path: 1.0 * path.order, C, LATE_S
    )


def response(case: Case, data: Path) -> ImpulseResponse:
    """The recording; of several channels the first."""
    import soundfile as sf

    samples, rate = sf.read(data / case.file, always_2d=True)
    if samples.shape[1] == 1:
        return load_impulse_response(data / case.file)
    return ImpulseResponse(samples=samples[:, 0], rate_hz=rate)


def write(figures: Path) -> str | None:
    """The section, with one figure of all the curves; None where the recordings are not on the
    machine."""
    from open_data import folder

    data = folder()
    if data is None:
        return None
    parts = [
        "Level relative to the direct sound from 1 to 8 kHz, arrivals above -15 dB that stand "
        "out; read off the curves by eye first, then compared with what the tool lists.",
        "",
        _figure(figures, data),
        "",
    ]
    for case in CASES:
        _, done = explained(case, data)
        lines = [
            f"{1000 * n.arrival.delay_s:.2f} ms {n.arrival.level_db:.1f} dB "
            + (
                " or ".join(f"{' then '.join(p.names)} ({1000 * r:+.2f} ms)" for p, r in n.causes)
                or ("no wall explains it" if case.room else "room not known")
            )
            for n in done.pairs[0]
            if n.arrival.level_db > SHOWN_DB
        ]
        parts += [f"**{case.said}.** {'; '.join(lines) or 'Nothing stands out'}."]
        if case.room is not None:
            due, found = done.due[0]
            pairs = flutter(case.room, [("S", "M", response(case, data))], C)
            parts.append(
                f"Of {due} first reflections due above -12 dB {found} came; flutter: "
                f"{len(pairs)} pairs." + (_would_fit(case, data) if 2 * found < due else "")
            )
        parts += [f"*A practitioner:* {case.concluded}", ""]
    return "\n".join([*parts, _measured_smear(data), ""])


def _would_fit(case: Case, data: Path) -> str:
    """By how much one place would have to be elsewhere, where fewer than half of them came."""
    heard = arrived(response(case, data))
    assert heard is not None and case.room is not None
    source, microphone = case.ends
    move = least_move(
        heard,
        ("the loudspeaker", source),
        ("the microphone", microphone),
        room=case.room,
        loss_db=lambda path: 1.0 * path.order,
        speed_m_s=C,
    )
    if move is None:
        return " No place within 3 m makes most of them come."
    return (
        f" If only {move.position} stood elsewhere, it would be {move.away_m:.2f} m away at the "
        f"least, where {move.came} of {move.due} come."
    )


def measured_loudspeaker(data: Path) -> np.ndarray:
    """The direct sound of the laboratory recording, until just before the room answers, at 48
    kHz."""
    from scipy.signal import resample_poly

    ir = load_impulse_response(data / "sweep-recording-lab2/derived_ir_GrCLab2SSRPos1Src1.wav")
    peak = int(np.argmax(np.abs(ir.samples)))
    cut = ir.samples[peak - round(0.0010 * ir.rate_hz) : peak + round(0.0019 * ir.rate_hz)].copy()
    fade = round(0.0003 * ir.rate_hz)
    cut[:fade] *= np.linspace(0, 1, fade)
    cut[-fade:] *= np.linspace(1, 0, fade)
    return np.asarray(resample_poly(cut / np.abs(cut).max(), 160, 147))


def _measured_smear(data: Path) -> str:
    import reflections as rooms

    t = rooms.run(ROOMS, 100, smear=measured_loudspeaker(data), off_m=0.01)
    return (
        f"**Rooms of known geometry, a measured loudspeaker.** {ROOMS} rooms as in the section "
        "before, positions off by 1 cm, smeared by the direct sound of the laboratory "
        f"recording: alone, named rightly {t.right}/{t.alone}, within 10 cm "
        f"{t.placed}/{t.alone}, close with the truth among them {t.among}/{t.crowded}, level "
        f"within 1 dB {t.level_right}/{t.level}, false {t.false}/{t.named}."
    )


def _figure(figures: Path, data: Path) -> str:
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context({"svg.hashsalt": "reflections", "svg.fonttype": "none", "font.size": 7}):
        figure = Figure(figsize=(6.5, 7.5), layout="constrained")
        for axes, case in zip(figure.subplots(len(CASES), 1, sharex=True), CASES, strict=True):
            gram, done = explained(case, data)
            level = 20 * np.log10(np.maximum(np.abs(gram.wave), 1e-4))[gram.zero % 8 :: 8]
            t = (np.arange(len(level)) * 8 + gram.zero % 8 - gram.zero) * gram.step_s * 1000
            shown = (t > -1) & (t < 40)
            axes.plot(t[shown], level[shown], color="0.35", lw=0.5)
            at = [
                (1000 * n.arrival.delay_s, n.arrival.level_db)
                for n in done.pairs[0]
                if n.arrival.delay_s < 0.04
            ]
            axes.plot(*zip(*at, strict=True), "o", color="black", ms=3, lw=0)
            axes.set_ylim(-36, 5)
            axes.set_title(case.said, loc="left", fontsize=7)
            axes.set_ylabel("[dB]")
        axes.set_xlabel("after the direct sound [ms]")
        name = "reflections_recordings-curves.svg"
        figure.savefig(figures / name, metadata={"Date": None})
    return f"![Level over time of six recordings, arrivals marked](figures/{name})"
