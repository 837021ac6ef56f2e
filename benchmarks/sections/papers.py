"""Papers for a client: texts by their boxes, one number everywhere, files to listen to.

python benchmarks/validation.py papers

The jobs that are listened to are made by `papers.py`. What is done is kept in PAPERS_FOLDER, where that is
set, and not done again.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import numpy as np

TITLE = "Papers"
TOP = Path(__file__).parents[2]
ROOMS = 300
HEARD_JOBS = ("demo", "classroom", "rehearsal")
NAMES = ("1-before", "2-after-as-predicted-SIMULATED", "3-after-as-measured")
LAST_CLAP_S, PART_S, NEAR_S = 2.345, 10.0, 0.005
"""When the last clap is struck; how long each part of the half minute is; round a joint. [s]"""


def write(_: Path) -> str:
    """Draw, compare and listen."""
    with tempfile.TemporaryDirectory() as scratch:
        kept = Path(os.environ.get("PAPERS_FOLDER", scratch))
        kept.mkdir(parents=True, exist_ok=True)
        told = _as_tests(kept)
        heard = "\n".join(_row(each) for each in _listened(kept))
        full = _fullness(kept)
    return f"""Random rooms (boxes of 2 to 10 m with patches, zones, positions and up to 42 pieces) and random charts; the
letters' boxes are matplotlib's, which knows nothing of the engine that placed the labels. Space: the room as one sees
it, at the size of page one, of a telephone and of a page's width.

| what is drawn | drawings | texts | covered or cut | of pieces' names, shown there |
| --- | ---: | ---: | ---: | ---: |
| plan and one elevation | {told["plans"]} | {told["plan_texts"]} | {told["plan_faults"]} | {told["plan_named"]} |
| room in space | {told["spaces"]} | {told["space_texts"]} | {told["space_faults"]} | {told["space_named"]} |
| charts | {told["charts"]} | {told["chart_texts"]} | {told["chart_faults"]} | – |

Today's mean, expected range, promise and price of {told["jobs"]} random jobs, read off proposal, quote, measurement report and
certificate: {told["differing"]} differ. Sentences in a client's papers: {told["words"]} words on
average in each (limit 16).

{told["verdict_rooms"]} random rooms of ten uses, walls that throw back more or less and a decay behind them, measured and
judged: {told["verdict_kinds"]} kinds of finding came up. {told["verdict_rules"]} rules say what may not stand in one report (too live and too
dead, words one strains for beside good speech, soft things to bring and to take away, a wall and no wall for one
arrival, …; `tests/report/test_no_contradictions.py`): {told["contradictions"]} broken.

Pages of the six made-up jobs, from head to foot, by their lowest mark; a paper's last page left out (limit 40 %):

{full}

Files to listen to of the made-up jobs of `papers.py`, read off the written WAV files. Decay: T20 of the last clap at
either ear by this program's own analysis, against what READ-ME.txt says of the octave. Floor: level of the last 0.1 s
under the loudest sample, lowest and highest of the files. Joints of the half minute: largest step from sample to
sample within 5 ms of where the room changes, over the largest elsewhere.

