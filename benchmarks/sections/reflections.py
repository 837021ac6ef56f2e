"""Reflections named in rooms of known geometry, and flutter in corridors."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import bare_rooms
import flutter as corridors
import reflections as rooms
from open_data import folder

TITLE = "Reflections and flutter in rooms of known geometry"

MAIN = 30
CASES: dict[str, tuple[int, dict[str, object]]] = {
    "positions as typed": (MAIN, {}),
    "positions off by 2 cm along each axis (standard deviation)": (8, {"off_m": 0.02}),
    "two objects that are no wall, positions off by 2 cm": (8, {"things": 2, "off_m": 0.02}),
    "one loudspeaker, one microphone, off by 2 cm": (
        16,
        {"sources": 1, "microphones": 1, "off_m": 0.02},
    ),
}
DRAWS = 300
BARE: dict[str, dict[str, object]] = {
    "bare, positions as typed": {"off_m": 0.0},
    "bare, off by 2 cm along each axis": {"off_m": 0.02},
    "bare, walls in relief, off by 2 cm": {"off_m": 0.02, "relief": True},
    "two things in each, off by 2 cm": {"off_m": 0.02, "things": 2},
}
BARE_ROOMS, BARE_SEED = 20, 800


def write(figures: Path) -> str | None:
    """The section; `figures` is not used."""
    lines = [
        (
            "Boxes and L-shaped rooms in turn, 3.5 to 8 m long, each surface absorbing 0.05 to "
            "0.6, two loudspeakers and"
        ),
        (
            "three microphones at random. The truth comes from pyroomacoustics' images (to third "
            "order in L-shaped rooms,"
        ),
        (
            "fourth in boxes), summed over frequency; a diffuse tail grows in from 10 to 30 ms to "
            "what statistical"
        ),
        (
            "theory gives, with noise, and a simulated two-way loudspeaker (crossover, cabinet "
            "edge, resonance) smears it"
        ),
        (
            "all. Asked: of first-order reflections with no other image of first or second order "
            "within 0.3 ms at least"
        ),
        (
            "95 % named rightly and placed within 10 cm; closer ones named together, the truth "
            "among them in 95 %; level"
        ),
        (
            "within 1 dB where no image stands within 0.5 ms and the smear; fewer than 2 % false "
            "names. A name is false"
        ),
        (
            "where no image that arrives within 0.15 ms of it met the faces named. At most 30 ms "
            "after the direct sound."
        ),
        "",
        (
            "| case | rooms | alone: named rightly | within 10 cm | close: truth among them | "
            "level within 1 dB | false |"
        ),
        "|---|---|---|---|---|---|---|",
    ]
    for title, (count, how) in CASES.items():
        t = rooms.run(count, **how)
        cells = (
            f"{t.right}/{t.alone} = {100 * t.right / t.alone:.1f} %",
            f"{t.placed}/{t.alone} = {100 * t.placed / t.alone:.1f} %",
            f"{t.among}/{t.crowded} = {100 * t.among / t.crowded:.1f} %",
            f"{t.level_right}/{t.level}",
            f"{t.false}/{t.named}",
        )
        lines.append(f"| {title} | {count} | " + " | ".join(cells) + " |")
    lines += [
        "",
        (
            "What is not named rightly was drowned by the tail or by third-order images, and is "
            "then not listed at all."
        ),
        "",
        (
            "**Flutter.** Corridors 1.8 to 3 m wide with two hard side walls (0.02 to 0.08) and "
            "soft other faces (0.6 to"
        ),
        (
            "0.85), images to order 60, over diffuse sound of the energy given; and diffuse rooms "
            "of the same decay,"
        ),
        "with up to six strong single reflections, each held against the corridor's three",
        "pairs of faces. Three microphones each.",
        "",
        (
            "| diffuse over images | corridors found, spacing within 1 % | other pairs accused | "
            "diffuse rooms accused |"
        ),
        "|---|---|---|---|",
    ]
    for ground in (-15.0, -10.0, -5.0):
        c = corridors.run(DRAWS, ground_db=ground)
        found, accused = f"{c['found']}/{c['corridors']}", f"{c['accused']}/{c['diffuse']}"
        lines.append(f"| {ground:+.0f} dB | {found} | {c['others accused']} | {accused} |")
    return "\n".join([*lines, "", _bare()])


def _bare() -> str:
    """What is said of arrivals that no wall explains, where there is nothing but walls."""
    counted = {
        title: bare_rooms.accused(bare_rooms.made_rooms(BARE_ROOMS, BARE_SEED, **how))
        for title, how in BARE.items()
    }
    data = folder()
    if data is not None:
        counted["measured hard room of 90 m3, 13 times 3 of its places"] = bare_rooms.accused(
            bare_rooms.hard_room(data)
        )
    rows = [
        f"| {title} | {found.pairs} | {found.unexplained} | {found.perhaps} | "
        f"{found.blamed} of {found.rooms} |"
        for title, found in counted.items()
    ]
    return "\n".join((_BARE_HEAD, *rows, ""))


_BARE_HEAD = """**Nothing but walls.** Rooms as above, of other seeds, without anything in them: how often a finding blames
something in the room all the same (*off something in the room*, *hollow*), at the two strictest uses, a control room
and a voice booth; and beside them rooms in which two things send an arrival each to every place. Arrivals above
-15 dB within 30 ms that no image of first or second order explains by itself are called a thing only where no images
of first to third order that come within 0.3 ms may together be as loud, and no louder arrival just before still
sounds. Relief: 60 weak arrivals at random, -24 dB each.

| rooms | pairs | arrivals no wall explains | of them perhaps walls | rooms with something blamed |
|---|---|---|---|---|"""
