"""Height patterns of block diffusers: drawn, balanced, and mended until they follow the rules."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.units import both
from roomcheck.workshop.kinds import Caution, Pattern

LARGEST_CLUSTER = 3
"""Equal heights that may touch edge to edge (common practice)."""
SUM_TOLERANCE = 0.15
"""How far a row's or column's sum of heights may lie from the mean of them all (common
practice)."""
MOST_CELLS = 6000
"""Of one panel: ten panels of 2 x 4 ft and more; laid by hand, a week."""
_CANDIDATES = 3
_PATIENCE = 40


class PanelError(RoomcheckError, ValueError):
    """A block panel that cannot be laid out as asked."""

    def __init__(self, argument: str, found: object, needed: str) -> None:
        self.argument, self.found, self.needed = argument, found, needed
        super().__init__(
            f"{'heights' if argument == 'steps_m' else argument}: found {found}, needed {needed}"
        )


@dataclass(frozen=True)
class BlockArray:
    """A block panel, seen from the front."""

    rows: tuple[tuple[float, ...], ...]
    """Heights above the backing, top row first, left to right [m]."""
    cell_m: float
    """Section of the stick, as measured [m]."""
    steps_m: tuple[float, ...]
    """Heights in use, as given [m]."""
    pattern: Fact[Pattern] | None = None
    """How it was made, with the seed where there is one: enough to make it again."""
    spare_width_m: float = 0.0
    """What whole cells leave of the panel's width [m]."""
    spare_height_m: float = 0.0
    """What whole cells leave of the panel's height [m]."""
    unmet: tuple[Fact[Caution], ...] = ()
    """Rules that this panel cannot follow."""

    @cached_property
    def counts(self) -> dict[float, int]:
        """Cells of each height, in the order of the steps. {[m]: cells}"""
        cells = Counter(height for row in self.rows for height in row)
        return {step: cells[step] for step in self.steps_m}

    @property
    def blocks(self) -> int:
        """Cells that carry a block."""
        return sum(count for height, count in self.counts.items() if height > 0)

    @property
    def width_m(self) -> float:
        return len(self.rows[0]) * self.cell_m

    @property
    def height_m(self) -> float:
        return len(self.rows) * self.cell_m


def block_diffuser(
    width_m: float, height_m: float, cell_m: float, steps_m: tuple[float, ...], seed: int
) -> BlockArray:
    """A seeded, balanced draw of block heights, mended by swaps.

    Every height gets the same number of cells; what is left over goes to the lowest. Then cells are
    swapped until no more than three equal heights touch edge to edge, no row repeats another, and
    the heights of every row and column sum to within 15 % of the mean. Of several such panels the
    one with the lowest side peak of its autocorrelation is kept. Where a panel is too small or has
    too few heights for a rule, `unmet` says so.

    Parameters
    ----------
    width_m, height_m : float
        Panel; whole cells are laid and what remains is reported. [m]
    cell_m : float
        Section of the stick. [m]
    steps_m : tuple of float
        Heights in use, 0 for a cell without a block; all different. [m]
    seed : int
        Same seed, same panel.

    Raises
    ------
    PanelError
        A length that is not above 0, a cell larger than the panel, fewer than two heights, heights
        that repeat or are negative, more cells than anybody lays; names it.

    Examples
    --------
    >>> steps = (0, 0.0254, 0.0508, 0.0762, 0.1016)
    >>> size = {"width_m": 0.6096, "height_m": 1.2192, "cell_m": 0.0381}
    >>> panel = block_diffuser(**size, steps_m=steps, seed=7)
    >>> list(panel.counts.values()), panel.blocks
    ([103, 103, 102, 102, 102], 409)

    References
    ----------
    Common practice of the trade for random block arrays: balanced heights, no clusters, no
    repeated rows.
    """
    columns, spare_width = whole_cells("width_m", width_m, cell_m)
    lines, spare_height = whole_cells("height_m", height_m, cell_m)
    array = drawn_array(columns, lines, cell_m, steps_m, seed)
    return replace(array, spare_width_m=spare_width, spare_height_m=spare_height)


def drawn_array(
    columns: int, lines: int, cell_m: float, steps_m: tuple[float, ...], seed: int
) -> BlockArray:
    """`block_diffuser` for so many columns and rows."""
    steps = checked_steps(steps_m)
    checked_count(columns, lines)
    if isinstance(seed, bool) or not isinstance(seed, int | np.integer) or seed < 0:
        raise PanelError("seed", repr(seed), "a whole number, 0 or above")
    rng = np.random.default_rng(int(seed))
    candidates = [
        _mended(_draw(lines, columns, steps, rng), steps, rng) for _ in range(_CANDIDATES)
    ]
    best = min(
        candidates, key=lambda c: (len(broken_rules(c, steps)), side_peak(np.asarray(steps)[c]))
    )
    return BlockArray(
        rows=tuple(tuple(steps[k] for k in row) for row in best.tolist()),
        cell_m=cell_m,
        steps_m=tuple(steps_m),
        pattern=fact(Pattern.DRAWN, seed=int(seed)),
        unmet=broken_rules(best, steps),
    )


