"""Six made-up jobs from the first visit to the last paper, so that every page can be looked at.

    python benchmarks/papers.py FOLDER [JOB …]

Needs no recordings: rooms of known decay are played through the sweep, with a little noise. The
second visit is made from the signed plan's own prediction, times what the job says of its luck.
Where poppler's pdftoppm is there, every PDF gets a contact sheet beside it, and pages that are less
than 40 % full are named and end the run with an error; a paper's last page may be.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from roomcheck import Sweep, open_job
from roomcheck.demo import demo
from roomcheck.geometry import distance_m
from roomcheck.job import load_job
from roomcheck.measure import add_recording
from roomcheck.standards import speed_of_sound_m_s
from roomcheck.units import OCTAVES_HZ

Array = NDArray[np.float64]

SWEEP = Sweep(low_hz=40, high_hz=20_000, seconds=3, rate_hz=48_000)
TAIL_S = 2.0
RISE_S = 0.02
"""From the direct sound until the scattered sound is all there [s]."""
SIGNED_ON = "2026-05-11"


@dataclass(frozen=True, kw_only=True)
class Story:
    """One made-up job."""

    job: str
    """The job file, without its schema."""
    shop: str = "shop_metric.toml"
    """Which of the package's shop files it is quoted with."""
    shop_says: Mapping[str, str] = field(default_factory=dict)
    """Lines of the shop file that are the story's own, by their key."""
    decays_s: tuple[float, ...]
    """Of the room as it is, 63 Hz to 8 kHz [s]."""
    noise: float = 0.002
    """Root mean square of the noise in a recording [full scale]."""
    luck: float | None = None
    """Decay after the work as a share of the predicted one; None where nothing is signed."""


_METRIC = 'made_up = true\nunits = "metric"\npaper = "a4"\ncurrency = "€"\n'
_IMPERIAL = 'made_up = true\nunits = "imperial"\npaper = "letter"\ncurrency = "$"\n'


def _head(units: str, who: str, title: str, complaint: str, use: str) -> str:
    return (
        f'{units}seat = "P1"\n\n[client]\nname = "{who}"\ntitle = "{title}"\n'
        f'complaint = "{complaint}"\n\n[use]\nroom = "{use}"\n\n'
    )


def _room(length: str, width: str, height: str, **materials: str) -> str:
    lines = [f'{face} = "{material}"' for face, material in materials.items()]
    return (
        f'[room]\nlength = "{length}"\nwidth = "{width}"\nheight = "{height}"\n\n'
        "[room.materials]\n" + "\n".join(lines) + "\n\n"
    )


def _things(kind: str, *things: Mapping[str, object]) -> str:
    tables = []
    for thing in things:
        lines = [f"{key} = {_toml(value)}" for key, value in thing.items()]
        tables.append(f"[[{kind}]]\n" + "\n".join(lines) + "\n")
    return "\n".join(tables) + "\n"


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return str(value) if isinstance(value, int | float) else f'"{value}"'


def _places(kind: str, z: str, *points: tuple[str, str]) -> str:
    letter = {"source": "S", "microphone": "P"}[kind]
    return _things(
        kind,
        *({"name": f"{letter}{i}", "x": x, "y": y, "z": z} for i, (x, y) in enumerate(points, 1)),
    )


def _visits(**more: object) -> str:
    of_both = {
        "temperature": "21 °C",
        "humidity": "45 %",
        "people": 1,
        "doors": "shut",
        "hvac": "off",
        "gain": "tape mark",
        "equipment": "simulated: two-way box, ideal microphone",
    }
    before = {"name": "before", "date": "2026-05-04", **of_both}
    return _things("visit", before, {"name": "after", "date": "2026-06-15", **of_both, **more})


def _studs(*faces: str) -> str:
    of_all = {"kind": "wood studs", "sheathing": "12.5 mm", "spacing": "400 mm", "first": "350 mm"}
    return _things("framing", *({"face": face, **of_all} for face in faces))


_WALLS = ("south", "east", "north", "west", "ceiling")
_DOOR = {
    "name": "door",
    "face": "east",
    "material": "solid wooden door",
    "left": "0.3 m",
    "bottom": "0 m",
    "width": "0.9 m",
    "height": "2 m",
    "opening": True,
}

