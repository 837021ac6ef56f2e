"""Proof: predictions against printed values, measured rooms, another model of the room, and closed
forms of patches."""

from __future__ import annotations

import csv
import dataclasses
import sys
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import few_rays
from ranges import (
    BANDS_HZ,
    KNOWN,
    MATERIALS,
    SETS,
    TERMS_KEPT,
    UNSEEN,
    Share,
    accused,
    analysis_of,
    classes,
    random_job,
    read,
    rows_for,
    table,
    width_for,
)
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Job, Placement, Position
from roomcheck.materials import MATERIALS as TABLE
from roomcheck.materials import Absorption, Perforated, Slotted, absorption_of
from roomcheck.materials.layers import porous, resonators
from roomcheck.materials.layers.diffusers import (
    diffusion_coefficient,
    quadratic_residues,
    scattered_energy,
    well_depths_m,
)
from roomcheck.predict import predict
from roomcheck.predict.answer import before_after, statistics
from roomcheck.predict.answer.seat import MOST_ABSORBED, SeatForecast, seat_forecasts
from roomcheck.predict.rays.scene import flat_shape
from roomcheck.predict.room import formulas

TITLE = "Predictions and their ranges"

ROOMS, UNSEEN_ROOMS = 140, 40
RANGES = tuple(name for *_, name in SETS[:2])
"""Kept, like every file read here, by `python benchmarks/ranges.py --figures docs/figures`."""
FRESH = SETS[2][2]
"""Rows of rooms that were drawn last and looked at once."""
FEW_RAYS = "few-rays.csv"
"""Kept by `python benchmarks/few_rays.py --keep`."""


def printed_values() -> list[tuple[str, float, float, float]]:
    """(what, printed, found, half of the last digit printed)."""
    V, S, areas = 72.0, 108.0, np.array([18.0, 18, 12, 12, 24, 24])
    alphas, pairs = np.array([0.1, 0.1, 0.1, 0.1, 0.3, 0.6]), np.array([24.0, 36, 48])
    means, A = np.array([0.1, 0.1, 0.45]), 27.6
    c = {"speed_m_s": 343.0}
    box = "box 6 x 4 x 3 m, walls 0.1, floor 0.3, ceiling 0.6"
    rows = [
        (f"Sabine, {box} [s]", 0.4203, formulas.sabine_s(V, A, **c), 5e-5),
        (f"Eyring, {box} [s]", 0.3640, formulas.eyring_s(V, S, A, **c), 5e-5),
        (f"Millington, {box} [s]", 0.3146, formulas.millington_s(V, areas, alphas, **c), 5e-5),
        (f"Fitzroy, {box} [s]", 0.6462, formulas.fitzroy_s(V, pairs, means, **c), 5e-5),
        (f"Arau-Puchades, {box} [s]", 0.4713, formulas.arau_puchades_s(V, pairs, means, **c), 5e-5),
        (f"Kuttruff, paths, {box} [s]", 0.3868, formulas.kuttruff_paths_s(V, S, A, **c), 5e-5),
        (
            f"Kuttruff, uneven, {box} [s]",
            0.3563,
            formulas.kuttruff_uneven_s(V, areas, alphas, **c),
            5e-5,
        ),
    ]
    rows += [*_absorbers(), *_diffusers()]
    return [(what, printed, float(found), half) for what, printed, found, half in rows]


