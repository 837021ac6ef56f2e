"""Speech transmission index from an impulse response, band by band, or why there is none.

What the response says is how far the room flattens the modulations of speech. Noise comes in where
it is known; masking by level and the threshold of hearing need calibrated levels and are left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import fmean

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.band.bands import Band, Spectrum, reach_s
from roomcheck.analyse.band.noise import Tail, tail
from roomcheck.analyse.decay.onset import start
from roomcheck.analyse.speech.results import BandSpeech, SpeechIndex, SpeechReason, SpeechRemark
from roomcheck.facts import Fact, fact
from roomcheck.measure import ImpulseResponse, Record
from roomcheck.standards import iec_60268_16_2020 as iec
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz

LEAST_S = 1.6
"""One period of the slowest modulation, 0.63 Hz: a response must be as long (IEC 60268-16, as
quoted in an open library). [s]"""

RANGE_DB = 25.0
"""Peak to noise that a band needs. The document prefers 20 dB of signal over noise; the peak stands
6 to 10 dB above the start of the decay. [dB]"""

Array = NDArray[np.float64]


def speech_index(ir: ImpulseResponse, snr_db: Sequence[float] | None = None) -> SpeechIndex:
    r"""The index from a response: :math:`m(F) = |\int h^2 e^{-j 2\pi F t} dt| / \int h^2 dt` in
    each octave.

    The response's own noise is taken off and its missing tail put back, as for decays.

    Parameters
    ----------
    ir : ImpulseResponse
    snr_db : (7,), optional
        Speech over noise at the listener, octaves 125 Hz to 8 kHz; without it the room alone is
        rated. [dB]

    Raises
    ------
    NotAResponse
        No samples, or samples that are no numbers.
    ValueError
        `snr_db` is not seven numbers.

    References
    ----------
    IEC 60268-16:2020, as quoted in an open library; Schroeder 1981 for the integral, from memory.
    """
    if snr_db is not None and (
        len(snr_db) != len(iec.BANDS_HZ) or any(math.isnan(x) for x in snr_db)
    ):
        raise ValueError(f"snr_db: {list(snr_db)}, needed seven numbers, 125 Hz to 8 kHz")
    begun = start(ir)
    ratios: list[float | None] = (
        [None] * len(iec.BANDS_HZ) if snr_db is None else [float(x) for x in snr_db]
    )
    if not begun.samples.size:
        return _none(ratios, fact(SpeechReason.SILENCE))
    if ir.limits is not None:
        return _none(ratios, ir.limits.why, fact(SpeechReason.NEEDS_SWEEP))
    held_s = len(begun.samples) / ir.rate_hz - begun.lead_s
    if held_s < LEAST_S - 0.5 / ir.rate_hz:
        return _none(ratios, fact(SpeechReason.TOO_SHORT, length_s=held_s, needed_s=LEAST_S))
    spectrum = Spectrum(
        begun.over_peak().samples, ir.rate_hz, begun.lead_s, 2 * reach_s(iec.BANDS_HZ[0], 1)
    )
    bands: list[BandSpeech] = []
    whole: list[list[float]] = []
    for band_hz, ratio_db in zip(iec.BANDS_HZ, ratios, strict=True):
        transfers = _transfers(spectrum, band_hz, ir.rate_hz)
        if isinstance(transfers, Fact):
            bands.append(BandSpeech(band_hz=band_hz, mti=None, snr_db=ratio_db, withheld=transfers))
            continue
        left = [m * _left_by_noise(ratio_db) for m in transfers]
        mti = fmean(map(iec.transmission_index, left))
        bands.append(BandSpeech(band_hz=band_hz, mti=mti, snr_db=ratio_db))
        whole.append(left)
    withheld = tuple(band.withheld for band in bands if band.withheld is not None)
    if withheld:
        return SpeechIndex(sti=None, rating=None, bands=tuple(bands), withheld=withheld)
    index = iec.sti(whole)
    without_noise = () if snr_db is not None else (fact(SpeechRemark.WITHOUT_NOISE),)
    return SpeechIndex(
        sti=index,
        rating=iec.rating(index),
        bands=tuple(bands),
        remarks=(*without_noise, fact(SpeechRemark.WITHOUT_MASKING)),
    )


def _none(
    ratios: Sequence[float | None], *reasons: Fact[SpeechReason] | Fact[Record]
) -> SpeechIndex:
    bands = tuple(
        BandSpeech(band_hz=band_hz, mti=None, snr_db=ratio_db)
        for band_hz, ratio_db in zip(iec.BANDS_HZ, ratios, strict=True)
    )
    return SpeechIndex(sti=None, rating=None, bands=bands, withheld=reasons)


def _left_by_noise(snr_db: float | None) -> float:
    return 1.0 if snr_db is None else 1 / (1 + math.pow(10, -snr_db / 10))


def _transfers(
    spectrum: Spectrum, band_hz: float, rate_hz: int
) -> list[float] | Fact[SpeechReason]:
    """The band's 14 modulation transfers, or why there are none."""
    if band_edges_hz(band_hz)[1] > rate_hz / 2:
        return fact(SpeechReason.RATE_TOO_LOW, band_hz=band_hz, rate_hz=rate_hz)
    band = spectrum.band(band_hz, 1)
    end = tail(band, np.concatenate(([0.0], np.cumsum(band.power))))
    if end is None:
        return fact(SpeechReason.NO_DECAY, band_hz=band_hz)
    peak, floor = 2 * float(band.power[band.start : band.stop].max()), max(end.floor, 1e-300)
    range_db = 10 * math.log10(max(peak, 1e-300) / floor)
    if range_db < RANGE_DB:
        return fact(
            SpeechReason.RANGE_TOO_SMALL,
            band_hz=band_hz,
            range_db=range_db,
            needed_db=RANGE_DB,
            lacking_db=RANGE_DB - range_db,
        )
    return _modulations(band, end)


def _modulations(band: Band, end: Tail) -> list[float]:
    last = int(
        np.clip(
            round((end.knee_s - band.offset_s) / band.dt_s) + band.start, band.start + 1, band.stop
        )
    )
    first_s = band.offset_s - band.start * band.dt_s
    t = first_s + np.arange(last) * band.dt_s
    # Noise is counted from the start on: before it there is silence.
    power: Array = band.power[:last] - np.where(t >= 0, end.noise, 0.0)
    t1 = float(t[-1]) + band.dt_s / 2
    turn = 2j * math.pi * np.array([0.0, *iec.MODULATIONS_HZ])
    rest = np.exp(end.ln_level - (end.slope + turn) * t1) / (end.slope + turn)
    integrals = band.dt_s * np.exp(-turn * first_s) * _turned(power, turn * band.dt_s) + rest
    total = float(integrals[0].real)
    if total <= 0:
        return [0.0] * len(iec.MODULATIONS_HZ)
    return [min(abs(complex(part)) / total, 1.0) for part in integrals[1:]]


BLOCK = 64
"""Points summed at a time. [1]"""


def _turned(power: Array, turn: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Sums of power times exp(-turn n) over its points n: in blocks, whose first points alone need
    exponentials of their own. (turns,)"""
    blocks = -(-len(power) // BLOCK)
    padded = np.zeros(blocks * BLOCK)
    padded[: len(power)] = power
    within = np.exp(-turn[:, None] * np.arange(BLOCK)) @ padded.reshape(blocks, BLOCK).T
    begins = np.exp(-turn[:, None] * (BLOCK * np.arange(blocks)))
    return np.asarray((begins * within).sum(axis=1))