STORIES: dict[str, Story] = {
    "classroom": Story(
        job=_head(
            _METRIC,
            "Client B, a made-up school at the edge of a made-up town",
            "Classroom 2 on the upper floor, yard side",
            "From the third row on nobody understands a word, and at noon everybody has a headache.",
            "classroom",
        )
        + _room(
            "8.1 m",
            "6.3 m",
            "3.1 m",
            walls="painted concrete block",
            floor="linoleum on concrete",
            ceiling="plaster on brick",
        )
        + _things(
            "patch",
            _DOOR,
            {
                "name": "Back row windows towards the yard",
                "face": "north",
                "material": "double glazing",
                "left": "1 m",
                "bottom": "0.9 m",
                "width": "6 m",
                "height": "1.6 m",
                "opening": True,
            },
            {
                "name": "Whiteboard left of the door",
                "face": "west",
                "material": "double glazing",
                "left": "1.5 m",
                "bottom": "0.8 m",
                "width": "3 m",
                "height": "1.2 m",
            },
        )
        + _studs("ceiling")
        + _things(
            "furnishing",
            {"name": "chairs and desks", "material": "metal or wood chairs", "amount": 24},
        )
        + _places("source", "1.5 m", ("1.4 m", "3.1 m"), ("2.1 m", "1.7 m"), ("2.3 m", "4.6 m"))
        + _places(
            "microphone",
            "1.2 m",
            ("4.2 m", "3.1 m"),
            ("5.6 m", "1.6 m"),
            ("6.5 m", "4.4 m"),
            ("5.1 m", "5.1 m"),
        )
        + _visits(people=2),
        decays_s=(0.9, 1.05, 1.2, 1.22, 1.14, 1.06, 0.86, 0.62),
        luck=1.3,
    ),
    "podcast": Story(
        job=_head(
            _METRIC,
            "Client C, a made-up broadcaster",
            "Podcast room",
            "Is our room good enough, or do we have to spend money on it?",
            "podcast room",
        )
        + _room(
            "4 m",
            "3.1 m",
            "2.6 m",
            walls="gypsum board on studs",
            floor="heavy carpet on felt",
            ceiling="mineral tile, suspended",
        )
        + _things("patch", _DOOR)
        + _studs(*_WALLS)
        + _places("source", "1.2 m", ("1.1 m", "1.2 m"), ("1.2 m", "2 m"))
        + _places("microphone", "1.2 m", ("2.9 m", "1.6 m"), ("2.6 m", "1.1 m"), ("2.4 m", "2.1 m"))
        + _visits(),
        decays_s=(0.3, 0.3, 0.29, 0.28, 0.27, 0.26, 0.25, 0.22),
    ),
    "booth": Story(
        job=_head(_IMPERIAL, "Client D, a made-up voice", "Voice booth", "", "voice booth")
        + _room(
            "7 ft",
            "5 ft",
            "7 ft",
            walls="gypsum board on studs",
            floor="thin carpet on concrete",
            ceiling="gypsum board on studs",
        )
        + _things("patch", {**_DOOR, "left": "1 ft", "width": "2 ft 6 in", "height": "6 ft 6 in"})
        + _studs(*_WALLS)
        + _places("source", "4 ft", ("2 ft", "2 ft"))
        + _places("microphone", "4 ft", ("5 ft", "2 ft 6 in"), ("4 ft 6 in", "3 ft 4 in"))
        + _visits(),
        shop="shop.toml",
        decays_s=(0.5, 0.48, 0.42, 0.4, 0.38, 0.36, 0.33, 0.3),
        noise=0.4,
    ),
    "rehearsal": Story(
        job=_head(
            _METRIC,
            "Client E, a made-up band of five",
            "Rehearsal room",
            "The cymbals are everywhere and nobody hears the singer.",
            "amplified rehearsal room",
        )
        + _room(
            "5.6 m",
            "4.2 m",
            "2.7 m",
            walls="painted brick",
            floor="thin carpet on concrete",
            ceiling="plaster on brick",
        )
        + _things("patch", _DOOR)
        + _things("framing", *({"face": face, "kind": "masonry"} for face in _WALLS[:4]))
        + _places("source", "1.3 m", ("1.3 m", "1.2 m"), ("1.5 m", "2.9 m"))
        + _places("microphone", "1.2 m", ("3.9 m", "2.1 m"))
        + _visits(),
        decays_s=(1.1, 1.2, 1.1, 1.02, 0.95, 0.86, 0.74, 0.55),
        luck=1.1,
    ),
    "chapel": Story(
        job=_head(
            _METRIC,
            "Client F, a made-up parish",
            "Side chapel used for meetings",
            "We hear that somebody speaks, but not what.",
            "meeting room",
        )
        + _room(
            "7 m",
            "5 m",
            "3.4 m",
            walls="painted brick",
            floor="glazed tile",
            ceiling="plaster on brick",
        )
        + _things("patch", _DOOR)
        + _things("fixing", *({"face": face, "rule": "nothing"} for face in (*_WALLS, "floor")))
        + _places("source", "1.5 m", ("1.5 m", "1.6 m"), ("1.7 m", "3.3 m"))
        + _places("microphone", "1.2 m", ("4.9 m", "2.4 m"), ("4.2 m", "1.4 m"), ("3.8 m", "3.7 m"))
        + _visits(),
        decays_s=(2.4, 2.6, 2.7, 2.5, 2.3, 2.1, 1.7, 1.1),
    ),
}
"""The five jobs of which the demo is the sixth, by the folder's name."""


