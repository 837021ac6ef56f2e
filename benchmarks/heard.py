"""Made-up rooms made audible, and their decays read off the written files.

Each room is a box with its own decay in every octave, sound mirrored in its faces, panels where the
first mirror paths meet the walls, a plan's prediction for some octaves, and a second visit. No room
is like another. The clap and the steering of the decays were made with the first thirty of them;
other numbers (`heard_in`) give rooms that nothing was made with.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis, BandMean, decays
from roomcheck.facts import Estimate
from roomcheck.geometry import Rectangle, distance_m
from roomcheck.job import Job, Placement, load_job
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.mirrors import mirror_paths
from roomcheck.predict import BandPrediction, Prediction
from roomcheck.recommend import Plan, PlanKind, Promise
from roomcheck.report.sound.listening import BEFORE, MEASURED, PLANNED, listening_files
from roomcheck.units import OCTAVES_HZ

RATE_HZ = 48_000
LAST_CLAP_S = 2.345
"""When the last clap is struck. [s]"""

NAMES = (BEFORE, PLANNED, MEASURED)
PANEL_M = (0.6, 1.2)
PRESSURE_LEFT = 0.85
"""What a bare face sends back of the pressure that meets it. [1]"""

Array = NDArray[np.float64]
Wanted = dict[str, dict[float, float]]


@dataclass(frozen=True, kw_only=True)
class Heard:
    """One decay read off a file."""

    room: str
    file: str
    ear: str
    band_hz: float
    said_s: float
    """What READ-ME.txt says. [s]"""
    wanted_s: float | None
    """T20 of the take itself by this program's analysis, or what the plan predicts; None where
    there is none. [s]"""
    read_s: float
    """By this program's analysis of the last clap. [s]"""
    plain_s: float | None
    """By a Butterworth octave, backward integration and a line; None below 250 Hz, where that
    filter rings as long as a room. [s]"""


_BLANK = Heard(
    room="", file="", ear="", band_hz=0.0, said_s=0.0, wanted_s=None, read_s=0.0, plain_s=None
)


def heard_in(number: int, folder: Path) -> Iterator[Heard]:
    """Every decay that is read off the files of one made-up room.

    Parameters
    ----------
    number : int
        Which room.
    folder : Path
        Where its job is laid down.
    """
    name = f"room-{number}"
    rng = np.random.default_rng((2026, number))
    files, wanted_s = _files(_job(rng, folder / name), rng)
    yield from readings(name, files, wanted_s)


def _job(rng: np.random.Generator, folder: Path) -> Job:
    from importlib.resources import files

    import papers

    length, width, height = rng.uniform(3.0, 9.0), rng.uniform(2.4, 6.0), rng.uniform(2.3, 3.6)
    at = [f"{share * side:.2f} m" for share, side in zip((0.22, 0.4), (length, width), strict=True)]
    to = [f"{rng.uniform(0.55, 0.8) * side:.2f} m" for side in (length, width)]
    text = (
        papers._head(papers._METRIC, "Client, made up", "Room", "", "meeting room")
        + papers._room(
            *(f"{side:.2f} m" for side in (length, width, height)),
            walls="painted brick",
            floor="linoleum on concrete",
            ceiling="plaster on brick",
        )
        + papers._places("source", "1.4 m", (at[0], at[1]))
        + papers._places("microphone", "1.2 m", (to[0], to[1]))
        + papers._visits()
    )
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text(f"schema = 2\n{text}", "utf-8")
    shop = (files("roomcheck.job") / "shop_metric.toml").read_text("utf-8")
    (folder / "shop.toml").write_text(shop, "utf-8")
    return load_job(folder)


def _files(job: Job, rng: np.random.Generator) -> tuple[list[tuple[str, bytes]], Wanted]:
    """Files to listen to of a room whose decays, prediction and second visit are drawn, and what
    each is to die away in."""
    was_s = _decays(rng)
    shares = _shares(rng)
    luck = rng.uniform(0.85, 1.25)
    will_s = {hz: share * was_s[hz] for hz, share in zip(OCTAVES_HZ, shares, strict=True)}
    now_s = {hz: luck * t60_s for hz, t60_s in will_s.items()}
    # As plans do: nothing is predicted in the lowest octaves of most rooms.
    predicted = OCTAVES_HZ[int(rng.integers(0, 4)) :]
    noise_db = rng.uniform(45, 75)
    visits = [_visit(job, t60_s, noise_db, rng) for t60_s in (was_s, now_s)]
    likely_s = {hz: will_s[hz] for hz in predicted}
    files = listening_files(job, *visits, _analysis(was_s), _plan(job, likely_s))
    taken = [_taken_s(visit[0].response) for visit in visits]
    return files, {BEFORE: taken[0], PLANNED: likely_s, MEASURED: taken[1]}


def _taken_s(response: ImpulseResponse) -> dict[float, float]:
    return {band.band_hz: band.t20_s for band in decays(response) if band.t20_s is not None}


def _shares(rng: np.random.Generator) -> Array:
    """What pieces leave of each octave's decay: little changes at 63 Hz, most from some middle
    octave on, each up to 8 % off that, (octaves,). [1]"""
    takes, from_octave = rng.uniform(0.15, 0.6), rng.uniform(1.5, 3.5)
    rise = np.clip(np.arange(len(OCTAVES_HZ)) / from_octave, 0.1, 1.0)
    return np.asarray((1 - takes * rise) * rng.uniform(0.92, 1.08, len(OCTAVES_HZ)))


