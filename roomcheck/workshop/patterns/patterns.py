"""Block panels by number theory, and what any block panel promises."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd, isqrt

import numpy as np

from roomcheck.facts import Fact, fact
from roomcheck.job import NumberPattern, PatternName
from roomcheck.materials import (
    half_wave_hz,
    is_prime,
    panel_diffusion,
    primitive_root_array,
    primitive_roots,
    quadratic_residue_array,
    quarter_wave_hz,
)
from roomcheck.workshop.kinds import Pattern
from roomcheck.workshop.patterns.blocks import BlockArray, checked_count, checked_steps, drawn_array

BANDS_HZ = (500.0, 1000.0, 2000.0, 4000.0)


def number_array(
    columns: int,
    lines: int,
    cell_m: float,
    steps_m: tuple[float, ...],
    pattern: NumberPattern,
    fold: tuple[int, int] | None = None,
    root: int | None = None,
) -> BlockArray:
    """Lay a number pattern over so many columns and rows of blocks, repeated where it is smaller.

    Parameters
    ----------
    columns, lines : int
    cell_m : float
        [m]
    steps_m : tuple of float
        Heights that the shop cuts. Of K heights, number s of a pattern by the prime N takes the
        place int(s K / N) in their order: as many phases as there are heights, each for an equal
        share of the pattern's numbers. [m]
    pattern : NumberPattern
        Without a prime the least whose pattern covers the panel.
    fold : (rows, columns) or None
        Primitive root sequence, folded by the Chinese remainder theorem into so many rows and
        columns, whose product is prime - 1; None takes the least fold that covers the panel, or the
        squarest one of the prime.
    root : int or None
        A primitive root; None takes the smallest.

    Raises
    ------
    PanelError
        As for a drawn panel.
    ValueError
        Not an odd prime, a fold that does not fit it, or no primitive root.

    Examples
    --------
    >>> steps_m = (0, 0.02, 0.04, 0.06, 0.08, 0.10, 0.12)
    >>> residues = NumberPattern(name="quadratic residues", prime=7)
    >>> number_array(7, 7, 0.1, steps_m, residues).rows[0]
    (0, 0.02, 0.08, 0.04, 0.04, 0.08, 0.02)
    """
    steps = checked_steps(steps_m)
    checked_count(columns, lines)
    prime = pattern.prime
    if pattern.name == "primitive root":
        if fold is None:
            prime, fold = (
                _covering_fold(lines, columns) if prime is None else (prime, squarest_fold(prime))
            )
        assert prime is not None
        numbers = np.array(primitive_root_array(prime, *fold, root))
        laid = fact(
            Pattern.ROOT,
            root=root or primitive_roots(prime)[0],
            prime=prime,
            fold_rows=fold[0],
            fold_columns=fold[1],
            **_repeats(numbers.shape, lines, columns),
        )
    else:
        if prime is None:
            prime = next(p for p in range(max(lines, columns, 3), 10**6) if is_prime(p))
        numbers = np.array(quadratic_residue_array(prime))
        repeats = _repeats(numbers.shape, lines, columns)
        laid = fact(Pattern.RESIDUES, prime=prime, **repeats)
    high, wide = numbers.shape
    period = np.tile(numbers, (-(-lines // high), -(-columns // wide)))[:lines, :columns]
    places = (period * len(steps)) // prime
    return BlockArray(
        rows=tuple(tuple(steps[k] for k in row) for row in places.tolist()),
        cell_m=cell_m,
        steps_m=tuple(steps_m),
        pattern=laid,
    )


def _repeats(shape: tuple[int, ...], lines: int, columns: int) -> dict[str, int]:
    """After how many rows and columns a pattern repeats; nothing where it covers the panel."""
    high, wide = shape
    return {"every_rows": high, "every_columns": wide} if high < lines or wide < columns else {}


def squarest_fold(prime: int) -> tuple[int, int]:
    """The two numbers without a common factor, nearest to each other, whose product is prime - 1:
    (rows, columns).

    >>> squarest_fold(13), squarest_fold(31), squarest_fold(43)
    ((3, 4), (5, 6), (6, 7))

    Raises
    ------
    ValueError
        Not an odd prime.
    """
    if prime < 3 or not is_prime(prime):
        raise ValueError(f"prime: found {prime}, needed an odd prime such as 7, 13, 31 or 43")
    rows = max(
        r
        for r in range(1, isqrt(prime - 1) + 1)
        if (prime - 1) % r == 0 and gcd(r, (prime - 1) // r) == 1
    )
    return rows, (prime - 1) // rows


def _covering_fold(lines: int, columns: int) -> tuple[int, tuple[int, int]]:
    """The least prime whose primitive root sequence folds into a rectangle that covers so many rows
    and columns."""
    for prime in (p for p in range(max(lines * columns + 1, 3), 10**6) if is_prime(p)):
        for rows in range(lines, (prime - 1) // columns + 1):
            across, rest = divmod(prime - 1, rows)
            if rest == 0 and gcd(rows, across) == 1:
                return prime, (rows, across)
    raise AssertionError("no prime below a million")


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternChoice:
    """One pattern a panel could carry."""

    pattern: Fact[Pattern]
    diffusion: tuple[tuple[float, float], ...]
    """Band and coefficient, as `predicted_diffusion` ([Hz], [1])."""
    mean: float
    """Mean coefficient of those bands [1]."""
    blocks: int
    stick_m: float
    """Net length of stick [m]."""


def choices(
    columns: int, lines: int, cell_m: float, steps_m: tuple[float, ...], seed: int
) -> tuple[PatternChoice, ...]:
    """Patterns side by side, best mean diffusion first: draws of this seed and the next four,
    number patterns."""
    made = [drawn_array(columns, lines, cell_m, steps_m, seed + k) for k in range(5)]
    usual: tuple[tuple[PatternName, int | None], ...] = (
        ("quadratic residues", 7),
        ("quadratic residues", None),
        ("primitive root", 13),
        ("primitive root", None),
    )
    for name, prime in usual:
        pattern = NumberPattern(name=name, prime=prime)
        made.append(number_array(columns, lines, cell_m, steps_m, pattern))
    return tuple(sorted(map(_choice, made), key=lambda choice: -choice.mean))


def _choice(array: BlockArray) -> PatternChoice:
    assert array.pattern is not None
    bands = predicted_diffusion(array)
    return PatternChoice(
        pattern=array.pattern,
        diffusion=bands,
        mean=sum(value for _, value in bands) / len(bands),
        blocks=array.blocks,
        stick_m=sum(count * height for height, count in array.counts.items()),
    )


def working_range_hz(array: BlockArray) -> tuple[float, float] | None:
    """From a quarter wave in the tallest block to half a wave across a cell; None for a flat panel.
    [Hz]"""
    tallest = max(array.steps_m) - min(array.steps_m)
    return (quarter_wave_hz(tallest), half_wave_hz(array.cell_m)) if tallest > 0 else None


def predicted_diffusion(array: BlockArray) -> tuple[tuple[float, float], ...]:
    """Normalised diffusion against a flat panel of its size, octave by octave, by the Fraunhofer
    model. ([Hz], [1])"""
    heights = np.array(array.rows)
    values = panel_diffusion(heights.max() - heights, array.cell_m, BANDS_HZ)
    return tuple(zip(BANDS_HZ, values, strict=True))


def exposed_area_m2(array: BlockArray) -> tuple[float, float]:
    """Area that takes a finish: fronts with the backing between them, and sides of blocks that
    stand proud. [m2]

    The outer sides of the array lie against the frame and are not counted.
    """
    heights, cell = np.array(array.rows), array.cell_m
    sides = (
        float(np.abs(np.diff(heights, axis=0)).sum() + np.abs(np.diff(heights, axis=1)).sum())
        * cell
    )
    return array.width_m * array.height_m, sides


def grown_by_moisture_m(size_m: float, points: float) -> tuple[float, float]:
    """How much a panel of blocks with tight joints grows across the grain, least and most. [m]

    0.14 to 0.27 % for every point of wood moisture: planning values after wood handbooks, from
    memory.

    >>> tuple(round(x / 0.0254, 1) for x in grown_by_moisture_m(48 * 0.0254, 6))
    (0.4, 0.8)
    """
    return 0.0014 * points * size_m, 0.0027 * points * size_m
