"""Proof: modes of made-up rooms, and the low end of measured ones."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import soundfile as sf

import modes as made_up
import modes_lasting
import modes_rooms
import modes_speed
import rattles
from open_data import folder
from pages import table
from roomcheck.analyse import Modes, decays
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.analyse.modes.spectrum import response_of
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.report.figures.figure_modes import curves_svg, map_svg, modes_svg
from roomcheck.words import Reader, mode_name

TITLE = "Modes, rattles and the low end"

ROOMS, TAKES = 200, 20
DRAWS, BOXES, OVERLAPPING = 25, 60, 30


@dataclass(frozen=True)
class Recording:
    """A measured response, what is known of its room, and what one who knows the trade makes of the
    figures."""

    said: str
    file: str
    size_m: tuple[float, float, float]
    temperature_c: float
    concluded: str
    tool: str


RECORDINGS = (
    Recording(
        "Small seminar room, 146 m³ (BRAS CR2), about 8.4 × 6.7 × 3.0 m, one position",
        "bras-cr2-seminar-room/scene9_RIR_LS1_MP1_Dodecahedron.wav",
        (8.4, 6.7, 3.0),
        19.5,
        "Bare and reverberant, 2 s. Two notes near 59 and 62 Hz tower over the low end and hang "
        "on; the bass below 50 Hz is hardly in the record.",
        "Yes for 58.6 and 61.6 Hz, 2.0 and 1.6 s: the floor-to-ceiling mode and the third of "
        "the length. Below 50 Hz it gives none.",
    ),
    Recording(
        "Room with curtains open, 8.1 × 6.8 × 3.07 m, one position",
        "tudelft-curtains/curtains_open_real_room_3.wav",
        (8.1, 6.8, 3.07),
        20.0,
        (
            "Well damped; a small loudspeaker, nothing of worth below 70 Hz. One note near 80 Hz "
            "leads."
        ),
        (
            "In part: it gives none; near 80 Hz one position does not tell one note from its "
            "neighbours."
        ),
    ),
    Recording(
        "The same, curtains closed",
        "tudelft-curtains/curtains_closed_real_room_3.wav",
        (8.1, 6.8, 3.07),
        20.0,
        "Dead; no note rings on in the low end.",
        "Yes: it gives no mode. The record of 0.7 s is short for it.",
    ),
    Recording(
        "Classroom, about 7.5 × 9 × 3.5 m (size from memory), one position",
        "c4dm-classroom/00x00y.wav",
        (7.5, 9.0, 3.5),
        20.0,
        "Reverberant, 2 s, with steady tones in the record between 105 and 120 Hz. Ringing "
        "notes near 43, 58 and 77 Hz.",
        "Yes for 58 and 77 Hz; 43 Hz is among those that it could not tell apart from one "
        "position. The tones lie above what it looks at, and the 125 Hz octave has no decay "
        "time.",
    ),
    Recording(
        "Music practice room, 8.5 × 6.7 m, height not known (2.8 m assumed)",
        "music-practice-room/musicRoom_2A_int1_ir_1.wav",
        (8.5, 6.7, 2.8),
        16.0,
        "A small loudspeaker and noise: nothing can be said below 90 Hz.",
        "Yes: no mode is given.",
    ),
    Recording(
        "Room of unknown size (7 × 5 × 3 m assumed), response from a sweep",
        "sweep-recording-lab2/derived_ir_GrCLab2SSRPos1Src1.wav",
        (7.0, 5.0, 3.0),
        20.0,
        "Noise below 95 Hz: streaks that stand as long as the record. No verdict on modes.",
        "Yes: no mode is given.",
    ),
    Recording(
        "Reverberation chamber (7.9 × 6.2 × 5.0 m assumed; size not published)",
        "dtu-reverberation-chamber/ReverberationChamberDTU.wav",
        (7.9, 6.2, 5.0),
        20.0,
        "Rings for seconds at every note; the modes at 72 and 55 Hz tower over the rest.",
        "Yes: 71.7 Hz, 7.6 s, and 55.0 Hz, 4.4 s, stand out most after 150 ms.",
    ),
)


def write(figures: Path) -> str | None:
    """The section; the part on measured rooms only where their recordings are."""
    data = folder()
    if data is None:
        return None
    parts = [_made_up(), _rooms(data), _speed(), _rattles(), _measured(data, figures)]
    return "\n".join(parts)


def _made_up() -> str:
    shares = made_up.shares(list(made_up.outcomes(ROOMS)))
    rows = [
        (
            share.name,
            str(share.modes),
            f"{100 * share.given / max(share.modes, 1):.1f} %",
            f"{share.held_pct:.1f} %",
            f"{share.worst_hz:.2f} Hz, {share.worst_decay_pct:.0f} %",
            f"{share.rms_sd:.2f}",
        )
        for share in shares
    ]
    return (
        f"### Made-up modal rooms\n\n{ROOMS} rooms of 8 to 18 damped sinusoids from 20 to 170 Hz "
        "with decays of 0.2 to 1.2 s, a sixth of them with a second one less than a bandwidth "
        "(2.2/T) away, at 1, 3 or 6 positions in white noise (`benchmarks/modes.py`). Range: "
        "spectral peak over the mean noise, both of the whole record. A clear mode holds with "
        "0.5 Hz and 10 % of its decay; of the others frequency and decay each hold within twice "
        "the uncertainty that is printed, which is never below the Cramér-Rao bound (95.4 % is "
        "what a Gaussian error would give). The last column is the error over that uncertainty, "
        "root mean square. Modes closer than 0.6 of a bandwidth are mostly left out by intent: "
        "in real rooms such poles are not found again.\n\n"
        + table(("modes", "put in", "given", "held", "worst", "of its sd"), rows)
        + "\nWhat is not given is named as not told apart or too weak. Where standing waves of a box should be is held "
        "against printed tables of three rooms in `tests/analyse/test_modes.py`, the bound "
        "against its closed form.\n"
    )


def _rooms(data: Path) -> str:
    real = [modes_rooms.confirmed(room, DRAWS) for room in modes_rooms.real_rooms(data)]
    rows = [
        (
            found.name,
            str(found.sets),
            str(found.none),
            str(found.named),
            f"{100 * found.again / found.named:.0f} %" if found.named else "–",
            f"{found.by_chance_pct:.0f} %" if found.named else "–",
        )
        for found in real
    ]
    boxes = modes_rooms.boxes(BOXES)
    made = [
        _made(f"boxes, {named.places} place{'s' * (named.places > 1)}", [named]) for named in boxes
    ]
    made.append(_made("all", boxes))
    return (
        "### Modes that are there\n\nSix places of a real room against six others, drawn anew each "
        "time (`benchmarks/modes_rooms.py`): of the modes named from six, how many the other six "
        "name within twice the printed uncertainty; by chance: the same for frequencies 1 to 3 Hz "
        "beside them. Where modes overlap, none is the right answer: in the small hard room the "
        "mean spectrum over all its places has no peak where its size predicts one.\n\n"
        + table(("room", "sets", "with none", "named", "named again", "by chance"), rows)
        + _TRIED
        + "\nMade-up boxes: "
        "their standing waves in closed form, walls that absorb, a loudspeaker that rolls off "
        f"below 25 to 80 Hz, noise that rises towards the bass. Put in: modes {modes_rooms.LEAST_DB:.0f} "
        "dB or more over the noise with a bandwidth to the next that has 1 % of their energy, up to "
        "the transition frequency; named within half a bandwidth. Off: named ones with no true "
        "mode within twice the printed uncertainty.\n\n"
        + table(("rooms", "rooms", "put in", "named", "named in all", "off"), made)
        + f"\nOf {BOXES} tails of noise that dies away, another at each of 1, 3 or 6 places, "
        f"{modes_rooms.diffuse(BOXES)} have a mode named.\n\n" + _ONE_PLACE + _overlapping()
    )


def _overlapping() -> str:
    rung = modes_lasting.again(OVERLAPPING, with_note=True)
    even = modes_lasting.again(OVERLAPPING, with_note=False)
    return (
        f"In {OVERLAPPING} made-up rooms of sixty overlapping waves of 0.3 to 0.4 s with one note of "
        f"0.5 to 1 s among them (`benchmarks/modes_lasting.py`) {rung.sets} sets of six places name "
        f"{rung.named} modes, {rung.right} of them that note, {rung.again} named again by six "
        f"others; without the note {even.sets} sets name {even.named}.\n"
    )


def _made(title: str, counted: Sequence[modes_rooms.Named]) -> tuple[str, ...]:
    rooms, ought, given, named, off = (
        sum(getattr(one, name) for one in counted)
        for name in ("rooms", "ought", "given", "named", "off")
    )
    return (
        *(title, str(rooms), str(ought), f"{100 * given / ought:.0f} %"),
        *(str(named), f"{100 * off / named:.1f} %"),
    )


_ONE_PLACE = """Tried on 40 other boxes of one place each, 308 modes put in: 51 % were named as long as a pole needed a quarter
of its energy to be its own; 58 % now, where 5 % is enough for one that stays where it is (0.03 of a half bandwidth, 0.2
in what is left later), none off. A third of those left out lie above where a box of its size has had its first 32
modes, where nothing is looked for; looking up to the first 48 named 4 % more, two that are not there, and one in 60
tails of noise. In single places of the real rooms above hardly a mode more is named by it.