| job | decays | worst, from 250 Hz | worst, all octaves | floor | clipped samples | equally loud to within | joints |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
{heard}
"""


PARTS = {
    "rooms": ("test_names_on_drawings", "covers"),
    "charts": ("test_figure_texts", "covers"),
    "jobs": ("test_papers", "stands_everywhere or are_short"),
    "verdicts": ("test_no_contradictions", "contradict"),
}
"""What is run as tests: its file, and which of them."""


def _as_tests(kept: Path) -> dict[str, str]:
    """Run the tests on as many rooms and jobs as this page says, and read what they counted."""
    sizes = {"ROOMCHECK_ROOMS": ROOMS, "ROOMCHECK_FIGURES": ROOMS}
    sizes |= {"ROOMCHECK_PAPERS": 100, "ROOMCHECK_VERDICTS": 100}
    environment = {**os.environ, **{name: str(size) for name, size in sizes.items()}}
    told: dict[str, str] = {}
    for part, (name, chosen) in PARTS.items():
        counted = kept / f"{part}.xml"
        if not counted.is_file():
            run = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider"]
            run += ["-o", "junit_family=xunit1", f"--junitxml={counted}", "-k", chosen]
            run.append(f"tests/report/{name}.py")
            done = subprocess.run(run, cwd=TOP, env=environment, check=False, stdout=sys.stderr)
            if done.returncode:
                counted.unlink(missing_ok=True)
                raise SystemExit(f"papers: {name} does not hold")
        properties = ElementTree.parse(counted).iter("property")
        told |= {one.attrib["name"]: one.attrib["value"] for one in properties}
    return told


@dataclass(frozen=True, kw_only=True)
class Listened:
    """What the files of one job hold."""

    job: str
    decays: int
    worst_from_250: float
    worst: float
    floors_db: tuple[float, float]
    clipped: int
    apart_db: float
    joints: float


def _row(one: Listened) -> str:
    low, high = one.floors_db
    cells = (
        *(
            one.job,
            str(one.decays),
            f"{100 * one.worst_from_250:.1f} %",
            f"{100 * one.worst:.1f} %",
        ),
        *(f"{low:.0f} to {high:.0f} dB", str(one.clipped), f"{one.apart_db:.3f} dB"),
        f"{one.joints:.3f}",
    )
    return f"| {' | '.join(cells)} |"


def _listened(root: Path) -> Iterator[Listened]:
    """Make each job where it is not there, and listen to its files."""
    sys.path.insert(0, str(TOP / "benchmarks"))
    import papers

    for job in HEARD_JOBS:
        if not (root / job / "documents" / "listening").is_dir():
            papers.main([str(root), job])
        yield listen(job, root / job / "documents" / "listening")


def listen(job: str, folder: Path) -> Listened:
    """Read the files of a job."""
    off = list(_decays_off(folder))
    sounds = {path: _sound(path) for path in sorted(folder.rglob("*.wav"))}
    floors = [_floor_db(x) for path, (x, _) in sounds.items() if "claps" in path.name]
    even: dict[str, list[float]] = {}
    for path, (x, rate_hz) in sounds.items():
        if path.parent.name == "equally-loud":
            even.setdefault(path.name.partition("-")[0], []).append(_a_level_db(x, rate_hz))
    swaps = [_joints(*sound) for path, sound in sounds.items() if path.name.startswith("30-")]
    return Listened(
        job=job,
        decays=len(off),
        worst_from_250=max(share for hz, share in off if hz >= 250),
        worst=max(share for _, share in off),
        floors_db=(min(floors), max(floors)),
        clipped=sum(int((np.abs(x) >= 32767 / 32768).sum()) for x, _ in sounds.values()),
        apart_db=max(max(levels) - min(levels) for levels in even.values()),
        joints=max(swaps),
    )


def _fullness(root: Path) -> str:
    """A row a kind of paper: pages but the last ones, and how full the emptiest is."""
    sys.path.insert(0, str(TOP / "benchmarks"))
    from matplotlib import image

    import papers

    for job in ("demo", *papers.STORIES):
        if not (root / job / "documents").is_dir():
            papers.main([str(root), job])
    found: dict[str, list[float]] = {}
    for pdf in sorted(root.glob("*/documents/*.pdf")):
        with tempfile.TemporaryDirectory() as scratch:
            draw = ["pdftoppm", "-r", "30", "-png", str(pdf), f"{scratch}/page"]
            subprocess.run(draw, check=True)
            *drawn, _last = sorted(Path(scratch).glob("page*.png"))
            shares = [papers.fullness(image.imread(page)) for page in drawn]
        found.setdefault(pdf.stem, []).extend(shares)
    rows = [
        f"| {name} | {len(shares)} | {100 * min(shares):.0f} % | {100 * np.mean(shares):.0f} % |"
        for name, shares in found.items()
        if shares
    ]
    heads = "| paper | pages | emptiest | on average |\n| --- | ---: | ---: | ---: |"
    return "\n".join([heads, *rows])


def _sound(path: Path) -> tuple[np.ndarray, int]:
    import soundfile as sf

    x, rate_hz = sf.read(io.BytesIO(path.read_bytes()))
    return x, rate_hz


def _decays_off(folder: Path) -> Iterator[tuple[float, float]]:
    """Each octave with how far the decay of the last clap lies off what the page says. [Hz], [1]"""
    from roomcheck.analyse import decays
    from roomcheck.measure import ImpulseResponse

    page = (folder / "READ-ME.txt").read_text("utf-8")
    for name in NAMES:
        x, rate_hz = _sound(folder / "as-loud-as-it-is" / f"claps-{name}.wav")
        for ear in x[round(LAST_CLAP_S * rate_hz) :].T:
            for band in decays(ImpulseResponse(samples=ear, rate_hz=rate_hz)):
                said = re.search(rf"^{band.band_hz:.0f} Hz:.*{name} ([\d.]+) s", page, re.M)
                if said and band.t20_s is not None:
                    yield band.band_hz, abs(band.t20_s / float(said[1]) - 1)


def _floor_db(x: np.ndarray) -> float:
    late = x[-4800:]
    rms = float(np.sqrt(np.mean(late**2)))
    return 20 * np.log10(max(rms, 1e-6) / float(np.abs(x).max()))


def _a_level_db(x: np.ndarray, rate_hz: int) -> float:
    from roomcheck.report.sound.listening import a_weighted_rms

    return 20 * np.log10(a_weighted_rms(x, rate_hz))


def _joints(x: np.ndarray, rate_hz: int) -> float:
    """Largest step near the two joints, over the largest in the file. [1]"""
    steps = np.abs(np.diff(x, axis=0)).max(axis=1)
    part, near = len(x) / 3, round(NEAR_S * rate_hz)
    joints = [steps[round(i * part) - near : round(i * part) + near].max() for i in (1, 2)]
    return float(max(joints) / steps.max())
