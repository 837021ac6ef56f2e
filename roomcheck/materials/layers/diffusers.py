"""Diffusers: number patterns, depths, working range, and how evenly a relief scatters.

The prediction is the Fraunhofer model of a flat plane with a phase for every cell. It ignores
edges, coupling between wells and losses, holds far from the panel, and is a way to choose between
patterns: over 100 to 5000 Hz it differs by about 0.09 on average from a boundary-element solution
(as quoted in open code).
"""

from __future__ import annotations

from math import gcd, isqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.units import SPEED_OF_SOUND_M_S

ANGLES_DEG = tuple(float(a) for a in range(-90, 91, 5))
"""Receivers on a semicircle every 5 degrees, 37 of them, as in ISO 17497-2. [deg]"""

_LINES_PER_BAND = 9


def is_prime(number: int) -> bool:
    """Whether a whole number is prime.

    >>> [n for n in range(20) if is_prime(n)]
    [2, 3, 5, 7, 11, 13, 17, 19]
    """
    return number > 1 and all(number % d for d in range(2, isqrt(number) + 1))


def quadratic_residues(prime: int) -> tuple[int, ...]:
    r"""One period of the quadratic residue sequence.

    Returns
    -------
    tuple of int
        :math:`s_n = n^2 \bmod N` for n = 0 … N - 1.

    Raises
    ------
    ValueError
        Not an odd prime.

    Examples
    --------
    >>> quadratic_residues(7)
    (0, 1, 4, 2, 2, 4, 1)

    References
    ----------
    Schroeder, J. Acoust. Soc. Am. 65 (1979), as quoted in textbooks.
    """
    _odd_prime("prime", prime)
    return tuple(n * n % prime for n in range(prime))