"""

_TRIED = """
Named there is what still rings alone 0.2 to 1 s after the onset: one note, 63 and 64.4 Hz, which the room's size
predicts (62.7 and 65.2 Hz). Its twelve places share one microphone, so this is one room and not many; what other
rooms give is not known. Tried on these sets, ten draws or more each, six places against six (named a set; named
again; by chance), in the order of the table:

| tried | small hard room | reflective | half absorptive |
|---|---|---|---|
| poles of the fit: places agree to 0.2, parts to 0.6 of a half bandwidth | 9.6; 35 %; 34 % | 6.5; 73 %; 32 % | 7.8; 71 %; 39 % |
| the same, parts to 0.4 | 4.9; 17 %; 15 % | 3.9; 48 %; 9 % | 4.8; 46 %; 21 % |
| the same, places to 0.1 | 0.9; 0 %; 0 % | 2.9; 30 %; 4 % | 3.0; 26 %; 4 % |
| the same, and 6 % of its energy its own | 0 | 0.4; 0 %; 0 % | 0.8; 9 %; 0 % |
| peaks, 6 dB, that 4 of 6 places have within 1 Hz, from 0.03 s on | 0.9; 17 %; 3 % | 0.8; 39 %; 0 % | 1.3; 3 %; 3 % |
| peaks of the mean of levels, 10 dB, any 4 of 6 within 1.5 Hz, from 0.12 s on | 0.4; 0 %; 0 % | 1.2; 53 %; 19 % | 1.1; 81 %; 9 % |
| the same of the mean of powers, 0.2 to 1 s | 0; –; – | 1.0; 100 %; 0 % | 1.0; 100 %; 3 % |
| the same from 0.15 s, or unweighted, or another 10 draws | 0; –; – | 1.0; 90–100 %; 0 % | 1.0; 100 %; 1–5 % |
| the same, to 0.8 s | 0; –; – | 0.8–1.0; 40–90 %; 0 % | 1.0; 100 %; 0 % |
| what is named, its ± by the root mean square over places left out, not the median | 0; –; – | 1.0; 96 %; 1 % | 1.0; 94 %; 12 % |
| the same, and only notes with a standard uncertainty below 0.5 Hz | 0; –; – | 1.0; 94 %; 0 % | 0.6; 38 %; 0 % |

