"""Large jobs: a recording of half an hour, sixty positions, a stock of two hundred pieces.

    python benchmarks/large.py                    the table
    python benchmarks/large.py recording 20 40 60 a visit of so many positions in one recording
    python benchmarks/large.py plan 25x10 200x40  so many pieces on so many faces

Each row is one command in a process of its own, with one thread of linear algebra: processor time of it
and of its children, and the most memory. The rooms and recordings are made up here. It is no timed test.
A folder in LARGE_FOLDER keeps the rows, so that a run goes on where it was stopped; with LARGE_KEPT set,
those rows are shown and nothing is run.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from math import cos, pi, sin
from pathlib import Path

import numpy as np
import soundfile as sf

from roomcheck.demo import recordings
from roomcheck.job import load_job
from roomcheck.measure import Sweep, add_recording, export, lay_out
from times import TOP, compiled, load, used

RATE_HZ = 96_000
EVERY_S = 30.0
"""From one position to the next: sixty take half an hour. [s]"""
T60_S = 0.7
POSITIONS = (20, 40, 60)
PLANS = ("25x10", "50x20", "100x20", "200x40")
DEMO = TOP / "roomcheck" / "demo" / "story-room"
SWEPT = Sweep(low_hz=40, high_hz=20_000, seconds=4, rate_hz=48_000)
"""What the demo's recordings were made with."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("what", nargs="?", choices=("recording", "plan"))
    parser.add_argument("sizes", nargs="*")
    given = parser.parse_args()
    for line in lines(given.what, given.sizes):
        print(line, flush=True)


def lines(what: str | None = None, sizes: Sequence[str] = ()) -> Iterator[str]:
    """The table, as markdown."""
    yield "| large job | processor time [s] | of each [s] | memory [MiB] |"
    yield "|---|---:|---:|---:|"
    with tempfile.TemporaryDirectory() as folder:
        tree = compiled(TOP, Path(folder) / "tree")
        if what in (None, "recording"):
            for count in sizes or POSITIONS:
                names = f"add {count}", f"analyse {count}"
                made = _kept(names, partial(_recording, tree, Path(folder), int(count)))
                if not made:
                    continue
                minutes = int(count) * EVERY_S / 60
                yield _row(
                    f"add, {count} positions in {minutes:.0f} min of stereo at 96 kHz",
                    made[0],
                    int(count),
                )
                yield _row(f"analyse, {count} positions", made[1], int(count))
        if what in (None, "plan"):
            for size in sizes or PLANS:
                pieces, faces = map(int, size.split("x"))
                made = _kept((f"plan {size}",), partial(_plan, tree, Path(folder), pieces, faces))
                if not made:
                    continue
                title = f"recommend after analyse, {pieces} stock pieces, {faces} faces"
                yield _row(title, made[0])
    yield ""
    yield load()


Spent = tuple[float, float]
"""Processor time and the most memory. [s], [MiB]"""


def _kept(names: Sequence[str], measure: Callable[[], tuple[Spent, ...]]) -> list[Spent]:
    """What was kept under these names, else measured and kept; nothing where only what is kept is
    to be shown."""
    folder = os.environ.get("LARGE_FOLDER")
    if folder is None:
        return list(measure())
    file = Path(folder) / "rows.json"
    file.parent.mkdir(parents=True, exist_ok=True)
    known = json.loads(file.read_text("utf-8")) if file.exists() else {}
    if not known.keys() >= set(names):
        if os.environ.get("LARGE_KEPT"):
            return []
        known |= dict(zip(names, measure(), strict=True))
        file.write_text(json.dumps(known, indent=1), "utf-8")
    return [tuple(known[name]) for name in names]


def _row(title: str, spent: Spent, count: int = 0) -> str:
    each = f"{spent[0] / count:.2f}" if count else ""
    return f"| {title} | {spent[0]:.2f} | {each} | {spent[1]:.0f} |"


# --- one recording of a whole visit


def _recording(tree: Path, folder: Path, count: int) -> tuple[Spent, Spent]:
    """Adding such a recording, and analysing it."""
    job = folder / "visit"
    shutil.copytree(DEMO, job, ignore=shutil.ignore_patterns("signed"))
    names = [f"P{i + 1}" for i in range(count)]
    text = (job / "job.toml").read_text("utf-8")
    (job / "job.toml").write_text(_many_places(text, names), "utf-8")
    played = lay_out(Sweep(low_hz=60, high_hz=18_000, seconds=10, rate_hz=RATE_HZ), silence_s=2.0)
    export(folder / "sweep.wav", played)
    _record(folder / "visit.wav", played.samples().mean(axis=1), count)
    command = ("add", "visit", "visit.wav", "--visit", "before", "--source", "S1", "--channel", "1",
               "--sweep", "sweep.toml", "--microphone", ",".join(names))  # fmt: skip
    added = used(tree, folder, command)
    for name in ("visit.wav", "sweep.wav", "sweep.toml"):
        (folder / name).unlink()
    analysed = used(tree, folder, ("analyse", "visit"))
    shutil.rmtree(job)
    return added, analysed


