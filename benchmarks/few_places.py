"""How often the 95 % of a mean over a few places holds the mean over all of them.

The truth is the mean of many places of one room: 34 published T30 of a laboratory in two states, 13
responses of a hard room, and boxes of image sources and rays with another absorption on each face.
Subsets are drawn without putting back, so of N places n take the share n/N of the error away; the
interval is narrowed by sqrt(1 - n/N) before it is held against the mean of those N (finite
population). A room has more places than N, and what is printed is not narrowed.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from pathlib import Path

import numpy as np

import open_data
from roomcheck import ImpulseResponse, load_impulse_response
from roomcheck.analyse import BandDecay, PositionDecays, band_means, decays
from roomcheck.standards import iso_3382_2_2008 as iso

SUBSETS = (2, 3, 6)
BANDS_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One number of one octave of one room, means over n places."""

    room: str
    number: str
    band_hz: float
    places: int
    """Behind each mean."""
    held: float
    """Share of the draws whose 95 % holds the mean of all, narrowed for the finite number."""
    held_as_printed: float
    """The same without narrowing."""
    wider: float
    """Median half-width over that with the spread of all places known, 1.96 s/sqrt(n)."""


Table = dict[str, Sequence[PositionDecays]]
"""Every room's places."""


def cells(rooms: Table, number: str, draws: int, seed: int = 1) -> Iterator[Cell]:
    """Draw subsets of every room's places and hold their means against the mean of all."""
    for room, places in rooms.items():
        bands = [octave.band_hz for octave in places[0].octaves]
        all_values = np.array(
            [[_value(octave, number) for octave in place.octaves] for place in places]
        )
        known = np.isfinite(all_values).all(axis=0) & (np.array(bands) >= BANDS_HZ[0])
        for n in SUBSETS:
            rng = np.random.default_rng(seed)
            chosen = [rng.choice(len(places), n, replace=False) for _ in range(draws)]
            yield from _of_room(room, number, places, all_values, np.flatnonzero(known), chosen)


def _value(octave: BandDecay, number: str) -> float:
    value = getattr(octave, number)
    return float("nan") if value is None else float(value)


def _of_room(
    room: str,
    number: str,
    places: Sequence[PositionDecays],
    values: np.ndarray,
    known: np.ndarray,
    chosen: list[np.ndarray],
) -> Iterator[Cell]:
    n = len(chosen[0])
    fewer = sqrt(1 - n / len(places))
    truth, spread = values.mean(axis=0), values.std(axis=0, ddof=1)
    off, half = np.zeros((len(chosen), len(known))), np.zeros((len(chosen), len(known)))
    for k, subset in enumerate(chosen):
        means = band_means([places[i] for i in subset], 1)
        for j, i in enumerate(known):
            mean = getattr(means[i], number.partition("_")[0])
            off[k, j], half[k, j] = abs(mean.value - truth[i]), 2 * mean.u
    for j, i in enumerate(known):
        yield Cell(
            room=room,
            number=number,
            band_hz=places[0].octaves[i].band_hz,
            places=n,
            held=float(np.mean(off[:, j] <= fewer * half[:, j])),
            held_as_printed=float(np.mean(off[:, j] <= half[:, j])),
            wider=float(np.median(half[:, j]) / (1.96 * spread[i] / sqrt(n))),
        )


def published(folder: Path) -> Table:
    """T30 of all 34 loudspeaker places of both states, as their authors published them."""
    rows: dict[tuple[str, str], dict[float, float]] = {}
    with (folder / "variable-acoustics-panels" / "published_t30.csv").open() as file:
        for row in csv.DictReader(file):
            place = rows.setdefault((row["panels"], row["source"]), {})
            place[float(row["band_hz"])] = float(row["t30_s"])
    rooms: dict[str, list[PositionDecays]] = {}
    for (panels, source), t30 in rows.items():
        octaves = tuple(_only_t30(hz, t30[hz]) for hz in BANDS_HZ)
        rooms.setdefault(f"laboratory, {panels} % absorbing", []).append(_place(source, octaves))
    return dict(rooms)


def _only_t30(band_hz: float, t30_s: float) -> BandDecay:
    return BandDecay(
        band_hz=band_hz,
        edt_s=None,
        t20_s=None,
        t30_s=t30_s,
        t20_sd_s=None,
        t30_sd_s=iso.t30_sd_s(t30_s, band_hz),
        c50_db=None,
        c80_db=None,
        d50=None,
        ts_s=None,
        range_db=None,
        curvature_pct=None,
    )


def _place(name: str, octaves: tuple[BandDecay, ...]) -> PositionDecays:
    return PositionDecays(source=name, microphone="P", take=name, octaves=octaves, thirds=())


def recorded(folder: Path) -> Table:
    """The 13 responses of the hard room, and 12 of each state of the laboratory."""
    patterns = {
        "hard room": "room-with-coordinates/*.flac",
        "laboratory, 000 %, 1.5 m": "variable-acoustics-panels/000*.flac",
        "laboratory, 050 %, 1.5 m": "variable-acoustics-panels/050*.flac",
    }
    return {
        name: [
            _place(path.stem, decays(load_impulse_response(path), 1))
            for path in sorted(folder.glob(pattern))
        ]
        for name, pattern in patterns.items()
    }


def made_up(rooms: int, places: int, seed: int = 5) -> Table:
    """Boxes with another absorption on each face: image sources to order 6, then rays."""
    rng = np.random.default_rng(seed)
    return {f"box {k + 1}": _box(rng, places) for k in range(rooms)}


def _box(rng: np.random.Generator, places: int) -> list[PositionDecays]:
    import pyroomacoustics as pra

    size_m = rng.uniform([4, 3.2, 2.4], [9, 6.5, 3.2])
    faces = ("east", "west", "north", "south", "floor", "ceiling")
    materials = {
        face: pra.Material(float(alpha), 0.15)
        for face, alpha in zip(faces, rng.uniform(0.05, 0.5, 6), strict=True)
    }
    room = pra.ShoeBox(
        size_m,
        fs=32_000,
        materials=materials,
        max_order=6,
        ray_tracing=True,
        air_absorption=True,
    )
    room.set_ray_tracing(n_rays=20_000, receiver_radius=0.3)
    from_walls_m = np.array([0.8, 0.8, 1.0])
    room.add_source(rng.uniform(from_walls_m, size_m - from_walls_m))
    spots = [rng.uniform(from_walls_m, size_m - from_walls_m) for _ in range(places)]
    room.add_microphone_array(np.array(spots).T)
    room.compute_rir()
    responses = [ImpulseResponse(samples=np.asarray(rir[0]), rate_hz=32_000) for rir in room.rir]
    return [_place(f"P{i}", decays(response, 1)) for i, response in enumerate(responses)]


def main() -> None:
    folder = open_data.folder()
    tables = [(made_up(4, 16), "t20_s")]
    if folder is not None:
        real = recorded(folder)
        tables += [(published(folder), "t30_s"), (real, "t20_s"), (real, "t30_s"), (real, "c50_db")]
    for rooms, number in tables:
        for n in SUBSETS:
            found = [cell for cell in cells(rooms, number, 400) if cell.places == n]
            held = [f"{100 * cell.held:.0f}" for cell in found]
            printed = np.mean([cell.held_as_printed for cell in found])
            pooled = np.mean([cell.held for cell in found])
            widest = max(cell.wider for cell in found)
            print(
                f"{number} n = {n}: {pooled:.1%} ({printed:.1%} as printed), widest {widest:.2f}; "
                + " ".join(held)
            )


if __name__ == "__main__":
    main()
