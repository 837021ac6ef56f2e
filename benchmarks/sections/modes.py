"""Proof: modes of made-up rooms, and the low end of measured ones."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import soundfile as sf

import modes as made_up
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
        "the length. What it gives below 50 Hz it calls uncertain by half and more.",
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
            "Yes: 79.7 Hz, 0.5 s, is the strongest; the others are printed with uncertainties of a "
            "fifth and more."
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
        "Yes for 43 and 77 Hz; 58 Hz is among those that it could not tell apart from one "
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
        "In part: it leaves faint streaks out as hum or noise, and still gives four lines from "
        "45 to 76 Hz that a careful person would not.",
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
    return "\n".join([_made_up(), _rattles(), _measured(data, figures)])


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
        "root mean square.\n\n"
        + table(("modes", "put in", "given", "held", "worst", "of its sd"), rows)
        + "\nWhat is not given is named as not told apart or too weak. Where standing waves of a box should be is held "
        "against printed tables of three rooms in `tests/analyse/test_modes.py`, the bound "
        "against its closed form.\n"
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
