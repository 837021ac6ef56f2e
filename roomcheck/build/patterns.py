"""Block panels by number theory, and what any block panel promises."""

from __future__ import annotations

import numpy as np

from roomcheck.build.blocks import BlockArray, PanelError, checked_steps, whole_cells
from roomcheck.materials.diffusers import (
    half_wave_hz,
    panel_diffusion,
    primitive_root_array,
    quadratic_residue_array,
    quarter_wave_hz,
)

BANDS_HZ = (500.0, 1000.0, 2000.0, 4000.0)


def number_blocks(
    width_m: float,
    height_m: float,
    cell_m: float,
    steps_m: tuple[float, ...],
    prime: int,
    fold: tuple[int, int] | None = None,
    root: int | None = None,
) -> BlockArray:
    """A block panel whose heights follow a number pattern, repeated over the panel.

    Parameters
    ----------
    width_m, height_m, cell_m : float
        As for a drawn panel. [m]
    steps_m : tuple of float
        Heights that the shop cuts; the pattern's own heights go to the nearest of them. [m]
    prime : int
    fold : (rows, columns) or None
        None: quadratic residues, a square of `prime` by `prime`. Else the primitive root sequence, folded by the
        Chinese remainder theorem into so many rows and columns, whose product is prime - 1.
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
    >>> panel = number_blocks(0.7, 0.7, 0.1, (0, 0.02, 0.04, 0.06, 0.08, 0.10, 0.12), 7)
    >>> panel.rows[0]
    (0, 0.02, 0.08, 0.04, 0.04, 0.08, 0.02)
    """
    columns, spare_width = whole_cells("width_m", width_m, cell_m)
    lines, spare_height = whole_cells("height_m", height_m, cell_m)
    steps = checked_steps(steps_m)
    if steps[-1] <= 0:
        raise PanelError("steps_m", repr(steps_m), "one height above 0")
    numbers = np.array(quadratic_residue_array(prime) if fold is None else primitive_root_array(prime, *fold, root))
    period = np.tile(numbers, (-(-lines // numbers.shape[0]), -(-columns // numbers.shape[1])))[:lines, :columns]
    wanted = period * (steps[-1] / (prime - 1))
    nearest = np.argmin(np.abs(wanted[..., None] - np.array(steps)), axis=-1)
    what = f"quadratic residues of {prime}"
    if fold is not None:
        what = f"primitive root {root or 'least'} of {prime}, folded into {fold[0]} x {fold[1]}"
    return BlockArray(
        rows=tuple(tuple(steps[k] for k in row) for row in nearest.tolist()),
        cell_m=cell_m,
        steps_m=tuple(steps_m),
        pattern=f"{what}, repeated every {numbers.shape[1]} columns and {numbers.shape[0]} rows",
        spare_width_m=spare_width,
        spare_height_m=spare_height,
    )


def working_range_hz(array: BlockArray) -> tuple[float, float] | None:
    """From a quarter wave in the tallest block to half a wave across a cell; None for a flat panel. [Hz]"""
    tallest = max(array.steps_m) - min(array.steps_m)
    return (quarter_wave_hz(tallest), half_wave_hz(array.cell_m)) if tallest > 0 else None


def predicted_diffusion(array: BlockArray) -> tuple[tuple[float, float], ...]:
    """Normalised diffusion against a flat panel of its size, octave by octave, by the Fraunhofer model. ([Hz], [1])"""
    heights = np.array(array.rows)
    values = panel_diffusion(heights.max() - heights, array.cell_m, BANDS_HZ)
    return tuple(zip(BANDS_HZ, values, strict=True))


def exposed_area_m2(array: BlockArray) -> tuple[float, float]:
    """Area that takes a finish: fronts with the backing between them, and sides of blocks that stand proud. [m2]

    The outer sides of the array lie against the frame and are not counted.
    """
    heights, cell = np.array(array.rows), array.cell_m
    sides = float(np.abs(np.diff(heights, axis=0)).sum() + np.abs(np.diff(heights, axis=1)).sum()) * cell
    return array.width_m * array.height_m, sides


def grown_by_moisture_m(size_m: float, points: float) -> tuple[float, float]:
    """How much a panel of blocks with tight joints grows across the grain, least and most. [m]

    0.14 to 0.27 % for every point of wood moisture: planning values after wood handbooks, from memory.

    >>> tuple(round(x / 0.0254, 1) for x in grown_by_moisture_m(48 * 0.0254, 6))
    (0.4, 0.8)
    """
    return 0.0014 * points * size_m, 0.0027 * points * size_m