def _absorbers() -> list[tuple[str, float, Any, float]]:
    def miki(reaction: Any, gap_m: float) -> float:
        return float(reaction(0.05, gap_m, 10_000.0, bands_hz=(500.0,))[0])

    holes = Perforated(
        thickness_m=0.006, hole_m=0.005, open_share=resonators.holes_share(0.005, 0.02)
    )
    slots = Slotted(thickness_m=0.019, slot_m=0.006, open_share=6 / 76)
    neck = resonators.helmholtz_hz(np.pi * 0.025**2, 0.0925, 0.02)
    return [
        (
            "Miki 50 mm, 10 kPa s/m2, extended, 500 Hz",
            0.589,
            miki(porous.extended_reaction, 0.0),
            5e-4,
        ),
        ("Miki 50 mm, 10 kPa s/m2, local, 500 Hz", 0.496, miki(porous.local_reaction, 0.0), 5e-4),
        (
            "Miki 50 mm before 100 mm of air, local, 500 Hz",
            0.922,
            miki(porous.local_reaction, 0.1),
            5e-4,
        ),
        ("membrane 5 kg/m2 before 100 mm [Hz]", 84.92, resonators.membrane_hz(5, 0.1), 5e-3),
        ("neck of 25 mm radius, 20 l, ends counted [Hz]", 56.24, neck, 5e-3),
        (
            "holes 5 mm at 20 mm, board 6 mm, 100 mm [Hz]",
            405.70,
            resonators.openings_hz(holes, 0.1),
            5e-3,
        ),
        (
            "slots 6 mm at 76 mm, slats 19 mm, 100 mm [Hz]",
            295.28,
            resonators.openings_hz(slots, 0.1),
            5e-3,
        ),
        ("micro-perforation, r = 2: peak", 0.89, resonators.maa_peak(2), 5e-3),
        ("micro-perforation, r = 2: bandwidth", 8.76, resonators.maa_bandwidth(2), 5e-3),
    ]


def _diffusers() -> list[tuple[str, float, Any, float]]:
    depths = well_depths_m(quadratic_residues(7), 7, 490) * 6
    wells, flat = (
        diffusion_coefficient(10 * np.log10(scattered_energy(d, 3.6 / 42, 1000.0)))
        for d in (depths, (0.0,) * 42)
    )
    return [
        (
            "diffusion coefficient of levels 0 -3 -6 -3 0 dB",
            0.781552,
            diffusion_coefficient((0, -3, -6, -3, 0)),
            5e-7,
        ),
        ("seven wells, six periods, 1 kHz: diffusion", 0.10985, wells, 5e-6),
        ("the same, normalised by a flat panel", 0.10549, (wells - flat) / (1 - flat), 5e-5),
        (
            "deepest of seven wells for 500 Hz [m]",
            0.196,
            max(well_depths_m(quadratic_residues(7), 7, 500)),
            5e-4,
        ),
    ]


def board() -> list[tuple[float, float, float, float]]:
    """(band, measured, with edges, endless): glass-fibre board 48 kg/m3, 100 mm, in a reverberation
    chamber."""
    row = absorption_of("glass fibre board 48 kg/m3, 100 mm")
    with_edges, endless = (
        porous.porous_layer(0.1, 0.0, 18_600.0, edge_share=share) for share in (1.0, 0.0)
    )
    return [(b, row.at(b) or 0, with_edges.at(b) or 0, endless.at(b) or 0) for b in row.bands_hz]


def a_job(room: Room, kinds: dict[str, str], source: Point, seat: Point) -> Job:
    """A room with one source and one seat; `kinds` by face, the walls under "wall"."""
    job = random_job(np.random.default_rng(1), MATERIALS)
    return dataclasses.replace(
        job,
        room=room,
        materials=tuple((f.name, kinds.get(f.name, kinds["wall"])) for f in room.faces),
        furnishings=(),
        sources=(Position(name="S1", point=source),),
        microphones=(Position(name="P1", point=seat),),
        seat="P1",
    )


def a_row(key: str, values: dict[float, float], spread: float) -> Absorption:
    """A made-up row for a surface that nobody described."""
    return Absorption(
        key=key,
        title=key,
        per_piece=False,
        bands_hz=tuple(values),
        values=tuple(values.values()),
        uncertainty=tuple(spread * v for v in values.values()),
        source="assumed",
        mark="common practice",
    )


def hung(
    job: Job, absorption: Absorption, places: tuple[tuple[str, Rectangle], ...]
) -> tuple[Job, tuple[Placement, ...]]:
    """The job with a stock piece of this absorption, at these places."""
    piece = dataclasses.replace(job.shop.stock[0], name="piece", core=None, material=absorption.key)
    shop = dataclasses.replace(job.shop, stock=(piece,))
    pieces = tuple(
        Placement(name=f"A{i}", piece="piece", face=f, place=p)
        for i, (f, p) in enumerate(places, 1)
    )
    return dataclasses.replace(job, shop=shop), pieces


Found = list[tuple[float, float, float, float, float]]
"""(band, measured after, low, likely, high)"""


