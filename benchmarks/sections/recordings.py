"""Proof 3: open measured recordings, beside what others found in the same files."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import soundfile as sf

from open_data import folder
from pages import reason_of, save, table
from roomcheck.analyse import BandDecay, decays
from roomcheck.measure.signal.signals import ImpulseResponse

TITLE = "Measured recordings beside other analyses"

LIMITS_PCT = {"edt_s": 10.0, "t20_s": 5.0, "t30_s": 5.0}
NAMES = {"edt_s": "EDT", "t20_s": "T20", "t30_s": "T30"}


@dataclass(frozen=True)
class Recording:
    """One file of the open data.

    Attributes
    ----------
    said : str
        What it is.
    origin : str
        Where it was published.
    file : str
        In the data folder, without ".wav".
    """

    said: str
    origin: str
    file: str


RECORDINGS = {
    "seminar room": Recording(
        "small seminar room of 146 m³, dodecahedron",
        (
            "Benchmark for Room Acoustical Simulation (BRAS), scene CR2, 2020, DOI "
            "10.14279/depositonce-6726.3"
        ),
        "bras-cr2-seminar-room/scene9_RIR_LS1_MP1_Dodecahedron",
    ),
    "sweep, derived elsewhere": Recording(
        "room of unknown size, response derived from a sweep by an independent program",
        "test data of an open Python package of the Aristotle University of Thessaloniki",
        "sweep-recording-lab2/derived_ir_GrCLab2SSRPos1Src1",
    ),
    "classroom": Recording(
        "classroom of about 236 m³",
        "C4DM room impulse response data set, Queen Mary University of London, 2010",
        "c4dm-classroom/00x00y",
    ),
    "practice room": Recording(
        "music practice room 8.5 m x 6.7 m, mostly trailing noise",
        "impulse response data set of an asynchronous microphone array, Kitamura laboratory",
        "music-practice-room/musicRoom_2A_int1_ir_1",
    ),
    "reverberation chamber": Recording(
        "reverberation chamber, late onset",
        "teaching material of the Technical University of Denmark, 2012",
        "dtu-reverberation-chamber/ReverberationChamberDTU",
    ),
    "small room": Recording(
        "small room",
        "teaching material of the Technical University of Denmark, 2012",
        "dtu-reverberation-chamber/room",
    ),
    "clap": Recording(
        "seminar room, two boards clapped",
        "communication acoustics exercises, University of Rostock, CC0",
        "binaural-sweep-seminar-room/rir_clap",
    ),
    "coupled rooms": Recording(
        "two coupled rooms, double slope",
        "example data of G. Götz et al., J. Acoust. Soc. Am. 152 (2022) 942",
        "coupled-rooms-double-slope/doubleslope_RIR_200cm",
    ),
    "sports centre": Recording(
        "sports centre",
        "OpenAIR library, University of York, CC BY-SA 3.0",
        "openair-sports-centre/ir_sportscentre_omni",
    ),
    "curtains open": Recording(
        "laboratory room 8.1 m x 6.8 m, curtains open",
        "bachelor research project, TU Delft, 2024",
        "tudelft-curtains/curtains_open_real_room_3",
    ),
    "curtains closed": Recording(
        "the same, curtains closed",
        "bachelor research project, TU Delft, 2024",
        "tudelft-curtains/curtains_closed_real_room_3",
    ),
}

UNUSABLE = (
    ("classroom", 125.0, ("edt_s", "t20_s", "t30_s"), "some 16 dB of range"),
    ("sweep, derived elsewhere", 63.0, ("t20_s", "t30_s"), "23 dB of range"),
    ("sweep, derived elsewhere", 125.0, ("t30_s",), "38 dB of range"),
    ("clap", 63.0, ("edt_s", "t20_s", "t30_s", "c50_db"), "a clap has no low end"),
    ("clap", 125.0, ("edt_s", "t20_s", "t30_s", "c50_db"), "a clap has no low end"),
    ("clap", 250.0, ("t20_s", "t30_s"), "28 dB of range"),
    ("curtains open", 63.0, ("t30_s",), "too little range"),
    ("curtains open", 125.0, ("t30_s",), "too little range"),
    ("curtains closed", 63.0, ("t30_s",), "too little range"),
    ("curtains closed", 125.0, ("t30_s",), "too little range"),
)
"""Bands that the notes beside the recordings call unusable, and for what."""


@cache
def found(data: Path, name: str) -> dict[float, BandDecay]:
    """This program's octaves of a recording, first channel."""
    import soundfile

    samples, rate_hz = soundfile.read(data / f"{RECORDINGS[name].file}.wav", always_2d=True)
    return {
        band.band_hz: band
        for band in decays(ImpulseResponse(samples=samples[:, 0], rate_hz=rate_hz))
    }