def _decays(rng: np.random.Generator) -> dict[float, float]:
    """A decay for every octave, up to a quarter longer or shorter than its neighbour's. [s]"""
    t60_s, found = rng.uniform(0.35, 1.8), {}
    for hz in OCTAVES_HZ:
        found[hz] = t60_s
        t60_s = float(np.clip(t60_s * rng.uniform(0.75, 1.25), 0.25, 2.2))
    return found


def _visit(
    job: Job, t60_s: dict[float, float], noise_db: float, rng: np.random.Generator
) -> tuple[Measurement, ...]:
    import papers

    start, end = job.sources[0].point, job.microphones[0].point
    metres = distance_m(start, end)
    speed = job.speed_of_sound_m_s("before")
    decays_s = tuple(t60_s[hz] for hz in OCTAVES_HZ)
    x = papers._response(decays_s, 0.05, metres, job.room.volume_m3, rng)
    for path in mirror_paths(job.room, start, end, 2):
        frame = round((0.05 + (path.length_m - metres) / speed) * RATE_HZ)
        left = PRESSURE_LEFT**path.order
        x[frame] += left / path.length_m * np.sqrt(1 / (4 * np.pi))
    x = x + 10 ** (-noise_db / 20) * np.abs(x).max() * 0.05 * rng.standard_normal(len(x))
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0)
    response = ImpulseResponse(samples=x, rate_hz=RATE_HZ)
    one = Measurement(source="S1", microphone="P1", take="", response=response, check=check)
    return (one,)


def _analysis(t60_s: dict[float, float]) -> Analysis:
    means = tuple(BandMean(band_hz=hz, t20=Estimate(value=t)) for hz, t in t60_s.items())
    return Analysis(
        visit="before",
        positions=(),
        octaves=means,
        thirds=(),
        transition_hz=None,
        mid_s=None,
        mid_u_s=None,
        grade="none",
    )


def _plan(job: Job, likely_s: dict[float, float]) -> Plan:
    none = dict.fromkeys(("sabine_s", "eyring_s", "simulated_s"))
    bands = tuple(
        BandPrediction(band_hz=hz, likely_s=t, low_s=0.9 * t, high_s=1.1 * t, **none)
        for hz, t in likely_s.items()
    )
    mid_s = (likely_s[500.0] + likely_s[1000.0]) / 2
    prediction = Prediction(
        before=(),
        after=bands,
        mid_likely_s=mid_s,
        mid_low_s=0.9 * mid_s,
        mid_high_s=1.1 * mid_s,
        transition_hz=200.0,
        calibrated=True,
    )
    return Plan(
        kind=PlanKind.TARGET,
        pieces=tuple(_panels(job)),
        prediction=prediction,
        promise=Promise(bands=(), mid_low_s=None, mid_high_s=None, positions=0, conditions=()),
        reaches_target=True,
        shortfalls=(),
        gain_per_piece=(),
    )


def _panels(job: Job) -> Iterator[Placement]:
    """A panel where each path over one wall meets it."""
    start, end = job.sources[0].point, job.microphones[0].point
    stock = next(one for one in job.shop.stock if one.kind == "panel" and one.core)
    wide, high = PANEL_M
    for path in mirror_paths(job.room, start, end, 1):
        face = path.faces[0]
        if face.name in ("floor", "ceiling"):
            continue
        u, v, _ = face.to_face(path.points[0])
        place = Rectangle(u - wide / 2, v - high / 2, wide, high)
        yield Placement(name=face.name, piece=stock.name, face=face.name, place=place, reasons=())


def readings(room: str, files: list[tuple[str, bytes]], wanted_s: Wanted) -> Iterator[Heard]:
    """Every decay that is read off the last clap of a room's files."""
    import soundfile as sf

    sounds = dict(files)
    page = sounds["listening/READ-ME.txt"].decode()
    for name in NAMES:
        at = f"listening/as-loud-as-it-is/claps-{name}.wav"
        if at not in sounds:
            continue
        x, rate_hz = sf.read(io.BytesIO(sounds[at]))
        for ear, heard in zip(("left", "right"), x[round(LAST_CLAP_S * rate_hz) :].T, strict=True):
            one = replace(_BLANK, room=room, file=name, ear=ear)
            yield from _readings(one, heard, rate_hz, page, wanted_s[name])


def _readings(
    one: Heard, x: Array, rate_hz: int, page: str, wanted_s: dict[float, float]
) -> Iterator[Heard]:
    for band in decays(ImpulseResponse(samples=x, rate_hz=rate_hz)):
        hz = band.band_hz
        said = re.search(rf"^{hz:.0f} Hz:.*{one.file} ([\d.]+) s", page, re.M)
        if said is None or band.t20_s is None:
            continue
        yield replace(
            one,
            band_hz=hz,
            said_s=float(said[1]),
            wanted_s=wanted_s.get(hz),
            read_s=band.t20_s,
            plain_s=plain_t20_s(x, hz, rate_hz) if hz >= 250 else None,
        )


def plain_t20_s(x: Array, band_hz: float, rate_hz: int) -> float:
    """By Butterworth octave, backward integration and a line from -5 to -25 dB. [s]"""
    from scipy.signal import butter, sosfilt

    edges = (band_hz / np.sqrt(2), band_hz * np.sqrt(2))
    sos = butter(4, edges, "bandpass", fs=rate_hz, output="sos")
    still = np.cumsum(sosfilt(sos, x)[::-1] ** 2)[::-1]
    db = 10 * np.log10(still / still[0] + 1e-30)
    inside = np.flatnonzero((db <= -5) & (db >= -25))
    return float(-60 / np.polyfit(inside / rate_hz, db[inside], 1)[0])