Poles of a fit that other places confirm by chance, as most above do, are named nowhere.
"""


def _speed() -> str:
    rows = [
        (
            row.name,
            f"{1e3 * row.fit_then_s:.0f}",
            f"{1e3 * row.fit_now_s:.0f}",
            f"{row.fit_then_s / row.fit_now_s:.1f}",
            f"{1e3 * row.whole_then_s:.0f}",
            f"{1e3 * row.whole_now_s:.0f}",
            f"{row.whole_then_s / row.whole_now_s:.1f}",
            f"{row.alike} of {row.poles}",
            f"{row.off_sd:.2f}",
        )
        for row in modes_speed.ratios()
    ]
    heads = ("rooms", "fit then", "now", "times", "whole then", "now", "times", "alike", "apart")
    return (
        f"### Processor time of a visit's modes, beside commit {modes_speed.BASE}\n\nBoth programs "
        "in the same run on the same records, milliseconds of processor time (one thread of the "
        "linear algebra library where `OPENBLAS_NUM_THREADS=1` is set): the fit of the poles, and "
        "all that a visit's modes take, which now confirms them by places as well. Alike: poles "
        "known to a tenth of their damping that both fits have within three of their bounds, and "
        "how far apart these are, root mean square, in bounds. Where modes overlap both find some "
        "of many near-equal fits; none of those is named (`benchmarks/modes_speed.py`).\n\n"
        + table(heads, rows)
    )


def _rattles() -> str:
    found = [rattles.buzzing(TAKES, *levels) for levels in rattles.BUZZES]
    found += [rattles.quiet(TAKES, name) for name in rattles.SPEAKERS]
    rows = [
        (f.name, str(f.takes), str(f.found), f"{f.worst_pct:.1f} %" if f.found else "–")
        for f in found
    ]
    return (
        "### Rattles\n\nA panel that knocks against its frame between 60 and 300 Hz, in made-up "
        "rooms; and takes in which nothing buzzes, through loudspeakers that distort, in noise "
        "35 to 70 dB below the sweep (`benchmarks/rattles.py`).\n\n"
        + table(("take", "takes", "a buzz in", "note off by"), rows)
    )


def _measured(data: Path, figures: Path) -> str:
    parts = [
        "### Measured rooms\n\nFor each recording: what one would conclude from its figures "
        "(decay map, decay curves, response), and whether roomcheck said so. All are single "
        "responses; three or more positions tell more.\n"
    ]
    for i, recording in enumerate(RECORDINGS):
        take, modes, names = _look(data, recording)
        if i in (0, 3, 6):
            name = Path(recording.file).parts[0]
            for kind, svg in (
                ("map", map_svg(take, modes.from_hz, modes.to_hz)),
                ("list", modes_svg(modes)),
                ("curves", curves_svg(take, decays(take.response))),
            ):
                file = f"modes-{name}-{kind}.svg"
                (figures / file).write_text(svg, encoding="utf-8")
                names.append(f"![{recording.said}: {kind}](figures/{file})")
        parts.append(
            f"**{recording.said}.** {_list(modes)} *One would conclude:* {recording.concluded} "
            "*Did it say so?* "
            f"{recording.tool}\n\n" + "\n".join(names) + "\n"
        )
    return "\n".join(parts)


def _look(data: Path, recording: Recording) -> tuple[Measurement, Modes, list[str]]:
    samples, rate = sf.read(data / recording.file, always_2d=True)
    response = ImpulseResponse(samples=samples[:, 0], rate_hz=rate)
    room = Room.box(*recording.size_m)
    known = [band.t20_s for band in decays(response) if band.t20_s is not None]
    usual = sorted(known)[len(known) // 2]
    low = next(band.t20_s for band in decays(response)[1:] if band.t20_s is not None)
    modes = room_modes(
        [response],
        room=room,
        transition_hz=2000 * math.sqrt(low / room.volume_m3),
        speed_m_s=343.2 * math.sqrt((recording.temperature_c + 273.15) / 293.15),
        usual_s=usual,
    )
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=0.0, noise_dbfs=None)
    take = Measurement(
        source="source", microphone="microphone", take="", response=response, check=check
    )
    shown = response_of(response, "source", "microphone")
    told = [] if shown is None else [f"Response clear of noise from {shown.clear_from_hz:.0f} Hz."]
    return take, modes, told


def _list(modes: Modes) -> str:
    if not modes.found:
        return f"No modes given from {modes.from_hz:.0f} to {modes.to_hz:.0f} Hz."
    most = sorted(modes.found, key=lambda mode: -(mode.late_db or -99.0))[:6]
    said = "; ".join(
        f"{mode.frequency_hz:.1f} Hz {mode.decay_s:.2f} ± {2 * mode.decay_u_s:.2f} s"
        + (f" ({mode_name(mode.box, Reader(who='acoustician'))})" if mode.box else "")
        for mode in most
    )
    return (
        f"{len(modes.found)} modes up to {modes.to_hz:.0f} Hz; those that stand out most after 150 "
        f"ms: {said}."
    )
