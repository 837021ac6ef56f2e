"""What the shop half holds: hangings against statics, pieces that close, cutting, papers.

Run as `python benchmarks/shop.py`: it prints the section of docs/validation.md.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import product
from pathlib import Path

import numpy as np
from scipy.optimize import LinearConstraint, milp

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "workshop"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "report"))

import test_every_piece_closes as closes
import test_rails as rails
import test_random_hangings as hangings
import test_rows_of_wells as wells
import test_seams as seams
import test_wall_drawings as walls
from made_up_story_room import IN

from roomcheck.job import Job, RunsLong, bench_job
from roomcheck.job.model.practice import ShopPractice
from roomcheck.workshop import build_pieces, wanted
from roomcheck.workshop.cutting.sheets import rip_plan, sheets_of
from roomcheck.workshop.hanging.hanging import hanging_lines
from roomcheck.workshop.parts.pieces import built
from roomcheck.workshop.patterns.blocks import drawn_array
from roomcheck.workshop.sheet.buying import purchases
from roomcheck.workshop.sheet.sheet import _plans, bench_line

HANGINGS, SIZES, WALLS = 2000, 500, 300
RAIL_ROWS, STATES = 500, 20
JOBS, JOINT_JOBS, PANELS = 120, 120, 40
WAYS: tuple[RunsLong, ...] = ("long", "short")
Size = tuple[float, float]


def hung() -> str:
    """Ratios over what statics of their own give."""
    draw, practice = random.Random(20261130), ShopPractice()
    shares, refused, moved, third, on_rails = [], 0, 0, 0, 0
    for _ in range(HANGINGS):
        job, framing, piece = hangings.hung_at_random(draw)
        (line,) = hanging_lines(job, [piece], practice)
        refused += bool(line.refused)
        moved += bool(line.moved_m) and not line.refused
        third += line.per_stud == 3 and not line.refused
        on_rails += line.rail is not None
        if line.studs_m and line.rail is None:
            can_be = hangings.ratio_by_statics(line, framing, piece, practice)
            shares.append(line.load_ratio / can_be)
    shares.sort()
    return (
        f"{HANGINGS} random hangings on wood studs: printed ratio over the independent one at most "
        f"{shares[-1]:.3f}, median {shares[len(shares) // 2]:.2f}; {refused} refused, {moved} moved "
        f"within 2 in, {third} with a third screw a stud, {on_rails} on a rail."
    )


def railed() -> str:
    """Rails against an elastic beam on elastic studs, by its elements."""
    draw, practice = random.Random(20261130), ShopPractice()
    shares, pieces, carried, refused = [], 0, 0, 0
    for _ in range(RAIL_ROWS):
        job, framing, hung_row = rails.row_at_random(draw)
        lines = hanging_lines(job, hung_row, practice)
        own = {each.placed.name: each for each in hung_row}
        pieces, refused = pieces + len(lines), refused + sum(bool(x.refused) for x in lines)
        for rail in dict.fromkeys(line.rail for line in lines if line.rail is not None):
            on_it = [line for line in lines if line.rail == rail]
            carried += len(on_it)
            for _ in range(STATES):
                can_be = rails.ratio_by_elements(draw, rail, on_it, own, framing, practice)
                shares.append(on_it[0].load_ratio / can_be)
    shares.sort()
    return (
        f"{RAIL_ROWS} random rows of {pieces} panels of 5 to 35 lb on studs at 16, 19.2 and 24 in: "
        f"{carried} hang on rails, {refused} are refused; each rail in {STATES} states (which pieces "
        f"hang, where they rest, how much a stud gives) against an elastic beam by its elements: "
        f"printed ratio over that one at most {shares[-1]:.3f}, median "
        f"{shares[len(shares) // 2]:.2f}."
    )


def welled() -> str:
    """Rows of well diffusers as laid, against equal ones."""
    most, count = 0.0, 0
    for run, runs, panels in product(wells.RUNS.values(), (1, 2, 3), (2, 4, 8)):
        _, row, _ = wells.laid(run, runs, panels)
        most, count = max(most, wells.by_transform(row, len(run))), count + 1
    return (
        f"{count} rows of well diffusers (residues of 7, 11, 13, roots of 7, 11; one to three runs a "
        f"panel, two to eight panels): moved by a run or more, equal panels correlate 1.00 with "
        f"themselves, as laid {most:.2f} at most; the cut list is the same."
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


SHEET = (24 * IN, 48 * IN)


def fills(
    widths: list[float], parts: list[Size], counts: list[int], long: float, kerf: float
) -> Iterator[tuple[float, tuple[int, ...]]]:
    """Every way to fill a strip of each width with parts turned either way, end to end."""
    for width in widths:
        ways = []
        for part, count in zip(parts, counts, strict=True):
            lengths = [b for a, b in (part, part[::-1]) if a <= width + 1e-9 and b <= long + 1e-9]
            most = int((long + kerf + 1e-9) // (min(lengths) + kerf)) if lengths else 0
            ways.append([(n, min(lengths, default=0.0)) for n in range(min(most, count) + 1)])
        for taken in product(*ways):
            used = sum(n * (length + kerf) for n, length in taken)
            if 0 < used <= long + kerf + 1e-9:
                yield width, tuple(n for n, _ in taken)


def least_sheets(parts: list[Size], counts: list[int], kerf: float) -> int:
    """Fewest sheets that strips across and parts along them can reach: every filling of a strip and
    every set of strips listed, chosen by an integer program of its own."""
    widths = sorted({round(side, 9) for part in parts for side in part})
    rows: list[tuple[float, bool]] = [
        (width, turned) for turned in (False, True) for width in widths
    ]
    columns: list[tuple[int, dict[tuple[float, bool], int], tuple[int, ...]]] = []
    nothing = (0,) * len(parts)
    for turned in (False, True):
        across, long = SHEET[::-1] if turned else SHEET
        most = [range(int((across + kerf + 1e-9) // (width + kerf)) + 1) for width in widths]
        for taken in product(*most):
            used = sum(n * (width + kerf) for n, width in zip(taken, widths, strict=True))
            if 0 < used <= across + kerf + 1e-9:
                strips = {(w, turned): n for w, n in zip(widths, taken, strict=True)}
                columns.append((1, strips, nothing))
        for width, filling in fills(widths, parts, counts, long, kerf):
            columns.append((0, {(width, turned): -1}, filling))
    strips_held = [[column[1].get(row, 0) for column in columns] for row in rows]
    parts_cut = [[column[2][i] for column in columns] for i in range(len(parts))]
    found = milp(
        [column[0] for column in columns],
        constraints=[
            LinearConstraint(np.array(strips_held), 0, np.inf),
            LinearConstraint(np.array(parts_cut), counts, np.inf),
        ],
        integrality=np.ones(len(columns)),
    )
    assert found.success, found.message
    return round(found.fun)


def cores() -> str:
    """Core boards of whole jobs against the exact optimum of strips."""
    draw, ours, exact, area = random.Random(120), 0, 0, 0.0
    same = 0
    for _ in range(JOBS):
        kinds = draw.randint(1, 3)
        parts = [
            (draw.randint(6 * 16, 24 * 16) / 16 * IN, draw.randint(8 * 16, 48 * 16) / 16 * IN)
            for _ in range(kinds)
        ]
        counts = [draw.randint(1, 12) for _ in range(kinds)]
        kerf = draw.choice((0.0, IN / 8))
        whole_list = [part for part, count in zip(parts, counts, strict=True) for _ in range(count)]
        found, best = (
            sheets_of(rip_plan(whole_list, SHEET, kerf)),
            least_sheets(parts, counts, kerf),
        )
        ours, exact, same = ours + found, exact + best, same + (found == best)
        area += sum(a * b for a, b in whole_list) / (SHEET[0] * SHEET[1])
    return (
        f"{JOBS} jobs of one to three kinds of core parts on boards of 24 x 48 in, cut in two "
        f"dimensions: {ours} boards, {exact} by an integer program of its own over every filling "
        f"of strips; equal in {same} jobs; the parts alone have the area of {area:.0f}."
    )


def joints() -> str:
    """Corner joints chosen for whole jobs against every combination of them."""
    draw, practice = random.Random(60), replace(ShopPractice(), runs_long="cheaper")
    shop = closes.SHOP
    job = bench_job(shop, units="imperial", title="made up")
    framed = [p.name for p in shop.stock if p.kind in ("panel", "cloud", "corner")]
    same, ours, exact, all_long = 0, Decimal(0), Decimal(0), Decimal(0)
    for _ in range(JOINT_JOBS):
        asked = [(name, draw.randint(1, 9)) for name in draw.sample(framed, draw.randint(1, 3))]
        costs = [
            joint_cost(job, asked, practice, ways) for ways in product(WAYS, repeat=len(asked))
        ]
        sheet = build_pieces(job, asked, practice)
        found = sum((one.cost for one in sheet.purchases), Decimal(0))
        ours, exact, all_long = ours + found, exact + min(costs), all_long + costs[0]
        same += found == min(costs)
    return (
        f"{JOINT_JOBS} jobs of one to three framed pieces: with both corner joints tried the "
        f"materials cost ${ours}, ${exact} by trying every combination; equal in {same} jobs; with "
        f"the long boards over the short ones alone ${all_long}."
    )


def joint_cost(
    job: Job, asked: Sequence[tuple[str, int]], practice: ShopPractice, ways: Sequence[RunsLong]
) -> Decimal:
    """Materials of a job whose kinds have these corner joints."""
    pieces = [job.shop.piece(name) for name, count in asked for _ in range(count)]
    lines = [bench_line(str(i), piece, practice) for i, piece in enumerate(pieces, 1)]
    sheets = []
    for (name, _), way in zip(asked, ways, strict=True):
        own = tuple(line for line in lines if line.piece == name)
        sheets.append(built(job, job.shop.piece(name), own, replace(practice, runs_long=way)))
    plans = _plans(job.shop, tuple(sheets), practice)
    bought = purchases(job.shop, pieces, tuple(sheets), plans, practice)
    return sum((one.cost for one in bought), Decimal(0))


def seamed() -> str:
    """Rows of four block panels as one pattern, against a plain repeat."""
    draw = random.Random(4)
    plain_runs, runs, repeats, grown = 0, 0, [], 0
    for _ in range(PANELS):
        array = drawn_array(
            16, draw.choice((16, 24, 32)), 1.5 * IN, seams.STEPS, draw.randrange(10**6)
        )
        _, maps = seams.four(array)
        repeats.append(seams.repeat(maps))
        runs = max(runs, seams.longest_run(maps))
        plain_runs = max(plain_runs, seams.longest_run([array.rows] * 4))
        grown += seams.largest(seams.row_of(maps)) > max(seams.largest(np.array(array.rows)), 3)
    return (
        f"{PANELS} rows of four drawn block panels: moved by a panel's width a plain repeat "
        f"correlates 1.00 with itself, as laid {max(repeats):.2f} at most; equal cells in a row along "
        f"a seam {plain_runs} and {runs} at most; {grown} clusters larger than the panel's own. "
        f"Residues of 37 on top of each other: 15 of 16 cells equal, as laid 3 at most."
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
    return "".join(
        f"- {part()}\n"
        for part in (hung, railed, closed, cut, cores, joints, seamed, welled, drawn)
    )


if __name__ == "__main__":
    print(whole(), end="")
