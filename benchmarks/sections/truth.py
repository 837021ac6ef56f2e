"""Proof 1: responses whose truth is known."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

import decay_truth as known
from pages import reason_of, save, table
from roomcheck.analyse import decays
from roomcheck.errors import RoomcheckError
from roomcheck.measure.signal.signals import ImpulseResponse
from roomcheck.standards.iso_3382_2_2008 import noise_bandwidth_hz, t20_sd_s, t30_sd_s

TITLE = "Decays of known truth"

DRAWS = int(os.environ.get("DRAWS", "40"))


@dataclass(frozen=True)
class Row:
    """A limit: errors of one number in one case, their median and the 95th percentile of their
    size."""

    said: str
    case: str
    key: object
    number: str
    median: float
    p95: float | None = None


ROWS = (
    Row("onset to noise 60 dB, bands from 250 Hz, T ≥ 0.3 s", "noise", 60, "t20_s", 0.3, 3),
    Row("the same", "noise", 60, "t30_s", 0.3, 3),
    Row("onset to noise 50 dB", "noise", 50, "t20_s", 0.3, 3),
    Row("the same", "noise", 50, "t30_s", 0.3, 3),
    Row("onset to noise 40 dB", "noise", 40, "t20_s", 0.5, 4),
    Row("16 < B·T ≤ 32, 60 dB", "short", "16 < BT <= 32", "t30_s", 1, 9),
    Row("8 < B·T ≤ 16, 60 dB", "short", "8 < BT <= 16", "t30_s", 4, 13),
    Row("double slopes, 60 dB", "bent", "60 dB", "t20_s", 1, 5),
    Row("the same", "bent", "60 dB", "t30_s", 1, 5),
    Row("double slopes, 50 dB", "bent", "50 dB", "t20_s", 1, 5),
    Row("the same", "bent", "50 dB", "t30_s", 1, 5),
    Row("record ends at 0.7 T, 60 dB", "cut", "0.7 T", "t20_s", 1, 5),
    Row("the same", "cut", "0.7 T", "t30_s", 1, 5),
    Row("60 dB, bands from 250 Hz, T ≥ 0.3 s", "noise", 60, "c50_db", 0.1),
    Row("60 dB, 125 Hz", "noise", 125, "c50_db", 0.35),
    Row("60 dB, 63 Hz", "noise", 63, "c50_db", 0.5),
)
"""What has to be kept: in each row what the best general-purpose library reaches there; none
reaches all."""

WORDS = {
    "edt_s": "EDT",
    "t20_s": "T20",
    "t30_s": "T30",
    "c50_db": "C50",
    "c80_db": "C80",
    "d50": "D50",
    "ts_s": "Ts",
}


@cache
def _case(name: str, draws: int) -> dict:
    print(f"  {name}, {draws} draws a case", file=sys.stderr, flush=True)
    return known.CASES[name](draws)


def errors(row: Row, draws: int) -> known.Errors:
    return _case(row.case, draws)[row.key][row.number]


def write(figures: Path) -> str | None:
    return "\n".join(
        (
            _how(),
            _limits(),
            _by_bt(),
            _by_chance(),
            _odd(),
            _withheld(),
            _nothing(),
            _chance(),
            _coverage(),
            _figure(figures),
        )
    )


def _how() -> str:
    return (
        "Gaussian noise in octaves without overlap, each dying away at a known rate, white "
        f"noise on top; {DRAWS} draws a case, T = 0.15 to 2.5 s. *Onset to noise* is the "
        "envelope's start over the noise in the band; the peak stands 6 to 10 dB higher. The "
        "error is taken against the same draw without noise and without filter, so that bias "
        "(median) and what noise and filter add (95th percentile of the size) show apart from "
        "what chance does to a draw.\n"
    )


def _limits() -> str:
    return table(
        (
            "case",
            "number",
            "median (limit)",
            "95th percentile (limit)",
            "values",
            "withheld",
            "kept",
        ),
        [_limit(row, errors(row, DRAWS)) for row in ROWS],
    )


def _limit(row: Row, found: known.Errors) -> tuple[str, ...]:
    unit = "dB" if row.number.endswith("_db") else "%"
    kept = abs(found.median) <= row.median and (row.p95 is None or found.p95 <= row.p95)
    p95 = f"{found.p95:.2f} {unit}" + ("" if row.p95 is None else f" ({row.p95:g})")
    return (
        row.said,
        WORDS[row.number],
        f"{found.median:+.2f} {unit} ({row.median:g})",
        p95,
        str(len(found.values)),
        str(found.missing),
        "yes" if kept else "**no**",
    )


def _by_bt() -> str:
    rows = []
    for said, case in (("octave", "short"), ("third", "thirds")):
        for key, found in _case(case, DRAWS).items():
            numbers = [found[number] for number in ("edt_s", "t20_s", "t30_s", "c50_db")]
            sizes = [f"{e.median:+.1f} / {e.p95:.1f}" if e.values else "–" for e in numbers]
            low, high = float(key.split()[0]), float(key.split()[-1])
            name = f"{low:g} < B·T" + (f" ≤ {high:g}" if high < 1e5 else "")
            rows.append(
                (
                    f"{said}, {name}",
                    *sizes,
                    *(f"{e.missing} of {e.missing + len(e.values)}" for e in numbers[1:3]),
                )
            )
    head = ("60 dB", "EDT, %", "T20, %", "T30, %", "C50, dB", "T20 withheld", "T30 withheld")
    return (
        "Octaves and thirds by bandwidth times T, median / 95th percentile. Below 8 the filter "
        "decides T20 and T30 and they are withheld; up to 16 T30 is withheld where two filters "
        "of class 1 differ by more than 5 % or its "
        "non-linearity is above 50 permille:\n\n" + table(head, rows)
    )


def _by_chance() -> str:
    """What of straight decays chance alone makes too crooked to be called one."""
    rows = [
        (
            f"{bt}",
            *(
                f"{100 * known.crooked_by_chance(bt, number, to_db, 100 * DRAWS):.2f} %"
                for number, to_db in (("T20", -25.0), ("T30", -35.0))
            ),
        )
        for bt in (20, 28, 40, 53, 64, 128)
    ]
    return (
        "Straight decays that are withheld from B·T = 16 on are those whose own curve, before any "
        f"filter and noise, chance makes crooked; of {100 * DRAWS} each, in per cent:\n\n"
        + table(("B·T", "T20 withheld", "T30 withheld"), rows)
    )


def _odd() -> str:
    rows = []
    for name, found in (_case("odd", DRAWS) | _case("beside", DRAWS)).items():
        for number in ("t20_s", "t30_s"):
            e = found[number]
            size = (
                "–" if not e.values else f"{e.median:+.2f} %",
                "–" if not e.values else f"{e.p95:.2f} %",
            )
            rows.append(
                (name, WORDS[number], *size, str(len(e.values)), str(e.missing), str(e.unflagged))
            )
    head = (
        "odd record",
        "number",
        "median",
        "95th percentile",
        "values",
        "withheld",
        "off by > 25 % and no warning",
    )
    said = (
        "Records with something wrong in them, 55 to 60 dB onset to noise, bands from 250 Hz; "
        "last, bands that die away fast between bands that ring, 70 dB:\n\n"
    )
    return said + table(head, rows)


def _withheld() -> str:
    """Numbers where the standard's margin from peak to noise is not there: none."""
    rows = []
    for inr_db in (10, 20, 25, 30, 35):
        given = {"t20_s": [0, 0], "t30_s": [0, 0]}
        for seed in range(DRAWS):
            drawn = known.draw(seed, known.record_s(0.6), known.exponential(0.6))
            for band in decays(known.noisy(drawn, inr_db, seed)):
                for number, needed_db in (("t20_s", 35), ("t30_s", 45)):
                    if getattr(band, number) is not None:
                        given[number][0] += 1
                        given[number][1] += band.range_db < needed_db
        rows.append((f"{inr_db} dB", *(str(n) for pair in given.values() for n in pair)))
    head = (
        "onset to noise",
        "T20 given",
        "of them below 35 dB",
        "T30 given",
        "of them below 45 dB",
    )
    return (
        f"T = 0.6 s, eight octaves, {DRAWS} draws: how often a number is given, and how often "
        "without its margin from "
        "peak to noise:\n\n" + table(head, rows)
    )