@cache
def beside(data: Path, name: str) -> dict[float, dict[str, float]]:
    """What a library that treats noise (pyrato 1.1.0) found in the same file: EDT, T20 and T30 by
    octave. [s]"""
    file = data / RECORDINGS[name].file
    with (file.parent / f"other_libraries_{file.name}.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    return {
        float(row["octave_hz"]): {
            key: float(row[f"pyrato_{column}_s"])
            for key, column in NAMES.items()
            if row[f"pyrato_{column}_s"]
        }
        for row in rows
    }


def why_not(band: BandDecay, band_hz: float) -> str | None:
    """Why 5 % (EDT 10 %) are not asked of a band; None where they are."""
    if band.t20_s is None or band.curvature_pct is None:
        return "no T20 or T30 here"
    if band_hz < 250:
        return "below 250 Hz"
    if band.range_db is None or band.range_db < 50:
        return f"range {band.range_db:.0f} dB"
    if abs(band.curvature_pct) > 10:
        return f"bent, C {band.curvature_pct:+.0f} %"
    return f"T {band.t20_s:.2f} s" if band.t20_s < 0.4 else None


def differences(data: Path) -> list[tuple[str, float, str, float, float, str | None]]:
    """Recording, octave, number, ours, theirs, and why it does not count."""
    return [
        (name, band_hz, key, ours, theirs[key], why_not(band, band_hz))
        for name in RECORDINGS
        for band_hz, theirs in beside(data, name).items()
        for band in (found(data, name)[band_hz],)
        for key in NAMES
        if key in theirs and (ours := getattr(band, key)) is not None
    ]


def not_withheld(data: Path) -> list[tuple[str, float, str]]:
    """Numbers given in bands that are called unusable for them."""
    return [
        (name, band_hz, key)
        for name, band_hz, keys, _ in UNUSABLE
        for key in keys
        if getattr(found(data, name)[band_hz], key) is not None
    ]


def write(figures: Path) -> str | None:
    data = folder()
    if data is None:
        return None
    compared = differences(data)
    return "\n".join(
        (
            _how(),
            _summary(compared),
            _figure(compared, figures),
            _outside(compared),
            _unusable(data),
            _published(data),
            _all(data),
        )
    )


def _how() -> str:
    return (
        "Each file beside the values that pyrato 1.1.0 with pyfar 0.8.1 (noise treated, forward "
        "filters) gives for it. 5 % (EDT 10 %) are asked where the band is 250 Hz or above, T "
        "at least 0.4 s, the range above 50 dB and the decay fairly straight (|C| ≤ 10 %): "
        "there two careful analyses differ by 2.5 % (EDT 4 %) nine times in ten.\n"
    )


def _summary(compared: list) -> str:
    rows = []
    for name, recording in RECORDINGS.items():
        counted = [c for c in compared if c[0] == name and c[5] is None]
        worst = [
            max((abs(100 * (c[3] / c[4] - 1)) for c in counted if c[2] == key), default=None)
            for key in LIMITS_PCT
        ]
        kept = all(
            w is None or w <= limit for w, limit in zip(worst, LIMITS_PCT.values(), strict=True)
        )
        size = ["–" if w is None else f"{w:.1f} %" for w in worst]
        rows.append(
            (
                f"{name}: {recording.said} ({recording.origin})",
                str(len(counted)),
                *size,
                "yes" if kept else "**no**",
            )
        )
    return table(
        ("recording", "values that count", "worst EDT", "worst T20", "worst T30", "kept"), rows
    )


def _figure(compared: list, figures: Path) -> str:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.4, 3.0))
    axes = figure.subplots()
    for key, mark in (("edt_s", "x"), ("t20_s", "o"), ("t30_s", "s")):
        mine = [(c[1], 100 * (c[3] / c[4] - 1)) for c in compared if c[2] == key and c[5] is None]
        axes.semilogx(*zip(*mine, strict=True), mark, ms=4, mfc="none", label=NAMES[key])
    axes.axhspan(-5, 5, color="0.93")
    axes.set(xlabel="octave, Hz", ylabel="difference, %", ylim=(-12, 12))
    axes.set_xticks([250, 500, 1000, 2000, 4000, 8000], ["250", "500", "1k", "2k", "4k", "8k"])
    axes.minorticks_off()
    axes.legend(frameon=False, fontsize=8, ncols=3)
    return "Values that count:\n\n" + save(figure, figures, "recordings") + "\n"


