"""A microphone's own response, as its laboratory gives it, and its removal from what was
measured."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import Mistakes, RoomcheckError
from roomcheck.job import Job, NoRegularFile, read_regular
from roomcheck.measure.files.played import digest
from roomcheck.measure.files.whole_files import keep_beside
from roomcheck.measure.signal.signals import ImpulseResponse

MARKS = '#*;!%/"'
"""A line that begins with one of these is a comment."""

LARGEST_DB = 60.0
"""No microphone is off by more; such a number stands in the wrong column. [dB]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """How much too high a microphone reads, over frequency."""

    name: str
    """The file it came from."""
    frequency_hz: tuple[float, ...]
    """Rising [Hz]."""
    gain_db: tuple[float, ...]
    """How much too high it reads there [dB]."""
    phase_deg: tuple[float, ...] | None = None
    """Where the file has a third column; None: the minimum phase that goes with the gain [deg]."""
    comments: tuple[str, ...] = ()
    """The file's own words: serial number, angle of incidence."""

    def gain_db_at(self, hz: Array) -> Array:
        """Straight over the logarithm of frequency; outside the file as at its nearer end. [dB]"""
        at = np.log(np.maximum(hz, 1e-3))
        return np.interp(at, np.log(self.frequency_hz), self.gain_db)


def read_correction(path: Path | str) -> Correction:
    """A correction file: frequency and decibels, perhaps phase, by comma, semicolon, tab or spaces.

    Parameters
    ----------
    path : path
        Plain text. Lines that begin with # * ; ! % / or a quotation mark are comments, and so are
        lines of words before the first number. A comma is a decimal comma where something else
        parts the columns.

    Raises
    ------
    Mistakes
        Every bad line, by its number.
    RoomcheckError
        The file cannot be read, or holds fewer than two frequencies.
    """
    path = Path(path)
    try:
        text = read_regular(path).decode("utf-8-sig", errors="replace")
    except NoRegularFile as problem:
        raise RoomcheckError(f"{path}: the microphone's file: {problem.why}") from problem
    rows: list[tuple[float, ...]] = []
    comments: list[str] = []
    bad: list[str] = []
    for number, line in enumerate(text.splitlines(), 1):
        said = line.strip()
        if not said:
            continue
        if said[0] in MARKS or (not rows and not bad and said[0].isalpha()):
            comments.append(said.strip(MARKS + " "))
            continue
        found = _row(said)
        wrong = found if isinstance(found, str) else _misfit(found, rows)
        if wrong:
            bad.append(f"line {number}: {said[:60]!r}: {wrong}")
        elif isinstance(found, tuple):
            rows.append(found)
    if bad:
        raise Mistakes(
            str(path), tuple(bad[:20]) + ((f"and {len(bad) - 20} more",) if len(bad) > 20 else ())
        )
    if len(rows) < 2:
        raise RoomcheckError(
            f"{path}: {len(rows)} frequencies in it; needed two or more lines of frequency and "
            "decibels, such as: 1000  0.2"
        )
    columns = list(zip(*rows, strict=True))
    return Correction(
        name=path.name,
        frequency_hz=columns[0],
        gain_db=columns[1],
        phase_deg=columns[2] if len(columns) > 2 else None,
        comments=tuple(c for c in comments if c),
    )


def corrected(response: ImpulseResponse, correction: Correction) -> ImpulseResponse:
    """A response as a flat microphone would have taken it.

    The gain is divided out with its minimum phase, or with the file's own phase; outside the file's
    frequencies the value at its nearer end holds, so that there is no step.
    """
    from scipy import fft

    x, rate = response.samples, response.rate_hz
    size = 2 * fft.next_fast_len(max(len(x), rate // 2), real=True)
    hz = np.arange(size // 2 + 1, dtype=np.float64) * (rate / size)
    gain = correction.gain_db_at(hz) / 20 * np.log(10)
    if correction.phase_deg is None:
        microphone = np.exp(_minimum_phase(gain, size))
    else:
        known = np.unwrap(np.radians(correction.phase_deg))
        phase = np.interp(np.log(np.maximum(hz, 1e-3)), np.log(correction.frequency_hz), known)
        microphone = np.exp(gain + 1j * phase)
    flat = fft.irfft(fft.rfft(x, size) / microphone, size)[: len(x)]
    return replace(response, samples=flat)


def keep_correction(job: Job, path: Path) -> str:
    """A copy of a microphone's file in takes/microphone, under a name that tells its content; the
    name."""
    read_correction(path)
    stem = "".join(c if c.isalnum() or c in "-_" else "_" for c in path.stem) or "microphone"
    name = f"{stem}-{digest(path)[:12]}.txt"
    keep_beside(job.folder, f"takes/microphone/{name}", path)
    return name


def kept_correction(job: Job, name: str) -> Correction:
    """A microphone's file again, by the name it is kept under."""
    return read_correction(job.folder / "takes" / "microphone" / name)


def _minimum_phase(log_gain: Array, size: int) -> NDArray[np.complex128]:
    """Logarithm of the minimum-phase spectrum with this logarithmic gain, by its folded
    cepstrum."""
    from scipy import fft

    cepstrum = fft.irfft(log_gain, size)
    cepstrum[1 : (size + 1) // 2] *= 2
    cepstrum[size // 2 + 1 :] = 0
    folded: NDArray[np.complex128] = fft.rfft(cepstrum, size)
    return folded


def _row(said: str) -> tuple[float, ...] | str:
    """The numbers of a line, or what is wrong with it."""
    parts = _parts(said)
    if not 2 <= len(parts) <= 3:
        return f"{len(parts)} columns; needed frequency and decibels, perhaps phase"
    values = []
    for part in parts:
        try:
            values.append(float(part))
        except ValueError:
            return f"{part!r} is no number"
    if not all(math.isfinite(value) for value in values):
        return "no finite number"
    return tuple(values)


def _parts(said: str) -> list[str]:
    if ";" in said:
        return [part.strip().replace(",", ".") for part in said.rstrip("; ").split(";")]
    words = said.split()
    if len(words) >= 2 and not any(
        word.endswith(",") or word.startswith(",") or word.count(",") > 1 for word in words
    ):
        return [word.replace(",", ".") for word in words]
    return [part for part in re.split(r"\s*,\s*|\s+", said.rstrip(", ")) if part]


def _misfit(row: tuple[float, ...], rows: list[tuple[float, ...]]) -> str:
    if row[0] <= 0:
        return f"frequency {row[0]:g} Hz; needed above 0"
    if rows and row[0] <= rows[-1][0]:
        return f"{row[0]:g} Hz does not rise above {rows[-1][0]:g} Hz before it"
    if abs(row[1]) > LARGEST_DB:
        return f"{row[1]:g} dB; needed -{LARGEST_DB:g} to {LARGEST_DB:g}"
    if rows and len(row) != len(rows[0]):
        return f"{len(row)} columns; the lines before it have {len(rows[0])}"
    return ""