def _many_places(text: str, names: Sequence[str]) -> str:
    """The demo's job in a hall of 12 by 9 by 4 m, one source and many microphones."""
    for key, length in (("length", "12 m"), ("width", "9 m"), ("height", "4 m")):
        text = re.sub(rf'^{key} = "[^#]*?"(?=\s)', f'{key} = "{length}"', text, count=1, flags=re.M)
    head, rest = text.split("[[source]]", 1)
    visits = rest[rest.index("[[visit]]") :]
    tables = [_place("source", "S1", (1.5, 4.0, 1.5))]
    for i, name in enumerate(names):
        place = (3.0 + 0.8 * (i % 10), 1.2 + 1.1 * (i // 10), 1.2 + 0.013 * i)
        tables.append(_place("microphone", name, place))
    return head + "\n".join(tables) + "\n" + visits


def _place(kind: str, name: str, at_m: tuple[float, float, float]) -> str:
    x, y, z = at_m
    return f'[[{kind}]]\nname = "{name}"\nx = "{x:.3f} m"\ny = "{y:.3f} m"\nz = "{z:.3f} m"\n'


def _record(path: Path, sweep: np.ndarray, count: int) -> None:
    """Write a stereo recording, position by position."""
    rng = np.random.default_rng(7)
    frames = round(EVERY_S * RATE_HZ)
    t = np.arange(round(1.5 * T60_S * RATE_HZ)) / RATE_HZ
    with sf.SoundFile(path, "w", RATE_HZ, 2, "PCM_24", format="RF64") as file:
        for _ in range(count):
            room = 0.02 * rng.standard_normal(len(t)) * np.exp(-6.91 / T60_S * t)
            room[: RATE_HZ // 100] = 0.0
            room[RATE_HZ // 100] = 1.0
            size = len(sweep) + len(room)
            heard = np.fft.irfft(np.fft.rfft(sweep, size) * np.fft.rfft(room, size), size)
            y = 3e-5 * rng.standard_normal((frames, 2))
            first = round(4.0 * RATE_HZ)
            y[first : first + size, 0] += 0.25 * heard[: frames - first]
            file.write(y)


# --- a large stock in a room of many faces


def _plan(tree: Path, folder: Path, pieces: int, faces: int) -> tuple[Spent]:
    """Planning with such a stock in such a room."""
    job = folder / "stock"
    shutil.copytree(DEMO, job, ignore=shutil.ignore_patterns("signed"))
    (job / "job.toml").write_text(
        _many_walls((DEMO / "job.toml").read_text("utf-8"), faces - 2), "utf-8"
    )
    (job / "shop.toml").write_text(
        _large_stock((DEMO / "shop.toml").read_text("utf-8"), pieces), "utf-8"
    )
    loaded = load_job(job)
    for take in sorted((recordings() / "before").glob("*.flac")):
        source, microphone = take.stem.split("-")
        add_recording(
            loaded, take, visit="before", source=source, microphone=microphone, sweep=SWEPT
        )
    used(tree, folder, ("analyse", "stock"))
    planned = used(tree, folder, ("recommend", "stock"))
    shutil.rmtree(job)
    return (planned,)


def _many_walls(text: str, walls: int) -> str:
    """The demo's job in a room of so many walls of 1.3 m, round about the same places."""
    radius_m = 0.65 / sin(pi / walls)
    corners = [
        (radius_m * (1 + cos(2 * pi * i / walls)), radius_m * (1 + sin(2 * pi * i / walls)))
        for i in range(walls)
    ]
    listed = ", ".join(f'["{x:.3f} m", "{y:.3f} m"]' for x, y in corners)
    names = ", ".join(f'"w{i + 1}"' for i in range(walls))
    head, rest = text.split("[room]", 1)
    use = (
        'height = "8\' 6\\""\n\n[room.materials]'
        + rest.split("[room.materials]", 1)[1].split("[[", 1)[0]
    )
    visits = rest[rest.index("[[visit]]") :]
    ends = {
        "source": (("S1", 0.5, 0.2), ("S2", 0.5, -0.3)),
        "microphone": (("P1", -0.5, 0.0), ("P2", -0.1, 0.4), ("P3", -0.2, -0.4)),
    }
    tables = [
        _place(kind, name, (radius_m * (1 + x), radius_m * (1 + y), 1.3))
        for kind, places in ends.items()
        for name, x, y in places
    ]
    return (
        f"{head}[room]\ncorners = [{listed}]\nwalls = [{names}]\n{use}\n"
        + "\n".join(tables)
        + "\n"
        + visits
    )


def _large_stock(text: str, count: int) -> str:
    """The demo's shop with so many kinds of panel, none as large as another."""
    head, *pieces = text.split("[[piece]]")
    panels = [piece for piece in pieces if 'kind = "panel"' in piece and 'width = "24 in"' in piece]
    made = []
    for i in range(count):
        width_in, height_in = 16 + i % 12, 36 + 2 * (i // 12)
        piece = re.sub(
            r'^name = ".*?"',
            f'name = "panel {i + 1}"',
            panels[i % len(panels)],
            count=1,
            flags=re.M,
        )
        piece = re.sub(r'^width = ".*?"', f'width = "{width_in} in"', piece, count=1, flags=re.M)
        made.append(
            re.sub(r'^height = ".*?"', f'height = "{height_in} in"', piece, count=1, flags=re.M)
        )
    return "[[piece]]".join([head, *made])


if __name__ == "__main__":
    main()
