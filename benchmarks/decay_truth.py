"""How far decays are from the truth, on responses whose truth is known.

Each response is Gaussian noise, cut into octaves without overlap, that dies away at a known rate in
each, and stationary noise on top. Errors are taken against the same draw without noise and without
any filter, so that what is left is the instrument's own: bias is the median, and the 95th
percentile is what noise and filters add. What chance alone does to a single draw is the standard
deviation of ISO 3382-2 and is printed beside it.

    python benchmarks/decay_truth.py            everything, 40 draws a case
    python benchmarks/decay_truth.py --draws 8  a quick look
    python benchmarks/decay_truth.py --only noise short
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import BandDecay, decays
from roomcheck.measure.signal.signals import ImpulseResponse
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz, bands_hz
from roomcheck.standards.iso_3382_2_2008 import noise_bandwidth_hz, t20_sd_s, t30_sd_s

RATE_HZ = 48_000
TIMES_S = (0.15, 0.2, 0.3, 0.45, 0.7, 1.2, 2.5)
NEPERS = 6 * np.log(10)

Array = NDArray[np.float64]
Envelope = Callable[[Array, float], Array]


@dataclass(frozen=True)
class Draw:
    """One response without noise, and what each of its octaves truly does."""

    samples: Array
    truth: dict[float, dict[str, float]]


def exponential(t60_s: float) -> Envelope:
    """Power over time of a straight decay."""
    return lambda t, band_hz: np.exp(-NEPERS * t / t60_s)


def double_slope(share: float, first_s: float, second_s: float) -> Envelope:
    """Power over time of two decays, the slow one with `share` of the power at the start."""
    return lambda t, band_hz: (
        (1 - share) * np.exp(-NEPERS * t / first_s) + share * np.exp(-NEPERS * t / second_s)
    )


OUTER_HZ = {1: ((31.5,), (16000.0,)), 3: ((25.0, 31.5, 40.0), (12500.0, 16000.0, 20000.0))}
"""Bands below and above those that are analysed. [Hz]"""


def draw(seed: int, seconds: float, envelope: Envelope, fraction: int = 1) -> Draw:
    """A response whose octaves from 31.5 Hz to 16 kHz, or thirds from 25 Hz to 20 kHz, each follow
    the envelope."""
    rng = np.random.default_rng(seed)
    n = int(seconds * RATE_HZ)
    spectrum = np.fft.rfft(rng.standard_normal(n))
    frequency = np.fft.rfftfreq(n, 1 / RATE_HZ)
    t = np.arange(n) / RATE_HZ
    total, truth = np.zeros(n), {}
    below, above = OUTER_HZ[fraction]
    for band_hz in (*below, *bands_hz(fraction), *above):
        low, high = band_edges_hz(band_hz, fraction)
        inside = (frequency >= low) & (frequency < high)
        part = np.fft.irfft(np.where(inside, spectrum, 0), n) * np.sqrt(envelope(t, band_hz))
        total += part
        if band_hz in bands_hz(fraction):
            truth[band_hz] = _truth(part)
    return Draw(total, truth)


def _truth(part: Array) -> dict[str, float]:
    energy = np.cumsum(part[::-1] ** 2)[::-1]
    step = 4
    db = 10 * np.log10(energy[::step] / energy[0])
    t = np.arange(len(db)) * step / RATE_HZ
    gate = int(0.05 * RATE_HZ)
    return {
        "edt_s": line_s(t, db, 0, -10),
        "t20_s": line_s(t, db, -5, -25),
        "t30_s": line_s(t, db, -5, -35),
        "c50_db": 10 * np.log10((energy[0] - energy[gate]) / energy[gate]),
        "ts_s": float(energy.sum() / energy[0] / RATE_HZ),
    }


def line_s(t: Array, db: Array, from_db: float, to_db: float) -> float:
    inside = (db <= from_db) & (db >= to_db)
    return float(-60 / np.polyfit(t[inside], db[inside], 1)[0])


def noisy(
    drawn: Draw, inr_db: float, seed: int, shape: Callable[[Array], Array] | None = None
) -> ImpulseResponse:
    """With white noise so far below the power at the start of the decay."""
    rng = np.random.default_rng(10_000 + seed)
    noise = rng.standard_normal(len(drawn.samples)) * 10 ** (-inr_db / 20)
    if shape is not None:
        noise = noise * shape(np.arange(len(noise)) / RATE_HZ)
    return ImpulseResponse(samples=drawn.samples + noise, rate_hz=RATE_HZ)


@dataclass
class Errors:
    """Errors of one number over many bands and draws."""

    values: list[float] = field(default_factory=list)
    missing: int = 0
    unflagged: int = 0

    def add(self, found: float | None, true: float, relative: bool, warned: bool = False) -> None:
        if found is None:
            self.missing += 1
            return
        self.values.append(100 * (found / true - 1) if relative else found - true)
        self.unflagged += relative and not warned and abs(self.values[-1]) > 25

    @property
    def median(self) -> float:
        return float(np.median(self.values)) if self.values else float("nan")

    @property
    def p95(self) -> float:
        return float(np.percentile(np.abs(self.values), 95)) if self.values else float("nan")

    def __str__(self) -> str:
        return f"{self.median:+7.2f} |{self.p95:6.2f} ({len(self.values)}, {self.missing} withheld)"


def compare(
    drawn: Draw,
    found: tuple[BandDecay, ...],
    keep: Callable[[float], bool],
    into: dict[str, Errors],
) -> None:
    for band in found:
        if keep(band.band_hz):
            for name in ("edt_s", "t20_s", "t30_s", "c50_db", "ts_s"):
                into.setdefault(name, Errors()).add(
                    getattr(band, name),
                    drawn.truth[band.band_hz][name],
                    name != "c50_db",
                    bool(band.reasons),
                )


def record_s(t60_s: float) -> float:
    """Long enough for the noise to be seen."""
    return 1.5 * t60_s + 0.4


def noise_cases(
    draws: int, inrs: tuple[float, ...] = (60, 50, 40), times: tuple[float, ...] = TIMES_S
) -> dict[float, dict[str, Errors]]:
    """By onset-to-noise: bands from 250 Hz, T from 0.3 s. Under 63 and 125 those bands, by the
    first of `inrs`."""
    out: dict[float, dict[str, Errors]] = {inr: {} for inr in (*inrs, 63, 125)}
    for _t60, seed, drawn in _draws(draws, tuple(t for t in times if t >= 0.3)):
        for inr in inrs:
            found = decays(noisy(drawn, inr, seed))
            compare(drawn, found, lambda f: f >= 250, out[inr])
            for low in (63, 125) if inr == inrs[0] else ():
                compare(drawn, found, lambda f, low=low: f == low, out[low])
    return out


def short_cases(
    draws: int, times: tuple[float, ...] = (0.15, 0.2, 0.3, 0.45, 0.6)
) -> dict[str, dict[str, Errors]]:
    """By bandwidth times reverberation time, at 60 dB."""
    out: dict[str, dict[str, Errors]] = {}
    for t60, seed, drawn in _draws(draws, times):
        found = decays(noisy(drawn, 60, seed))
        for low in (4, 8, 16, 32):
            near = lambda f, low=low, t60=t60: low < noise_bandwidth_hz(f) * t60 <= 2 * low  # noqa: E731
            compare(drawn, found, near, out.setdefault(f"{low} < BT <= {2 * low}", {}))
    return out


def thirds_cases(draws: int) -> dict[str, dict[str, Errors]]:
    """One-third octaves at 60 dB, by bandwidth times reverberation time."""
    out: dict[str, dict[str, Errors]] = {}
    for t60 in (0.3, 0.7, 1.2):
        for seed in range(max(draws // 4, 1)):
            drawn = draw(seed, record_s(t60), exponential(t60), 3)
            found = decays(noisy(drawn, 60, seed), 3)
            for low, high in ((8, 16), (16, 32), (32, 128), (128, 1e6)):
                near = lambda f, a=low, b=high, t=t60: a < noise_bandwidth_hz(f, 3) * t <= b  # noqa: E731
                compare(drawn, found, near, out.setdefault(f"{low} < BT <= {high:g}", {}))
    return out


def crooked_by_chance(bt: float, number: str, to_db: float, draws: int) -> float:
    """Share of straight decays that stray from their line by more than is called a decay: Gaussian
    noise of even spectrum in a band, neither filtered nor with noise. [1]

    Parameters
    ----------
    bt : float
        Bandwidth times T. [1]
    number : str
        "T20" or "T30".
    to_db : float
        Where its fit ends. [dB]
    """
    from roomcheck.analyse.decay.fits import CROOKED_PERMILLE

    straight, chance, most = CROOKED_PERMILLE[number]
    rng = np.random.default_rng([int(bt), int(-to_db)])
    often, frames = 8, int(1.3 * bt) * 8
    t = np.arange(frames) / often / bt
    above = 0
    for _ in range(draws):
        spectrum = np.zeros(frames, complex)
        size = frames // often
        spectrum[:size] = rng.standard_normal(size) + 1j * rng.standard_normal(size)
        power = np.abs(np.fft.ifft(spectrum)) ** 2 * 10 ** (-6 * t)
        left = np.cumsum(power[::-1])[::-1]
        db = 10 * np.log10(left / left[0])
        fit = (db <= -5) & (db >= to_db)
        line_bt = bt * line_s(t, db, -5, to_db)
        xi = 1000 * (1 - np.corrcoef(t[fit], db[fit])[0, 1] ** 2)
        above += xi > min(straight + chance / line_bt, most)
    return above / draws


def bent_cases(draws: int) -> dict[str, dict[str, Errors]]:
    """Double slopes: bands from 250 Hz."""
    out: dict[str, dict[str, Errors]] = {}
    for seed in range(draws):
        for share, first, second in ((0.01, 0.3, 1.0), (0.1, 0.3, 1.0), (0.05, 0.5, 0.8)):
            drawn = draw(seed, record_s(second), double_slope(share, first, second))
            for inr in (60, 50):
                # Onset-to-noise counts to the start of all of it.
                compare(
                    drawn,
                    decays(noisy(drawn, inr, seed)),
                    lambda f: f >= 250,
                    out.setdefault(f"{inr} dB", {}),
                )
    return out


def cut_cases(
    draws: int, ends: tuple[float, ...] = (1.2, 1.05, 0.9, 0.8, 0.7, 0.5)
) -> dict[str, dict[str, Errors]]:
    """Records that end early, at 60 dB: bands from 250 Hz, T from 0.3 s. The truth is that of the
    whole draw."""
    out: dict[str, dict[str, Errors]] = {}
    for t60, seed, drawn in _draws(draws, (0.3, 0.45, 0.7, 1.2)):
        whole = noisy(drawn, 60, seed).samples
        for end in ends:
            cut = ImpulseResponse(samples=whole[: int(end * t60 * RATE_HZ)], rate_hz=RATE_HZ)
            compare(drawn, decays(cut), lambda f: f >= 250, out.setdefault(f"{end:g} T", {}))
    return out


def beside_cases(draws: int) -> dict[str, dict[str, Errors]]:
    """A band that dies away fast between bands that ring: 500 Hz to 8 kHz, 70 dB."""
    out: dict[str, dict[str, Errors]] = {}
    for long_s, short_s in ((2.5, 0.15), (2.5, 0.3), (1.2, 0.3), (1.0, 0.5)):
        for seed in range(draws):
            rings = lambda t, f, a=long_s, b=short_s: np.exp(  # noqa: E731
                -NEPERS * t / (a if f in (1000, 4000) else b)
            )
            drawn = draw(seed, record_s(long_s), rings)
            compare(
                drawn,
                decays(noisy(drawn, 70, seed)),
                lambda f: f in (500, 2000, 8000),
                out.setdefault(f"{short_s} s beside {long_s} s", {}),
            )
    return out


def odd_cases(draws: int) -> dict[str, dict[str, Errors]]:
    """Click, rising tail, lead-in, hum and pink noise."""
    out: dict[str, dict[str, Errors]] = {}
    rng = np.random.default_rng(99)
    for _t60, seed, drawn in _draws(draws, (0.3, 0.7)):
        n = len(drawn.samples)
        t = np.arange(n) / RATE_HZ
        keep = lambda f: f >= 250  # noqa: E731
        click = noisy(drawn, 60, seed).samples.copy()
        peak = np.abs(click).max()
        click[int(rng.uniform(0.5, 0.95) * n)] += peak * 10 ** (-32 / 20)
        compare(drawn, decays(_ir(click)), keep, out.setdefault("click -32 dB", {}))
        rising = noisy(drawn, 55, seed, lambda t: 10 ** (10 / 20 * t / t[-1]))
        compare(drawn, decays(rising), keep, out.setdefault("rising 10 dB", {}))
        late = noisy(drawn, 60, seed, lambda t: np.where(t > 0.8 * t[-1], 10 ** (15 / 20), 1.0))
        compare(drawn, decays(late), keep, out.setdefault("louder last fifth", {}))
        lead = np.concatenate(
            (
                10 ** (-60 / 20) * rng.standard_normal(int(0.3 * RATE_HZ)),
                noisy(drawn, 60, seed).samples,
            )
        )
        compare(drawn, decays(_ir(lead)), keep, out.setdefault("lead-in", {}))
        pink = np.fft.irfft(
            np.fft.rfft(rng.standard_normal(n))
            / np.sqrt(np.maximum(np.fft.rfftfreq(n, 1 / RATE_HZ), 20) / 1000),
            n,
        )
        hum = 0.02 * sum(np.sin(2 * np.pi * 50 * h * t + h) / h for h in range(1, 20))
        compare(
            drawn,
            decays(_ir(drawn.samples + 10 ** (-55 / 20) * pink + hum)),
            keep,
            out.setdefault("hum, pink", {}),
        )
        compare(
            drawn,
            decays(_ir(drawn.samples + 10 ** (-55 / 20) * pink + hum)),
            lambda f: f < 250,
            out.setdefault("hum, pink, < 250", {}),
        )
    return out


def closed_forms(t60_s: float) -> dict[str, float]:
    """What a straight decay without a direct sound has (`check` values of ISO 3382-1's
    definitions)."""
    q50, q80 = (np.exp(-NEPERS * te / t60_s) for te in (0.05, 0.08))
    return {
        **dict.fromkeys(("edt_s", "t20_s", "t30_s"), t60_s),
        "c50_db": 10 * np.log10(1 / q50 - 1),
        "c80_db": 10 * np.log10(1 / q80 - 1),
        "d50": 1 - q50,
        "ts_s": t60_s / NEPERS,
    }


SD_OF = {
    **{"edt_s": "edt_sd_s", "t20_s": "t20_sd_s", "t30_s": "t30_sd_s", "c50_db": "c50_sd_db"},
    **{"c80_db": "c80_sd_db", "d50": "d50_sd", "ts_s": "ts_sd_s"},
}
"""Numbers and the standard deviations stated beside them."""


def coverage_cases(
    draws: int, times: tuple[float, ...] = (0.2, 0.3, 0.45, 0.7, 1.2)
) -> dict[tuple[str, str], list]:
    """By number and range of bandwidth times T: errors over the standard deviation that is stated,
    at 60 dB."""
    out: dict[tuple[str, str], list] = {}
    for t60, seed, drawn in _draws(draws, times):
        for band in decays(noisy(drawn, 60, seed)):
            bt = noise_bandwidth_hz(band.band_hz) * t60
            key = "8 to 32" if bt <= 32 else "32 to 128" if bt <= 128 else "above 128"
            for name, true in closed_forms(t60).items():
                if (value := getattr(band, name)) is not None:
                    out.setdefault((name, key), []).append(
                        (value - true) / getattr(band, SD_OF[name])
                    )
    return out


def _ir(samples: Array) -> ImpulseResponse:
    return ImpulseResponse(samples=samples, rate_hz=RATE_HZ)


def _draws(draws: int, times: tuple[float, ...]) -> Iterator[tuple[float, int, Draw]]:
    for t60 in times:
        for seed in range(draws):
            yield t60, seed, draw(1000 * int(100 * t60) + seed, record_s(t60), exponential(t60))


CASES: dict[str, Callable[[int], dict]] = {
    "noise": noise_cases,
    "short": short_cases,
    "thirds": thirds_cases,
    "bent": bent_cases,
    "cut": cut_cases,
    "odd": odd_cases,
    "beside": beside_cases,
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--draws", type=int, default=40)
    parser.add_argument("--only", nargs="*", default=list(CASES), choices=list(CASES))
    args = parser.parse_args()
    print(f"{args.draws} draws a case; median | 95th percentile of the size, in % (C50 in dB)")
    for name in args.only:
        for case, errors in CASES[name](args.draws).items():
            for quantity, found in errors.items():
                print(f"{name:8} {case!s:16} {quantity:7} {found}", flush=True)
    print("chance alone, ISO 3382-2, one position, 1 kHz octave, T = 0.6 s:", end=" ")
    print(f"T20 {t20_sd_s(0.6, 1000) / 0.006:.1f} %, T30 {t30_sd_s(0.6, 1000) / 0.006:.1f} %")


if __name__ == "__main__":
    main()