def _nothing() -> str:
    """Records that are no responses."""
    rate, rng = known.RATE_HZ, np.random.default_rng(1)
    t = np.arange(rate) / rate
    decay = rng.standard_normal(rate) * 10 ** (-3 * t / 0.6) + 1e-3 * rng.standard_normal(rate)
    broken = decay.copy()
    broken[rate // 2] = np.nan
    rows = []
    for name, x in {
        "silence": 0 * t,
        "noise only": rng.standard_normal(rate),
        "a response reversed": decay[::-1],
        "a constant": np.ones(rate),
        "a tone": np.sin(2 * np.pi * 1000 * t),
        "a click": np.eye(1, rate, 100)[0],
        "10 ms": decay[: rate // 100],
        "empty": t[:0],
        "one sample that is no number": broken,
    }.items():
        try:
            bands = decays(ImpulseResponse(samples=x, rate_hz=rate))
        except RoomcheckError as refused:
            rows.append((name, "0", f"refused: {refused}"))
            continue
        numbers = sum(getattr(band, number) is not None for band in bands for number in WORDS)
        rows.append((name, str(numbers), reason_of(bands[4])))
    head = ("record", "numbers given", "what is said at 1 kHz")
    return "Records that are no responses:\n\n" + table(head, rows)


def _chance() -> str:
    """Scatter of the draws themselves beside the standard's formula."""
    rows = []
    for t60 in (0.3, 0.7, 1.2):
        draws = [
            known.draw(seed, known.record_s(t60), known.exponential(t60)) for seed in range(DRAWS)
        ]
        for band_hz in (63.0, 125.0, 500.0, 2000.0):
            t20, t30 = ([d.truth[band_hz][n] for d in draws] for n in ("t20_s", "t30_s"))
            rows.append(
                (
                    f"{t60:g} s",
                    f"{band_hz:g} Hz",
                    f"{noise_bandwidth_hz(band_hz) * t60:.1f}",
                    *(_per_cent(np.std(t20, ddof=1), t60), _per_cent(t20_sd_s(t60, band_hz), t60)),
                    *(_per_cent(np.std(t30, ddof=1), t60), _per_cent(t30_sd_s(t60, band_hz), t60)),
                )
            )
    head = (
        "T",
        "octave",
        "B·T",
        "T20 of the draws",
        "by ISO 3382-2",
        "T30 of the draws",
        "by ISO 3382-2",
    )
    return (
        "What chance alone does to one position (standard deviation of the draws' own decays, "
        "no noise, no filter), "
        "beside the formula of ISO 3382-2, Annex A, with n = 10:\n\n" + table(head, rows)
    )


def _coverage() -> str:
    """How often the stated deviations hold the closed forms."""
    found = known.coverage_cases(DRAWS)
    rows = []
    for name, said in WORDS.items():
        row = [said]
        for bt in ("8 to 32", "32 to 128", "above 128"):
            size = np.abs(found[name, bt])
            row += [f"{100 * np.mean(size < 1):.0f} %", f"{100 * np.mean(size < 2):.0f} %"]
        rows.append(row)
    head = ["number"] + [
        f"B·T {bt}: within {n} sd" for bt in ("8 to 32", "32 to 128", "above 128") for n in (1, 2)
    ]
    return (
        "How often the standard deviation stated beside a number holds what a straight decay "
        "truly has (68 and 95 % are right; T20 and T30 by ISO 3382-2, the others by closed "
        "forms of our own; T = 0.2 to 1.2 s, 60 dB):\n\n" + table(head, rows)
    )


def _per_cent(sd: float, t60: float) -> str:
    return f"{100 * sd / t60:.1f} %"


def _figure(figures: Path) -> str:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.4, 3.0))
    axes = figure.subplots()
    bt, median, p95 = [], [], []
    for key, found in _case("short", DRAWS).items():
        low = float(key.split()[0])
        bt.append(low * 2**0.5)
        median.append(found["t30_s"].median)
        p95.append(found["t30_s"].p95)
    axes.semilogx(bt, median, "o-", color="0.2", label="median")
    axes.semilogx(bt, p95, "s--", color="0.2", label="95th percentile of the size")
    axes.semilogx(
        bt, _annex_a(bt), ":", color="0.5", label="twice the standard deviation of ISO 3382-2"
    )
    axes.axhline(0, color="0.8", lw=0.8)
    axes.set(xlabel="bandwidth times T", ylabel="error of T30, %")
    axes.set_xticks(bt, [f"{2**-0.5 * x:.0f}–{2**0.5 * x:.0f}" for x in bt])
    axes.minorticks_off()
    axes.legend(frameon=False, fontsize=8)
    return "Short decays:\n\n" + save(figure, figures, "truth-short") + "\n"


def _annex_a(bt: Iterable[float]) -> list[float]:
    return [200 * t30_sd_s(1.0, x / 0.71) for x in bt]