def _outside(compared: list) -> str:
    rows = [
        (
            name,
            f"{band_hz:g} Hz",
            NAMES[key],
            f"{ours:.3f} s",
            f"{theirs:.3f} s",
            f"{100 * (ours / theirs - 1):+.0f} %",
            why or "counts",
        )
        for name, band_hz, key, ours, theirs, why in compared
        if abs(100 * (ours / theirs - 1)) > LIMITS_PCT[key]
    ]
    head = ("recording", "octave", "number", "here", "pyrato", "difference", "does not count, as")
    return "Every value that differs by more than that:\n\n" + table(head, rows)


def _unusable(data: Path) -> str:
    wrong = set(not_withheld(data))
    rows = [
        (
            f"{name}, {band_hz:g} Hz",
            why,
            ", ".join(NAMES.get(key, "C50") for key in keys),
            "**no**" if any((name, band_hz, key) in wrong for key in keys) else "yes",
            reason_of(found(data, name)[band_hz]),
        )
        for name, band_hz, keys, why in UNUSABLE
    ]
    return "Bands that the notes beside the recordings call unusable:\n\n" + table(
        ("band", "as the notes say", "for", "withheld", "what is said here"), rows
    )


def published(data: Path) -> list[tuple[str, str, float, float | None, float]]:
    """State, place, octave, T30 here and T30 as its authors published it. [s]"""
    folder = data / "variable-acoustics-panels"
    with (folder / "published_t30.csv").open(encoding="utf-8") as file:
        rows = [
            (row, folder / f"{row['panels']}_{row['source']}.flac") for row in csv.DictReader(file)
        ]
    there = {file for _, file in rows if file.is_file()}
    here = {file: {band.band_hz: band.t30_s for band in decays(_response(file))} for file in there}
    return [
        (row["panels"], row["source"], band_hz, here[file][band_hz], float(row["t30_s"]))
        for row, file in rows
        if file in there
        for band_hz in (float(row["band_hz"]),)
    ]


def _response(file: Path) -> ImpulseResponse:
    samples, rate_hz = sf.read(file)
    return ImpulseResponse(samples=samples, rate_hz=rate_hz)


def _published(data: Path) -> str:
    found = published(data)
    rows = []
    for said, low_hz, high_hz in (
        ("125 Hz", 125, 125),
        ("250 Hz to 8 kHz", 250, 8000),
        ("all", 125, 8000),
    ):
        asked = [one for one in found if low_hz <= one[2] <= high_hz]
        off = [(abs(100 * (one[3] / one[4] - 1)), one) for one in asked if one[3] is not None]
        sizes = [size for size, _ in off]
        state, place, band_hz, _, _ = max(off)[1]
        rows.append(
            (
                said,
                f"{len(off)} of {len(asked)}",
                f"{np.median(sizes):.1f} %",
                f"{np.percentile(sizes, 95):.1f} %",
                f"{max(sizes):.1f} % ({state} %, {place}, {band_hz:g} Hz)",
            )
        )
    places = len({one[:2] for one in found})
    return (
        "T30 as the authors of the laboratory with panels published it (read off their figure to "
        f"0.002 s), {places} responses of two states, octaves. What a careful analysis of all their "
        "1,904 values reaches (1,895 given): median 0.6 %, 95 in 100 within 3.1 %, nothing above 5 % "
        "from 250 Hz, 11.5 % at 125 Hz; the other responses are not at hand:\n\n"
        + table(("octaves", "given", "median", "95 in 100 within", "worst"), rows)
    )


def _all(data: Path) -> str:
    rows = []
    for name in RECORDINGS:
        for band_hz, theirs in beside(data, name).items():
            band = found(data, name)[band_hz]
            pairs = [f"{_s(getattr(band, key))} / {_s(theirs.get(key))}" for key in NAMES]
            bend = "–" if band.curvature_pct is None else f"{band.curvature_pct:+.0f} %"
            ranges = "–" if band.range_db is None else f"{band.range_db:.0f} dB"
            rows.append((name, f"{band_hz:g} Hz", ranges, *pairs, bend))
    head = ("recording", "octave", "range", "EDT here / pyrato, s", "T20", "T30", "C")
    return "<details><summary>All values</summary>\n\n" + table(head, rows) + "\n</details>\n"


def _s(value: float | None) -> str:
    return "–" if value is None or np.isnan(value) else f"{value:.2f}"
