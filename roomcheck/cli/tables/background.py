"""Background noise and times of flight, as roomcheck analyse shows them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import show_table
from roomcheck.units import OCTAVES_HZ, band_label

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis, NoiseLevel
    from roomcheck.measure import Measurement


def show_flights(takes: Sequence[Measurement]) -> None:
    """What delays count from."""
    known = [take for take in takes if take.flight_s is not None]
    if not known:
        print("\nDelays count from the direct sound: no loopback channel was recorded.")
        return
    told = ", ".join(
        f"{take.source} to {take.microphone} {1000 * (take.flight_s or 0):.2f} ms" for take in known
    )
    print(f"\nTime of flight, from the loopback channel: {told}.")


def show_noise(analysis: Analysis, use: str) -> None:
    """Background noise: one row a recording, then what it is held against."""
    from roomcheck.analyse import against_limit
    from roomcheck.standards.targets.background import NOISE_LIMITS
    from roomcheck.words import Reader, sentence

    if not analysis.noise:
        print("\nNo background noise was recorded: roomcheck measure --noise does.")
        return
    limit = NOISE_LIMITS.get(use)
    for absolute, unit in ((True, "dB re 20 µPa"), (False, "relative, dB re full scale")):
        alike = [noise for noise in analysis.noise if noise.absolute is absolute]
        if alike:
            heads = ("Hz", *(band_label(hz) for hz in OCTAVES_HZ), "dB(A)", "NC", "NR")
            show_table(
                f"Background noise per octave, {unit}",
                heads,
                [_noise_row(noise) for noise in alike],
            )
    for noise in analysis.noise:
        told = [against_limit(noise, limit)[1]] if limit else []
        print(
            f"  {noise.conditions or noise.take}: {'; '.join([*told, sentence(noise.reference, Reader())])}"
        )
        for warning in noise.warnings:
            print(f"    {warning}")


def _noise_row(noise: NoiseLevel) -> tuple[str, ...]:
    levels = dict(noise.octaves_db)
    return (
        noise.conditions or noise.take,
        *(f"{levels[hz]:.0f}" if hz in levels else "–" for hz in OCTAVES_HZ),
        f"{noise.a_weighted_db:.0f}",
        "–" if noise.nc is None else str(noise.nc).removeprefix("NC "),
        "–" if noise.nr is None else str(noise.nr).removeprefix("NR "),
    )