def auditorium(data: Path) -> Found:
    """School auditorium of 2832 m3 with 35.7 m2 of panels, predicted from its "before"."""
    with (data / "nest-auditorium-panels" / "rt.csv").open() as file:
        rows = {float(r["octave_hz"]): r for r in csv.DictReader(file)}
    with (data / "nest-auditorium-panels" / "panel.csv").open() as file:
        lines = list(csv.reader(file))
    alpha = {float(b): float(a) for b, a in zip(lines[0][1:], lines[1][1:], strict=True)}
    bands = (500.0, 1000.0, 2000.0, 4000.0)
    before = {b: float(rows[b]["before_measured_s"]) for b in bands}
    after = {
        b: float(np.mean([float(rows[b][f"after_measured_R{i}_T30_s"]) for i in (3, 4, 5)]))
        for b in bands
    }
    hall = a_row("hall", dict.fromkeys(alpha, 0.15), 1.0)
    panel = a_row("board", alpha, 0.1)
    job = a_job(
        Room.box(20.0, 17.0, 2832 / 340), {"wall": "hall"}, Point(3, 9, 1.5), Point(12, 8, 1.2)
    )
    job, pieces = hung(job, panel, (("north", Rectangle(1, 2, 35.7 / 3, 3)),))
    return _after(job, pieces, (hall, panel), before, after, 0.04)


def curtains(data: Path) -> Found:
    """A laboratory of 8.1 x 6.8 x 3.07 m, curtains drawn around it, predicted from curtains
    open."""

    def read(state: str) -> dict[float, float]:
        path = data / "tudelft-curtains" / f"other_libraries_curtains_{state}_real_room_3.csv"
        with path.open() as file:
            return {float(r["octave_hz"]): float(r["pyrato_T30_s"]) for r in csv.DictReader(file)}

    bands = (500.0, 1000.0, 2000.0, 4000.0)
    opened, drawn = read("open"), read("closed")
    octaves = (125.0, 250.0, *bands)
    lab = a_row("laboratory", dict.fromkeys(octaves, 0.3), 0.7)
    velour = absorption_of("heavy curtain, draped")
    job = a_job(
        Room.box(8.1, 6.8, 3.07),
        {"wall": "laboratory"},
        Point(3.37, 1.63, 1.08),
        Point(1.66, 3.33, 0.99),
    )
    places = (("north", 6.32), ("south", 6.32), ("east", 4.31), ("west", 4.31))
    job, pieces = hung(job, velour, tuple((f, Rectangle(0.2, 0, w, 3.07)) for f, w in places))
    return _after(
        job, pieces, (lab,), {b: opened[b] for b in bands}, {b: drawn[b] for b in bands}, 0.1
    )


def _after(
    job: Job,
    pieces: tuple[Placement, ...],
    rows: tuple[Absorption, ...],
    before: dict[float, float],
    after: dict[float, float],
    u: float,
) -> Found:
    told = analysis_of([before.get(b, np.nan) for b in BANDS_HZ], [u] * len(BANDS_HZ), 60.0)
    told = dataclasses.replace(told, octaves=tuple(o for o in told.octaves if o.band_hz in before))
    with patch.dict(TABLE, {row.key: row for row in rows}):
        found = {b.band_hz: b for b in predict(job, pieces, told).after}
    return [
        (b, T, found[b].low_s or 0, found[b].likely_s or 0, found[b].high_s or 0)
        for b, T in after.items()
    ]


