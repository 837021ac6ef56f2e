"""Papers for a client: texts by their boxes, one number everywhere, files to listen to.

python benchmarks/validation.py papers

The jobs that are listened to are made by `papers.py`. What is done is kept in PAPERS_FOLDER, where that is
set, and not done again.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from xml.etree import ElementTree

import numpy as np

import heard
import papers

TITLE = "Papers"
TOP = Path(__file__).parents[2]
ROOMS = 300
HEARD_JOBS = ("demo", "classroom", "rehearsal")
NEAR_S = 0.005
"""Round a joint of the half minute. [s]"""

MADE_WITH = range(30)
"""Made-up rooms that the clap and the steering of the decays were made with."""
DRAWN_AFTER = range(100, 120)
"""Others, heard once when both stood."""
NEAR = 0.05
"""As far as a decay may lie off what it stands for. [1]"""


def write(_: Path) -> str:
    """Draw, compare and listen."""
    with tempfile.TemporaryDirectory() as scratch:
        kept = Path(os.environ.get("PAPERS_FOLDER", scratch))
        kept.mkdir(parents=True, exist_ok=True)
        told = _as_tests(kept)
        jobs = "\n".join(_row(each) for each in _listened(kept))
        made_with = _rooms_table(_rooms_heard(kept, MADE_WITH))
        drawn_after = _rooms_table(_rooms_heard(kept, DRAWN_AFTER))
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
either ear by this program's own analysis, against what READ-ME.txt says of the octave. Floor: level of the last 0.1 s,
lowest and highest of the files. Joints of the half minute: largest step from sample to sample within 5 ms of where the
room changes, over the largest elsewhere.

| job | decays | within 5 % | worst | by Butterworth | within 5 % | worst | floor, full scale | clipped samples | equally loud to within | joints |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
{jobs}

The same of {len(MADE_WITH)} made-up rooms of `heard.py` (boxes of 3 to 9 m, another decay in every octave, sound mirrored in the
faces, a panel where each first path meets a wall, a prediction, a second visit with luck of its own), both ears, every
octave given, 63 Hz to 8 kHz. By Butterworth: a second method, octave filter, backward integration and a straight line,
from 250 Hz. Takes and plan: what READ-ME.txt says against this program's analysis of the take itself, and against what
the plan predicts. The clap and the steering of the decays were made with these rooms.

| file | decays | within 5 % | worst | by Butterworth | within 5 % | worst | takes and plan | within 5 % | worst |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
{made_with}

{len(DRAWN_AFTER)} rooms drawn afterwards and heard once:

| file | decays | within 5 % | worst | by Butterworth | within 5 % | worst | takes and plan | within 5 % | worst |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
{drawn_after}
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
    read: list[float]
    """How far what this program's analysis reads lies off what READ-ME.txt says [1]."""
    plain: list[float]
    """The same by Butterworth [1]."""
    floors_db: tuple[float, float]
    clipped: int
    apart_db: float
    joints: float


def _row(one: Listened) -> str:
    low, high = one.floors_db
    cells = (
        *(one.job, *_cells(one.read), *_cells(one.plain)),
        *(f"{low:.1f} to {high:.1f} dB", str(one.clipped), f"{one.apart_db:.3f} dB"),
        f"{one.joints:.3f}",
    )
    return f"| {' | '.join(cells)} |"


def _listened(root: Path) -> Iterator[Listened]:
    """Make each job where it is not there, and listen to its files."""
    for job in HEARD_JOBS:
        if not (root / job / "documents" / "listening").is_dir():
            papers.main([str(root), job])
        yield listen(job, root / job / "documents" / "listening")


def listen(job: str, folder: Path) -> Listened:
    """Read the files of a job."""
    heard_here = list(_decays(job, folder))
    sounds = {path: _sound(path) for path in sorted(folder.rglob("*.wav"))}
    floors = [_floor_db(x) for path, (x, _) in sounds.items() if "claps" in path.name]
    even: dict[str, list[float]] = {}
    for path, (x, rate_hz) in sounds.items():
        if path.parent.name == "equally-loud":
            even.setdefault(path.name.partition("-")[0], []).append(_a_level_db(x, rate_hz))
    swaps = [_joints(*sound) for path, sound in sounds.items() if path.name.startswith("30-")]
    return Listened(
        job=job,
        read=[off_by(one.read_s, one.said_s) for one in heard_here],
        plain=[off_by(one.plain_s, one.said_s) for one in heard_here if one.plain_s],
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


def _decays(job: str, folder: Path) -> Iterator[heard.Heard]:
    files = [
        (f"listening/{path.relative_to(folder).as_posix()}", path.read_bytes())
        for path in (folder / "READ-ME.txt", *folder.rglob("claps-*.wav"))
    ]
    yield from heard.readings(job, files, {name: {} for name in heard.NAMES})


def off_by(found_s: float, wanted_s: float) -> float:
    """How far one lies off another. [1]"""
    return abs(found_s / wanted_s - 1)


def _rooms_heard(kept: Path, numbers: range) -> list[heard.Heard]:
    """What is read off the files of these made-up rooms; a room that is kept is not heard again."""
    found = []
    for number in numbers:
        path = kept / f"heard-{number}.json"
        if not path.is_file():
            with tempfile.TemporaryDirectory() as scratch:
                rows = [asdict(one) for one in heard.heard_in(number, Path(scratch))]
            path.write_text(json.dumps(rows), "utf-8")
        found += [heard.Heard(**row) for row in json.loads(path.read_text("utf-8"))]
    return found


def _rooms_table(found: list[heard.Heard]) -> str:
    rows = []
    for name in (*heard.NAMES, "all"):
        of_file = [one for one in found if name in (one.file, "all")]
        read = [off_by(one.read_s, one.said_s) for one in of_file]
        plain = [off_by(one.plain_s, one.said_s) for one in of_file if one.plain_s]
        left = [one for one in of_file if one.wanted_s and one.ear == "left"]
        wanted = [off_by(one.said_s, one.wanted_s) for one in left]
        cells = [name, *_cells(read), *_cells(plain), *_cells(wanted)]
        rows.append(f"| {' | '.join(cells)} |")
    return "\n".join(rows)


def _cells(off: list[float]) -> list[str]:
    within = sum(share <= NEAR for share in off) / len(off)
    return [str(len(off)), f"{100 * within:.1f} %", f"{100 * max(off):.1f} %"]


def _floor_db(x: np.ndarray) -> float:
    late = x[-4800:]
    return 20 * np.log10(max(float(np.sqrt(np.mean(late**2))), 1e-6))


def _a_level_db(x: np.ndarray, rate_hz: int) -> float:
    from roomcheck.report.sound.listening import a_weighted_rms

    return 20 * np.log10(a_weighted_rms(x, rate_hz))


def _joints(x: np.ndarray, rate_hz: int) -> float:
    """Largest step near the two joints, over the largest in the file. [1]"""
    steps = np.abs(np.diff(x, axis=0)).max(axis=1)
    part, near = len(x) / 3, round(NEAR_S * rate_hz)
    joints = [steps[round(i * part) - near : round(i * part) + near].max() for i in (1, 2)]
    return float(max(joints) / steps.max())