def make(story: Story, folder: Path) -> None:
    """Lay the job down with its recordings, sign what is to be signed, write every paper."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text(f"schema = 2\n{story.job}", "utf-8")
    shop = (files("roomcheck.job") / story.shop).read_text("utf-8")
    (folder / "shop.toml").write_text(_with_lines(shop, story.shop_says), "utf-8")
    record(folder, "before", story.decays_s, story.noise)
    chain = open_job(folder)
    if story.luck is not None:
        if chain.agreement is None:
            chain.sign("made-up hand", SIGNED_ON)
        after = {band.band_hz: band.likely_s for band in chain.plan.prediction.after}
        decays_s = tuple(
            before_s if after.get(hz) is None else story.luck * (after[hz] or 0.0)
            for hz, before_s in zip(OCTAVES_HZ, story.decays_s, strict=True)
        )
        record(folder, "after", decays_s, story.noise)
        chain = open_job(folder)
    print(*chain.documents.lacking, sep="\n")


def _with_lines(shop: str, lines: Mapping[str, str]) -> str:
    kept = [line for line in shop.splitlines() if line.split(" =")[0] not in lines]
    at = kept.index("[shop]") + 1
    return "\n".join(
        [*kept[:at], *(f"{key} = {value}" for key, value in lines.items()), *kept[at:]]
    )


def record(folder: Path, visit: str, decays_s: tuple[float, ...], noise: float) -> None:
    """Play the sweep through a room of these decays at every pair; what is there stays."""
    import soundfile as sf

    job = load_job(folder)
    speed = speed_of_sound_m_s(21.0)
    for source in job.sources:
        for microphone in job.microphones:
            name = f"{source.name}-{microphone.name}.flac"
            if (folder / "takes" / visit / name).exists():
                continue
            rng = np.random.default_rng(zlib.crc32(f"{folder.name} {visit} {name}".encode()))
            metres = distance_m(source.point, microphone.point)
            response = _response(decays_s, metres / speed, metres, job.room.volume_m3, rng)
            played = np.concatenate(
                [np.zeros(20_000), SWEEP.samples, np.zeros(round(TAIL_S * SWEEP.rate_hz))]
            )
            heard = fftconvolve(played, response)[: len(played)]
            heard *= 0.3 / np.max(np.abs(heard))
            heard += noise * 0.1 * rng.standard_normal(len(heard))
            path = folder / name
            sf.write(path, heard, SWEEP.rate_hz, subtype="PCM_16")
            add_recording(
                job, path, visit=visit, source=source.name, microphone=microphone.name, sweep=SWEEP
            )
            path.unlink()


def _response(
    decays_s: tuple[float, ...],
    delay_s: float,
    metres: float,
    volume_m3: float,
    rng: np.random.Generator,
) -> Array:
    """Direct sound and octaves of noise that die away as wanted: (frames,)."""
    frames = round(TAIL_S * SWEEP.rate_hz)
    hz = np.fft.rfftfreq(frames, 1 / SWEEP.rate_hz)
    time_s = np.arange(frames) / SWEEP.rate_hz
    noise = np.fft.rfft(rng.standard_normal(frames))
    since_s = np.maximum(time_s - delay_s - 0.002, 0.0)
    begun = np.sin(np.pi / 2 * np.clip(since_s / RISE_S, 0, 1)) ** 2
    response = np.fft.irfft(np.exp(-2j * np.pi * hz * delay_s), frames)
    response *= np.sqrt(1 / (4 * np.pi)) / metres
    for mask, decay_s in zip(_masks(hz), decays_s, strict=True):
        # Energy density of a pulse of unit energy in a diffuse room: c/V a second.
        level = np.sqrt(343.0 / volume_m3 / SWEEP.rate_hz)
        fall = 10 ** (-3 * since_s / decay_s) * begun
        response += level * fall * np.fft.irfft(mask * noise, frames)
    return response


def _masks(hz: Array) -> Iterator[Array]:
    """One weight per octave over frequency; their squares add up to 1."""
    octaves = np.arange(len(OCTAVES_HZ))
    place = np.interp(np.log2(np.maximum(hz, 1.0)), np.log2(OCTAVES_HZ), octaves)
    for band in octaves:
        yield np.cos(np.pi / 2 * np.clip(np.abs(place - band), 0, 1))


LEAST_FULL = 0.40
"""Of a page's height between head and foot, on every page but a paper's last."""
HEAD, FOOT = 0.085, 0.935
"""Where the body of a page begins and ends, as shares of its height."""


def contact_sheets(folder: Path) -> list[str]:
    """One picture of all pages beside each PDF, by poppler and numpy; pages that are left mostly
    empty."""
    if shutil.which("pdftoppm") is None:
        return []
    from matplotlib import image

    empty: list[str] = []
    for pdf in sorted(folder.rglob("*.pdf")):
        draft = pdf.with_name(f".{pdf.stem}")
        subprocess.run(["pdftoppm", "-r", "60", "-png", str(pdf), str(draft)], check=True)
        drawn = sorted(pdf.parent.glob(f".{pdf.stem}-*.png"))
        pages = [image.imread(path)[..., :3] for path in drawn]
        for path in drawn:
            path.unlink()
        blank = np.ones_like(pages[0])
        rows = []
        for at in range(0, len(pages), 4):
            row = [*pages[at : at + 4], *(blank for _ in range(3))][:4]
            rows.append(np.concatenate(row, axis=1))
        image.imsave(pdf.with_suffix(".png"), np.concatenate(rows, axis=0))
        for number, page in enumerate(pages[:-1], 1):
            if (full := fullness(page)) < LEAST_FULL:
                empty.append(f"{pdf.name}, page {number}: {100 * full:.0f} % full")
    return empty


def fullness(page: Array) -> float:
    """How far down the body of a page its lowest mark stands, as a share."""
    top, bottom = round(HEAD * len(page)), round(FOOT * len(page))
    marked = np.flatnonzero((page[top:bottom, :, 0] < 0.85).any(axis=1))
    return float(marked.max() + 1) / (bottom - top) if marked.size else 0.0


def main(arguments: list[str]) -> None:
    root = Path(arguments[0])
    empty: list[str] = []
    for name in arguments[1:] or ("demo", *STORIES):
        print(f"== {name}", flush=True)
        if name == "demo":
            demo(root / name)
            open_job(root / name).documents  # noqa: B018 - written when it is asked for
        else:
            make(STORIES[name], root / name)
        empty += [f"{name}: {page}" for page in contact_sheets(root / name)]
    if empty:
        raise SystemExit("\n".join(["pages that are left mostly empty:", *empty]))


if __name__ == "__main__":
    main(sys.argv[1:])