def primitive_roots(prime: int) -> tuple[int, ...]:
    """Numbers whose powers run through 1 … N - 1.

    >>> primitive_roots(11)
    (2, 6, 7, 8)
    """
    _odd_prime("prime", prime)
    order = prime - 1
    factors = [p for p in range(2, order + 1) if order % p == 0 and is_prime(p)]
    return tuple(g for g in range(2, prime) if all(pow(g, order // p, prime) != 1 for p in factors))


def primitive_root_sequence(prime: int, root: int | None = None) -> tuple[int, ...]:
    r"""One period of the primitive root sequence.

    Parameters
    ----------
    root : int or None
        A primitive root of the prime; None takes the smallest.

    Returns
    -------
    tuple of int
        :math:`s_n = g^n \bmod N` for n = 1 … N - 1.

    Raises
    ------
    ValueError
        Not an odd prime, or not a primitive root of it; says which are.

    Examples
    --------
    >>> primitive_root_sequence(7)
    (3, 2, 6, 4, 5, 1)
    """
    roots = primitive_roots(prime)
    g = roots[0] if root is None else root
    if g not in roots:
        raise ValueError(
            f"root: found {root}, needed a primitive root of {prime}: {', '.join(map(str, roots))}"
        )
    return tuple(pow(g, n, prime) for n in range(1, prime))


def quadratic_residue_array(prime: int) -> tuple[tuple[int, ...], ...]:
    r"""The square pattern :math:`(n^2 + m^2) \bmod N`.

    >>> quadratic_residue_array(7)[1]
    (1, 2, 5, 3, 3, 5, 2)
    """
    line = quadratic_residues(prime)
    return tuple(tuple((a + b) % prime for b in line) for a in line)


def primitive_root_array(
    prime: int, rows: int, columns: int, root: int | None = None
) -> tuple[tuple[int, ...], ...]:
    """A primitive root sequence folded into a rectangle by the Chinese remainder theorem.

    Element i of the sequence, counted from 0 with the value 1, goes to row i mod rows and column i
    mod columns.

    Raises
    ------
    ValueError
        rows x columns is not N - 1, or the two share a factor: then the fold leaves holes.

    Examples
    --------
    >>> primitive_root_array(13, 3, 4)
    ((1, 5, 12, 8), (3, 2, 10, 11), (9, 6, 4, 7))
    """
    sequence = primitive_root_sequence(prime, root)
    if rows < 1 or columns < 1 or rows * columns != prime - 1 or gcd(rows, columns) != 1:
        raise ValueError(
            f"rows {rows}, columns {columns}: needed two numbers without a common factor whose "
            f"product is {prime - 1}"
        )
    grid = [[0] * columns for _ in range(rows)]
    for i, value in enumerate((sequence[-1], *sequence[:-1])):
        grid[i % rows][i % columns] = value
    return tuple(map(tuple, grid))


def well_depths_m(
    sequence: tuple[int, ...], prime: int, design_hz: float, sound_m_s: float = SPEED_OF_SOUND_M_S
) -> tuple[float, ...]:
    r"""Depths of a number pattern.

    Returns
    -------
    tuple of float
        :math:`d_n = s_n c / (2 N f_0)`. [m]

    Examples
    --------
    >>> [round(1000 * d, 1) for d in well_depths_m(quadratic_residues(7), 7, 500)]
    [0.0, 49.0, 196.0, 98.0, 98.0, 196.0, 49.0]

    References
    ----------
    Cox and D'Antonio, Acoustic Absorbers and Diffusers, Eq. 10.3, as quoted in open code.
    """
    if design_hz <= 0:
        raise ValueError(f"design_hz: found {design_hz}, needed above 0")
    return tuple(s * sound_m_s / (2 * prime * design_hz) for s in sequence)


def design_hz(
    sequence: tuple[int, ...], prime: int, deepest_m: float, sound_m_s: float = SPEED_OF_SOUND_M_S
) -> float:
    """The frequency a pattern is made for, from its deepest well. [Hz]

    >>> round(design_hz(quadratic_residues(7), 7, 4 * 0.0254), -1)
    960.0
    """
    if deepest_m <= 0:
        raise ValueError(f"deepest_m: found {deepest_m}, needed above 0")
    return max(sequence) * sound_m_s / (2 * prime * deepest_m)


def quarter_wave_hz(deepest_m: float, sound_m_s: float = SPEED_OF_SOUND_M_S) -> float:
    """Where the deepest step is a quarter of a wave: the low end of a block array without a number
    pattern. [Hz]

    >>> round(quarter_wave_hz(4 * 0.0254))
    844
    """
    if deepest_m <= 0:
        raise ValueError(f"deepest_m: found {deepest_m}, needed above 0")
    return sound_m_s / (4 * deepest_m)


def half_wave_hz(cell_m: float, sound_m_s: float = SPEED_OF_SOUND_M_S) -> float:
    """Where a cell is half a wave wide: the high end. [Hz]

    >>> round(half_wave_hz(0.0381), 1)
    4501.3
    """
    if cell_m <= 0:
        raise ValueError(f"cell_m: found {cell_m}, needed above 0")
    return sound_m_s / (2 * cell_m)


def least_distance_m(low_hz: float, sound_m_s: float = SPEED_OF_SOUND_M_S) -> float:
    """How far a listener should be: three waves of the lowest scattered frequency (common
    practice). [m]

    >>> round(least_distance_m(1000), 3)
    1.029
    """
    if low_hz <= 0:
        raise ValueError(f"low_hz: found {low_hz}, needed above 0")
    return 3 * sound_m_s / low_hz


def diffusion_coefficient(levels_db: ArrayLike) -> float:
    r"""How evenly energy goes round a semicircle, by the circular autocorrelation of the levels.

    Parameters
    ----------
    levels_db : array_like, (receivers,)
        [dB]

    Returns
    -------
    float
        :math:`d = \frac{(\sum E)^2 - \sum E^2}{(n-1)\sum E^2}` with :math:`E = 10^{L/10}`; 1 is
        even, 0 a single direction. [1]

    Raises
    ------
    ValueError
        Fewer than two receivers.

    References
    ----------
    ISO 17497-2:2012, as quoted in open code.
    """
    levels = np.asarray(levels_db, dtype=float)
    if levels.ndim != 1 or levels.size < 2:
        raise ValueError(
            f"levels_db: found shape {levels.shape}, needed (receivers,) with two or more"
        )
    return _coefficient(10 ** ((levels - levels.max()) / 10))


def normalised_diffusion(coefficient: float, flat: float) -> float:
    r"""A diffusion coefficient with that of a flat panel of the same size taken off.

    Returns
    -------
    float
        :math:`d_n = (d - d_r)/(1 - d_r)`; negative where the relief scatters less evenly than the
        flat panel. [1]
    """
    if not 0 <= flat < 1:
        raise ValueError(f"flat: found {flat}, needed 0 or above and below 1")
    return (coefficient - flat) / (1 - flat)


def scattered_energy(
    depths_m: ArrayLike, cell_m: float, frequency_hz: float, sound_m_s: float = SPEED_OF_SOUND_M_S
) -> NDArray[np.float64]:
    r"""Energy that a relief scatters to each receiver of the semicircle, sound coming straight at
    it.

    Parameters
    ----------
    depths_m : array_like, (cells,) or (rows, cells)
        Behind the front plane. With rows, the semicircle lies along the cells and all rows act
        together. [m]
    cell_m : float
        Width of a cell. [m]
    frequency_hz : float
        [Hz]

    Returns
    -------
    array, (37,)
        Relative, at `ANGLES_DEG`: :math:`|(1+\cos\theta)\,\mathrm{sinc}(k w \sin\theta/2) \sum_m
        e^{-2jkd_m} e^{jkx_m\sin\theta}|^2`. [1]

    Raises
    ------
    ValueError
        No cells, or a width or frequency that is not above 0.

    References
    ----------
    Cox and D'Antonio, Acoustic Absorbers and Diffusers: the Fraunhofer solution, as quoted in open
    code.
    """
    depths = np.atleast_2d(np.asarray(depths_m, dtype=float))
    if depths.ndim != 2 or depths.size == 0 or cell_m <= 0 or frequency_hz <= 0:
        raise ValueError(
            f"depths_m {depths.shape}, cell_m {cell_m}, frequency_hz {frequency_hz}: needed above 0"
        )
    k = 2 * np.pi * frequency_hz / sound_m_s
    sine = np.sin(np.radians(ANGLES_DEG))
    reflection = np.exp(-2j * k * depths).mean(axis=0)
    x = cell_m * (np.arange(depths.shape[1]) - (depths.shape[1] - 1) / 2)
    cell = np.sinc(k * cell_m * sine / (2 * np.pi))
    pressure = (
        (1 + np.cos(np.radians(ANGLES_DEG)))
        * cell
        * (np.exp(1j * k * np.outer(sine, x)) @ reflection)
    )
    return np.asarray(np.abs(pressure) ** 2, dtype=np.float64)


def panel_diffusion(
    depths_m: ArrayLike,
    cell_m: float,
    bands_hz: tuple[float, ...],
    fraction: int = 1,
    sound_m_s: float = SPEED_OF_SOUND_M_S,
) -> tuple[float, ...]:
    """Normalised diffusion of a panel in octaves or third octaves: predicted, not measured.

    Energies of nine frequencies spread over the band are added, for the panel and for a flat one of
    its size; a panel with rows and columns gets the mean of both directions.

    Parameters
    ----------
    depths_m : array_like, (cells,) or (rows, cells)
        Behind the front plane. [m]
    cell_m : float
        [m]
    bands_hz : tuple of float
        Mid-band frequencies. [Hz]
    fraction : int
        1 octaves, 3 third octaves.

    Returns
    -------
    tuple of float
        One a band. [1]
    """
    depths = np.atleast_2d(np.asarray(depths_m, dtype=float))
    ways = [depths] if depths.shape[0] == 1 else [depths, depths.T]
    spread = 2.0 ** (np.linspace(-0.5, 0.5, 2 * _LINES_PER_BAND + 1)[1::2] / fraction)
    found = []
    for band in bands_hz:
        lines = [float(band * s) for s in spread]
        parts = [
            normalised_diffusion(
                _coefficient(_sum_energy(way, cell_m, lines, sound_m_s)),
                _coefficient(_sum_energy(np.zeros_like(way), cell_m, lines, sound_m_s)),
            )
            for way in ways
        ]
        found.append(float(np.mean(parts)))
    return tuple(found)


def _sum_energy(
    depths_m: ArrayLike, cell_m: float, frequencies_hz: list[float], sound_m_s: float
) -> NDArray[np.float64]:
    """Scattered energy added over frequencies, (37,)."""
    each = [scattered_energy(depths_m, cell_m, f, sound_m_s) for f in frequencies_hz]
    return np.asarray(np.sum(each, axis=0), dtype=np.float64)


def _coefficient(energy: NDArray[np.float64]) -> float:
    total, squares = float(energy.sum()), float((energy**2).sum())
    return (total**2 - squares) / ((energy.size - 1) * squares)


def _odd_prime(name: str, number: int) -> None:
    if number < 3 or not is_prime(number):
        raise ValueError(f"{name}: found {number}, needed an odd prime such as 7, 11, 13 or 17")