def checked_count(columns: int, lines: int) -> None:
    """A panel of more cells than anybody lays is a wrong unit.

    Raises
    ------
    PanelError
        More than `MOST_CELLS`.
    """
    if columns * lines > MOST_CELLS:
        raise PanelError(
            "width_m and height_m",
            f"{columns} x {lines} cells",
            f"{MOST_CELLS} cells or fewer a panel: check the units, or build it as several panels",
        )


def whole_cells(name: str, panel_m: float, cell_m: float) -> tuple[int, float]:
    """Whole cells that fit, and what they leave. (cells, [m])

    >>> whole_cells("width_m", 0.25, 0.1)
    (2, 0.05)

    Raises
    ------
    PanelError
        Not above 0 or not finite, or the cell is larger than the panel.
    """
    for argument, value in ((name, panel_m), ("cell_m", cell_m)):
        if not (np.isfinite(value) and value > 0):
            raise PanelError(argument, f"{value} m", "a length above 0")
    # A millionth of a cell forgives what inches lose on their way to binary metres.
    cells = int(panel_m / cell_m + 1e-6)
    if cells < 1:
        raise PanelError(
            "cell_m", both(cell_m), f"no more than the panel's {name}, {both(panel_m)}"
        )
    return cells, round(max(panel_m - cells * cell_m, 0.0), 9)


def checked_steps(steps_m: tuple[float, ...]) -> tuple[float, ...]:
    """The heights, lowest first.

    Raises
    ------
    PanelError
        Fewer than two, negative, not finite, or the same twice.
    """
    if not all(np.isfinite(step) and step >= 0 for step in steps_m):
        raise PanelError("steps_m", repr(tuple(steps_m)), "heights of 0 or above")
    found = ", ".join(both(step) for step in steps_m) or "no heights"
    if len(steps_m) < 2:
        raise PanelError(
            "steps_m", found, "at least two heights: blocks all of one height make a flat panel"
        )
    if len(set(steps_m)) != len(steps_m):
        raise PanelError("steps_m", found, "heights that all differ")
    return tuple(sorted(steps_m))


def clusters(cells: NDArray[np.intp]) -> list[list[tuple[int, int]]]:
    """Cells of equal height that touch edge to edge, one list a cluster. cells : (rows, columns)"""
    seen: set[tuple[int, int]] = set()
    found = []
    for at in np.ndindex(*cells.shape):
        if at not in seen:
            cluster = _cluster(cells.tolist(), at)
            seen |= cluster
            found.append(sorted(cluster))
    return found


def broken_rules(cells: NDArray[np.intp], steps: tuple[float, ...]) -> tuple[Fact[Caution], ...]:
    """Return the rules that a panel breaks. cells : (rows, columns), places in `steps`."""
    heights = np.asarray(steps)[cells]
    broken = []
    largest = max(len(cluster) for cluster in clusters(cells))
    if largest > LARGEST_CLUSTER:
        broken.append(fact(Caution.HEIGHTS_TOUCH, largest=largest, limit=LARGEST_CLUSTER))
    repeats = len(cells) - len({tuple(row) for row in cells.tolist()})
    if repeats:
        broken.append(fact(Caution.ROWS_REPEAT, repeats=repeats, rows=len(cells)))
    for name, sums in (("row", heights.sum(axis=1)), ("column", heights.sum(axis=0))):
        off = float(np.max(np.abs(sums - sums.mean())))
        if off > SUM_TOLERANCE * sums.mean() + 1e-12:
            broken.append(
                fact(
                    Caution.SUMS_OFF,
                    line=name,
                    off_pct=float(100 * off / sums.mean()),
                    limit_pct=100 * SUM_TOLERANCE,
                )
            )
    return tuple(broken)


def side_peak(heights: NDArray[np.float64]) -> float:
    """Largest side value of the cyclic autocorrelation, 1 for a panel that repeats itself. heights
    : (rows, columns)"""
    level = heights - heights.mean()
    power = float(np.sum(level**2))
    if power == 0 or heights.size == 1:
        return 1.0
    lags = np.fft.ifft2(np.abs(np.fft.fft2(level)) ** 2).real / power
    return float(np.max(lags.ravel()[1:]))


def _draw(
    lines: int, columns: int, steps: tuple[float, ...], rng: np.random.Generator
) -> NDArray[np.intp]:
    each, over = divmod(lines * columns, len(steps))
    cells = np.repeat(np.arange(len(steps)), [each + (k < over) for k in range(len(steps))])
    return rng.permutation(cells).reshape(lines, columns)


