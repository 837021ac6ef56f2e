"""Line drawings of rooms: no hidden line drawn, none missing, and how long that takes.

python benchmarks/validation.py line_drawings
"""

from __future__ import annotations

import time
from pathlib import Path

import hidden_lines
from roomcheck.report.figures.room_picture import paper_of, room_drawn
from roomcheck.scene import best_view

TITLE = "Line drawings of rooms"
ROOMS = 300


def write(figures: Path) -> str:
    """Shoot rays at the drawings of random rooms."""
    found = hidden_lines.run(ROOMS, seed=1)
    scenes = [hidden_lines.random_scene(seed) for seed in range(20)]
    start = time.process_time()
    for scene in scenes:
        room_drawn(scene, paper_of(scene, best_view(scene)))
    each_s = (time.process_time() - start) / len(scenes)
    places = found.drawn + found.left_out
    return f"""{found.rooms} random rooms (box, L, U, T, no right angle) with panels, blocks, wells, slats and wedges
on every face, drawn from the chosen view and from views at random. Rays from the eye to {places:,} places on their
lines, against every triangle of every solid (Möller and Trumbore), know nothing of the half-spaces that the drawing cuts
lines by.

| | places |
|---|---:|
| on lines that are drawn | {found.drawn:,} |
| of these hidden by something | {found.hidden_drawn} |
| on lines that are left out | {found.left_out:,} |
| of these hidden by nothing | {found.seen_missing} |
| so near to an edge that rounding decides: not judged | {found.unjudged} |

A drawing of such a room takes {1000 * each_s:.0f} ms of processor time, its view chosen among 72.
"""