def seminar_room(data: Path) -> list[tuple[float, float, float]]:
    """(band, measured T20, Eyring with air and the fitted coefficients)."""
    folder, bands = data / "bras-cr2-seminar-room", (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
    from roomcheck.standards import (
        air_absorption_db_per_m,
        energy_attenuation_per_m,
        speed_of_sound_m_s,
    )

    def octaves(name: str) -> Any:
        lines = [
            [float(x) for x in text.split(",")]
            for text in (folder / name).read_text().splitlines()[:2]
        ]
        at = [int(np.argmin(np.abs(np.array(lines[0]) - band))) for band in bands]
        return np.array([np.mean(lines[1][i - 1 : i + 2]) for i in at])

    areas = {"plaster": 34.93, "concrete": 56.94, "windows": 9.75, "floor": 49.29, "ceiling": 51.62}
    A = sum(area * octaves(f"mat_CR2_{name}.csv") for name, area in areas.items())
    air = [energy_attenuation_per_m(air_absorption_db_per_m(band, 19.5, 41.7)) for band in bands]
    T = formulas.eyring_s(146.1, 202.53, A, air_per_m=air, speed_m_s=speed_of_sound_m_s(19.5))
    return [
        (b, float(m), float(t))
        for b, m, t in zip(bands, octaves("Evaluation_CR2_T20.txt"), T, strict=True)
    ]


def patches() -> tuple[list[tuple[str, float, float]], float]:
    """One panel on and off each wall's reflection point.

    Returns
    -------
    list of (wall, closed form, found), float
        Change of that reflection at 1 kHz, and the largest change of a path that misses the panel
        in both. [dB]
    """
    room, kinds = Room.box(6, 4, 3), {"wall": "gypsum board on studs"}
    job = a_job(room, kinds, Point(1.5, 1.2, 1.4), Point(4.2, 2.7, 1.2))
    bare = _reflections(job, ())
    layer = porous.porous_layer(0.1, 0.05, 10_000.0, edge_share=porous.IN_ROOMS)
    closed = 10 * np.log10(
        (1 - min(layer.at(1000.0) or 0, MOST_ABSORBED))
        / (1 - (absorption_of(kinds["wall"]).at(1000.0) or 0))
    )
    rows, worst = [], 0.0
    for wall in ("south", "north", "west", "east"):
        u, v = next(r for r in bare.reflections if r.faces == (wall,)).places[0]
        aside = 0.8 if u + 1.2 < room.face(wall).width_m else -0.8
        on, off = (_reflections(job, (_panel(wall, u + shift, v),)) for shift in (0.0, aside))
        for a, b in zip(on.reflections, off.reflections, strict=True):
            change = (a.bands_after_db[4] or 0) - (b.bands_after_db[4] or 0)
            if a.faces == (wall,):
                rows.append((wall, float(closed), change))
            elif "A1" not in (*a.meets_after, *b.meets_after):
                worst = max(worst, abs(change))
    return rows, worst


def _reflections(job: Job, pieces: tuple[Placement, ...]) -> SeatForecast:
    """At the seat; without simulated decays, which no reflection needs."""

    def flat(scene: Any, logs: Any, *_: Any, **__: Any) -> Any:
        return flat_shape(logs)

    with patch.object(before_after, "shape_of", flat), patch.object(statistics, "shape_of", flat):
        return seat_forecasts(job, before_after.before_after(job, pieces, simulate=False))[0]


def _panel(wall: str, u: float, v: float) -> Placement:
    return Placement(
        name="A1", piece="panel", face=wall, place=Rectangle(u - 0.305, v - 0.61, 0.61, 1.22)
    )


def ranges(figures: Path | None, rooms: int = ROOMS, *, unseen: bool = False) -> Any:
    """The rows of `ranges.rows_of`: as kept, else computed anew."""
    kept = None if figures is None else figures / RANGES[unseen]
    if kept is not None and kept.is_file():
        return read(kept)
    start = UNSEEN if unseen else 0
    return rows_for(range(start, start + rooms), quiet=True)


def write(figures: Path) -> str | None:
    from open_data import folder

    data = folder()
    if data is None:
        return None
    printed = printed_values()
    parts = [
        "### Printed and closed-form values\n",
        _table(
            ("value", "printed", "found", "within half a digit"),
            [
                (w, f"{p:g}", f"{f:.6g}", "yes" if abs(f - p) <= h * 1.01 else "NO")
                for w, p, f, h in printed
            ],
        ),
    ]
    parts.append(
        "\nEdges: a board of 48 kg/m³, 100 mm, as measured in a reverberation chamber (Long "
        "2014, Table 7.1), beside the model with the edges of a chamber's sample and without; "
        "flow resistivity from fibre and density alone.\n"
    )
    parts.append(
        _table(
            ("Hz", "measured", "with edges", "endless"),
            [(f"{b:g}", *(f"{x:.2f}" for x in r)) for b, *r in board()],
        )
    )
    parts += ["\n### Measured rooms\n", _rooms(data)]
    rows, unseen = ranges(figures), ranges(figures, UNSEEN_ROOMS, unseen=True)
    parts += ["\n### Random rooms whose truth is another model\n", _ranges(rows, unseen, figures)]
    parts += _few_rays(figures)
    moved, worst = patches()
    parts += [
        "\n### A panel moved across a reflection point\n",
        _table(
            ("wall", "closed form dB", "found dB"),
            [(w, f"{c:.2f}", f"{f:.2f}") for w, c, f in moved],
        ),
        f"\nLargest change of a path that misses the panel in both places: {worst:.2f} dB.\n",
    ]
    return "\n".join(parts)


def _few_rays(figures: Path) -> list[str]:
    """What the number of rays makes of the simulated decay, as kept; nothing where it was not."""
    kept = figures / FEW_RAYS
    if not kept.is_file():
        return []
    return [
        "\n### How many rays are enough\n",
        (
            "The decay that is simulated for a plan at 1 kHz beside the same model with sixteen times the rays from "
            "every region, of a set turned otherwise: mean, and root mean square, of what it is off "
            "(`benchmarks/few_rays.py`). Before every face had a turn of its own, all sent out the same first 160 "
            "points of one set, and ten rooms with ten pieces were 5, 5 and 3 % long on the mean at 0.02, 0.06 and "
            "the room's own scattering, 8, 7 and 6 % in root mean square.\n"
        ),
        *few_rays.table(few_rays.read(kept)),
    ]


def _held(band: float, T: float, low: float, likely: float, high: float) -> tuple[str, ...]:
    said = "yes" if low <= T <= high else "no"
    return f"{band:g}", f"{T:.2f}", f"{low:.2f}–{high:.2f}", f"{likely:.2f}", said


def _rooms(data: Path) -> str:
    seminar = [(f"{b:g}", f"{m:.2f}", f"{t:.2f}") for b, m, t in seminar_room(data)]
    heads = ("Hz", "measured after s", "range s", "likely s", "inside")

    def lines(found: Found) -> str:
        return _table(heads, [_held(*line) for line in found])

    return (
        "Auditorium of 2832 m³ before and after 35.7 m² of panels. Weakness: two methods of "
        "measuring a year apart, occupancy not told, plan taken as a box, no surface described; "
        "250 Hz before is a blunder and left out. What it can prove is the sign and 25 %; its "
        "panels did more than their area times their coefficient says.\n\n"
        + lines(auditorium(data))
        + "\nLaboratory with curtains open and drawn. Weakness: one position, bent decays, cloth unknown (heavy velour "
        "assumed), the drawn cloth stands off the walls and makes a smaller room.\n\n"
        + lines(curtains(data))
        + "\nSeminar room of 146 m³. Weakness: its coefficients were fitted to its own decay with Eyring's formula, so "
        "this proves formula and air, not foresight.\n\n"
        + _table(("Hz", "measured s", "Eyring s"), seminar)
    )


def _ranges(rows: Any, unseen: Any, figures: Path) -> str:
    _figure(rows, figures)
    seen, others = (len(np.unique(each[:, 0])) for each in (rows, unseen))
    heads = ("rooms", "number", "values", "inside", "95 % interval", "above", "width", "bias")
    return (
        f"{seen} random rooms, a fifth of them L-shaped, with random materials, chairs and panels. "
        "The truth is traced by particles at the places of the microphones, with scattering of "
        "0.02 to 0.5 that the predictor does not know, chairs on the floor, and every coefficient "
        "off from its table by its uncertainty; T20 before, early decay before and T20 after have "
        "the scatter of three pairs. Particles are followed until the mean decay is known to 1.5 %, "
        "160,000 at most; early decays by one batch of 10,000. "
        "Uneven: the pair of faces that absorbs most takes three times as much as the one that "
        "absorbs least. Low scattering: below 0.08. Promised: nine in ten. The interval is a "
        "bootstrap by room; width and bias are medians.\n\n"
        + _table(heads, [_line(line) for line in table(rows)])
        + f"\nThe measurement of {100 * accused(rows):.1f} % of these rooms, all typed rightly, is "
        "called unexplained.\n\n"
        f"{others} rooms that nothing was tuned on ({100 * accused(unseen):.1f} % of them called "
        "unexplained):\n\n"
        + _table(heads, [_line(line) for line in table(unseen)])
        + _fresh(figures)
        + _reachable(rows, unseen, figures)
        + _terms(figures)
        + "\n![](figures/prediction-ranges.svg)\n\nLimits: nothing bends round edges in either "
        "model, and the truth scatters alike on all surfaces; real rooms differ from both in ways "
        "that this cannot show.\n"
    )


def _fresh(figures: Path) -> str:
    """Rooms that were drawn last."""
    kept = figures / FRESH
    if not kept.is_file():
        return ""
    rows = read(kept)
    lines = table(rows)
    heads = ("rooms", "number", "values", "inside", "95 % interval", "above", "width", "bias")
    return (
        f"\n{lines[0].rooms} more rooms, drawn last and looked at twice at most "
        f"({100 * accused(rows):.1f} % of them called unexplained):\n\n"
        + _table(heads, [_line(line) for line in lines if line.name in SHORT])
    )


SHORT = (
    "all octaves",
    "mean 500, 1000 Hz",
    "even",
    "uneven",
    "even, ordinary scattering",
    "even, low scattering",
    "uneven, ordinary scattering",
    "uneven, low scattering",
)
"""Classes of short tables."""


def _reachable(rows: Any, unseen: Any, figures: Path) -> str:
    """What width would hold nine in ten, and what one who knew the scattering would need."""
    kept = figures / KNOWN
    if not kept.is_file():
        return ""
    columns = [dict(classes(each)) for each in (rows, unseen, read(kept))]
    lines = []
    for name in SHORT:
        here = [column[name] for column in columns]
        found = [f"{100 * width_for(some, share):.0f} %" for share in (0.8, 0.9) for some in here]
        lines.append((name, *found))
    heads = ("rooms", *(f"{x}, {who}" for x in (80, 90) for who in ("these", "the 40", "known")))
    return (
        "\nWidth against coverage: the median width that the ranges would have if each were "
        "stretched about its likely value until exactly so many in a hundred held (quantiles of the "
        "error over what is stated). Known: an observer who knows how much each room scatters, in "
        "the first rooms: the floor of what evidence of scattering can give to this model.\n\n"
        + _table(heads, lines)
    )


def _terms(figures: Path) -> str:
    """What makes the width, as kept."""
    kept = figures / TERMS_KEPT
    if not kept.is_file():
        return ""
    lines = [line.split(",") for line in kept.read_text(encoding="utf-8").splitlines()[1:]]
    rows = [
        (without or "nothing", name, f"{100 * float(inside):.0f} %", f"{100 * float(width):.0f} %")
        for without, name, inside, width in lines
    ]
    return (
        "\nWhat makes the width: the same ranges with one term left out. Pieces: their absorption "
        "as computed. Model: its own error. What is left without the model is what tables, pieces "
        "and measurements leave open.\n\n" + _table(("left out", "rooms", "inside", "width"), rows)
    )


def _line(line: Share) -> tuple[str, ...]:
    return (
        line.name,
        str(line.rooms),
        str(line.values),
        f"{100 * line.inside:.0f} %",
        f"{100 * line.low:.0f}–{100 * line.high:.0f} %",
        f"{100 * line.longer:.0f} %",
        f"{100 * line.width:.0f} %",
        f"{100 * line.bias:+.1f} %",
    )


def _figure(rows: Any, figures: Path) -> None:
    """Where in its range the true decay lies."""
    import matplotlib.pyplot as plt

    plt.rcParams.update({"svg.hashsalt": "prediction-ranges", "svg.fonttype": "none"})
    figure, axes = plt.subplots(figsize=(5, 2.6))
    true, low, likely, high = rows[:, 5:9].T
    off = np.log(true / likely) / (np.log(high / low) / 2)
    axes.hist(np.clip(off, -3, 3), bins=np.linspace(-3, 3, 25), color="0.6")
    axes.axvspan(-1, 1, color="tab:blue", alpha=0.15)
    axes.set(xlabel="true decay in the promised range (−1 low end, 1 high end)", ylabel="values")
    path = figures / "prediction-ranges.svg"
    figure.savefig(path, bbox_inches="tight", metadata={"Date": None})
    plt.close(figure)


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    marks = ["---"] + ["---:"] * (len(head) - 1)
    return "\n".join("| " + " | ".join(row) + " |" for row in (head, tuple(marks), *rows)) + "\n"