def _cluster(grid: list[list[int]], at: tuple[int, int]) -> set[tuple[int, int]]:
    value, todo, found = grid[at[0]][at[1]], [at], {at}
    while todo:
        r, c = todo.pop()
        for nr, nc in ((r - 1, c), (r + 1, c), (r, c - 1), (r, c + 1)):
            inside = 0 <= nr < len(grid) and 0 <= nc < len(grid[0])
            if inside and (nr, nc) not in found and grid[nr][nc] == value:
                found.add((nr, nc))
                todo.append((nr, nc))
    return found


class _Mender:
    """A panel under repair: swaps cells, keeps what each swap costs."""

    def __init__(self, cells: NDArray[np.intp], steps: tuple[float, ...]) -> None:
        self.grid: list[list[int]] = cells.tolist()
        self.unit = max(steps) or 1.0
        self.heights = [step / self.unit for step in steps]
        self.rows = [sum(self.heights[k] for k in row) for row in self.grid]
        self.columns = [
            sum(self.heights[row[c]] for row in self.grid) for c in range(len(self.grid[0]))
        ]
        total = sum(self.rows)
        self.row_mean, self.column_mean = total / len(self.rows), total / len(self.columns)
        self.twins = Counter(map(tuple, self.grid))

    def swap(self, a: tuple[int, int], b: tuple[int, int]) -> None:
        grid, (ar, ac), (br, bc) = self.grid, a, b
        for r in {ar, br}:
            self.twins[tuple(grid[r])] -= 1
        rise = self.heights[grid[br][bc]] - self.heights[grid[ar][ac]]
        grid[ar][ac], grid[br][bc] = grid[br][bc], grid[ar][ac]
        for r in {ar, br}:
            self.twins[tuple(grid[r])] += 1
        self.rows[ar] += rise
        self.rows[br] -= rise
        self.columns[ac] += rise
        self.columns[bc] -= rise

    def cost(self, a: tuple[int, int], b: tuple[int, int]) -> float:
        """What the two cells, their neighbours, rows and columns break."""
        grid, around = self.grid, [a, b]
        for r, c in (a, b):
            around += [
                (nr, nc)
                for nr, nc in ((r - 1, c), (r + 1, c), (r, c - 1), (r, c + 1))
                if 0 <= nr < len(grid) and 0 <= nc < len(grid[0])
            ]
        seen: set[tuple[int, int]] = set()
        cost = 0.0
        for at in around:
            if at not in seen:
                cluster = _cluster(grid, at)
                seen |= cluster
                cost += max(len(cluster) - LARGEST_CLUSTER, 0)
        for r in {a[0], b[0]}:
            cost += self.excess(self.rows[r], self.row_mean) + 4 * (self.twins[tuple(grid[r])] > 1)
        return cost + sum(self.excess(self.columns[c], self.column_mean) for c in {a[1], b[1]})

    @staticmethod
    def excess(total: float, mean: float) -> float:
        # Aim a little inside the limit, so that rounding never decides.
        return 2 * max(abs(total - mean) - 0.999 * SUM_TOLERANCE * mean, 0.0)

    def bad(self) -> list[tuple[int, int]]:
        """Cells that take part in a broken rule, in reading order."""
        grid, lines, columns = self.grid, range(len(self.grid)), range(len(self.grid[0]))
        rows = {
            r
            for r in lines
            if self.excess(self.rows[r], self.row_mean) > 0 or self.twins[tuple(grid[r])] > 1
        }
        cols = {c for c in columns if self.excess(self.columns[c], self.column_mean) > 0}
        found = {(r, c) for r in lines for c in columns if r in rows or c in cols}
        seen: set[tuple[int, int]] = set()
        for at in ((r, c) for r in lines for c in columns):
            if at not in seen:
                cluster = _cluster(grid, at)
                seen |= cluster
                if len(cluster) > LARGEST_CLUSTER:
                    found |= cluster
        return sorted(found)


def _mended(
    cells: NDArray[np.intp], steps: tuple[float, ...], rng: np.random.Generator
) -> NDArray[np.intp]:
    """Swap a cell that breaks a rule with any other one, as long as that breaks no more."""
    if len(steps) == 1 or cells.size < 3:
        return cells
    mender, (lines, columns) = _Mender(cells, steps), cells.shape
    for _ in range(_PATIENCE):
        bad = mender.bad()
        if not bad:
            break
        picks = rng.integers(len(bad), size=2 * len(bad) + 20)
        others = np.stack(
            [rng.integers(lines, size=len(picks)), rng.integers(columns, size=len(picks))], axis=1
        )
        for pick, other in zip(picks.tolist(), others.tolist(), strict=True):
            a, b = bad[pick], (other[0], other[1])
            if mender.grid[a[0]][a[1]] == mender.grid[b[0]][b[1]]:
                continue
            before = mender.cost(a, b)
            mender.swap(a, b)
            if mender.cost(a, b) > before:
                mender.swap(a, b)
    return np.array(mender.grid)
