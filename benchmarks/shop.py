"""What the shop half holds: hangings against statics, pieces that close, cutting, papers.

Run as `python benchmarks/shop.py`: it prints the section of docs/validation.md.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "workshop"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "report"))

import test_every_piece_closes as closes
import test_random_hangings as hangings
import test_wall_drawings as walls
from made_up_story_room import IN

from roomcheck.job import bench_job
from roomcheck.job.model.practice import ShopPractice
from roomcheck.workshop import wanted
from roomcheck.workshop.cutting.sheets import rip_plan, sheets_of
from roomcheck.workshop.hanging.hanging import hanging_lines
from roomcheck.workshop.parts.pieces import built
from roomcheck.workshop.sheet.sheet import bench_line

HANGINGS, SIZES, WALLS = 2000, 500, 300


def hung() -> str:
    """Ratios over what statics of their own give."""
    draw, practice = random.Random(20261130), ShopPractice()
    shares, refused, moved, third = [], 0, 0, 0
    for _ in range(HANGINGS):
        job, framing, piece = hangings.hung_at_random(draw)
        (line,) = hanging_lines(job, [piece], practice)
        refused += bool(line.refused)
        moved += bool(line.moved_m) and not line.refused
        third += line.per_stud == 3 and not line.refused
        if line.studs_m:
            can_be = hangings.ratio_by_statics(line, framing, piece, practice)
            shares.append(line.load_ratio / can_be)
    shares.sort()
    return (
        f"{HANGINGS} random hangings on wood studs: printed ratio over the independent one at most "
        f"{shares[-1]:.3f}, median {shares[len(shares) // 2]:.2f}; {refused} refused, {moved} moved "
        f"within 2 in, {third} with a third screw a stud."
    )


def closed() -> str:
    """Random sizes whose parts in space are those of the cut list."""
    draw, practice = random.Random(18), closes.SHOP.practice
    job = bench_job(closes.SHOP, units="imperial", title="made up")
    solids = 0
    for _ in range(SIZES):
        piece = wanted(closes.at_random(draw), closes.SHOP).piece
        one = built(job, piece, (bench_line("1", piece, practice),), practice)
        closes.check_one(piece, one)
        solids += len(one.solids)
    return (
        f"{SIZES} random sizes, {solids} parts in space: none overlap, none stand loose, number and "
        f"size as on the cut list; as do the {len(closes.SHOP.stock)} stock pieces."
    )


def cut() -> str:
    """Boards and sheets against what they were."""
    board = sum(
        bar.count
        for plan in closes.built("11 x 4 in panel").cutting
        if plan.item == "board 1x5, pine"
        for bar in plan.plan.bars
    )
    full, strip = (22.375 * IN, 48 * IN), (22.375 * IN, 10.375 * IN)
    cores = sheets_of(rip_plan([full] * 20 + [strip] * 20, (24 * IN, 48 * IN), 0.0))
    return (
        f"11 panels of 4 in: {board} boards of 8 ft (22 with the long boards over the short ones); "
        f"10 of 24 x 60 in: {cores} core boards (40 in equal halves)."
    )


def drawn() -> str:
    """Walls of any length as sheets whose texts never meet."""
    draw = random.Random(20261201)
    sheets, pieces, most = 0, 0, 0
    for _ in range(WALLS):
        job, face, lines = walls.random_wall(draw)
        number = walls.check_wall(job, face, lines, draw.uniform(80, 165))
        sheets, pieces, most = sheets + number, pieces + len(lines), max(most, number)
    return (
        f"{WALLS} random walls of 2 to 20 m with {pieces} pieces, drawn on {sheets} sheets (at "
        f"most {most} a wall): no two texts cover each other, none leaves its sheet, every piece "
        "is named on one sheet and no other."
    )


def whole() -> str:
    """All of it, as the section of the page."""
    return "".join(f"- {text}\n" for text in (hung(), closed(), cut(), drawn()))


if __name__ == "__main__":
    print(whole(), end="")
