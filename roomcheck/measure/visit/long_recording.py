"""One recording of a whole visit, cut apart by its marker chirps and matched to positions in the
order of playing."""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job, Put, plain_name
from roomcheck.measure.checks.clock import RATE_RATIOS, SLACK_S
from roomcheck.measure.checks.find_playings import playings_between
from roomcheck.measure.checks.listening import LISTENED, work_of
from roomcheck.measure.faults import MarkersNotFound, NotAudio, RecordingError, TakeNotWritten
from roomcheck.measure.files.played import END_S, Marker, Played, digest
from roomcheck.measure.files.sound_file import LOSSY, UNTOLD, blocks, opened
from roomcheck.measure.files.whole_files import ending_of, keep_beside, put_in
from roomcheck.measure.kinds import Machine
from roomcheck.measure.signal.memory import let_go
from roomcheck.measure.visit.placed import Look
from roomcheck.measure.visit.takes import Added, add_recording
from roomcheck.parts import OnPart, Parts

LIKE, CLEAR = 0.2, 0.4
"""Correlation with the chirp for a hit, and for one that is no chance: small rooms smear a chirp to
0.3 to 0.8. [1]"""

KEPT_SUBTYPES = ("PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE")
"""Sample formats that a cut keeps; others become 32-bit integers."""

DROWNED = 2
"""Looking for sweeps where no chirp is clear is so many times the work of looking for these. [1]"""

BLOCK_S = 30.0
BEFORE_S = 2.5
"""Kept of the silence before the first chirp, for the noise. [s]"""

AFTER_S = 1.5
"""Kept after the last chirp, besides the file's own end. [s]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One playing of a sweep file within a long recording."""

    first_s: float
    """Where its first marker chirp begins [s]."""
    last_s: float
    """Where its last marker chirp begins [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What became of one position of a long recording."""

    source: str
    microphone: str
    at_s: float
    """Where its first chirp is in the recording [s]."""
    added: Added | None
    """None where it could not be used."""
    problem: str = ""
    """Text of the error that kept it out."""


def find_stretches(
    path: Path | str,
    played: Played,
    *,
    channel: int | None = None,
    places: int = 1,
    on_part: OnPart | None = None,
) -> tuple[Stretch, ...]:
    """Every playing of a sweep file in a recording, by its two marker chirps.

    Parameters
    ----------
    path : path
        WAV, FLAC or AIFF, of any length: it is read in blocks.
    played : Played
        With markers.
    channel : int, optional
        From 1; all channels together where left out.
    places : int
        Playings that are expected; only what `on_part` is told goes by it.
    on_part : callable or None
        Gets, after each block, how much is looked through, and of how much; once more from the
        first where the machines' rates differ.

    Raises
    ------
    MarkersNotFound
        Not one pair, or a chirp that is alone.
    """
    path = Path(path)
    _check_markers(played, path)
    spacing_s = played.last_s - played.first_s
    chirps, drowned = _looking(path, played, places)
    for ratio in (1.0, *RATE_RATIOS):
        parts = Parts(on_part, chirps + drowned)
        hits = _hits(path, played, ratio, channel, parts.of_own(chirps))
        parts.add(chirps)
        pairs = _pairs(hits, spacing_s * ratio)
        pairs += _drowned(path, played, ratio, channel, pairs, parts.of_own(drowned))
        if pairs:
            pairs = tuple(sorted(pairs, key=lambda pair: pair.first_s))
            _no_orphans(path, hits, pairs, spacing_s * ratio)
            return pairs
    raise MarkersNotFound(
        where=str(path),
        found=f"no two marker chirps {spacing_s:.1f} s apart",
        needed="the sweep file played at least once, from its first chirp to its last",
        todo="Name the sweep file that was really played with --sweep.",
    )


def add_whole(
    job: Job,
    recording: Path | str,
    *,
    visit: str,
    places: Sequence[tuple[str, tuple[str, ...]]],
    played: Played,
    channel: int | None = None,
    side: str | None = None,
    wrong_machine: Machine | None = None,
    look: Look | None = None,
    on_part: OnPart | None = None,
) -> tuple[Piece, ...]:
    """Cut a recording of a whole visit apart and add every piece.

    Parameters
    ----------
    places : sequence of (microphone, sources)
        In the order they were played; one source, or one for each pass of the sweep file (left,
        right).
    played : Played
        With markers.
    channel, side, wrong_machine, look
        As of `add_recording`.
    on_part : callable or None
        Gets how much is done, and of how much: the recording is looked through, then each place is
        listened to.

    Returns
    -------
    tuple of Piece
        The pieces that could not be used with their reason; the whole recording is kept beside the
        takes, unchanged. Stopped by the keyboard, everything is taken out again that was added.

    Raises
    ------
    MarkersNotFound
        More or fewer sweeps than places: says how many, and when each was played.
    RecordingError
        Not a file that can be cut.
    """
    path = Path(recording)
    _check_markers(played, path)
    looked, each = sum(_looking(path, played, len(places))), round(LISTENED * played.seconds)
    parts = Parts(on_part, looked + each * len(places))
    stretches = find_stretches(
        path, played, channel=channel, places=len(places), on_part=parts.of_own(looked)
    )
    parts.add(looked)
    if len(stretches) != len(places):
        raise MarkersNotFound(
            where=str(path),
            found=_sweeps_found(stretches),
            needed=f"{len(places)}, one for each of {', '.join(name for name, _ in places)}",
            todo="Name the positions that were really played, in order, one that was played twice "
            "twice.",
        )
    pieces = []
    with _all_or_none(job, visit), tempfile.TemporaryDirectory() as folder:
        whole = _keep_whole(job, path, visit)
        for i, (stretch, (microphone, sources)) in enumerate(zip(stretches, places, strict=True)):
            cut = Path(folder) / f"{path.stem}-{i + 1}.wav"
            _cut(path, cut, *_bounds_s(stretches, i))
            for number, source in enumerate(sources):
                which = side if len(sources) == 1 else played.passes[number].side
                added, problem = None, ""
                try:
                    added = add_recording(
                        job,
                        cut,
                        visit=visit,
                        source=source,
                        microphone=microphone,
                        sweep=played,
                        channel=channel,
                        side=which,
                        wrong_machine=wrong_machine,
                        more={"cut_from": whole, "cut_at_s": round(stretch.first_s, 3)},
                        called=f"{path} at {_clock(stretch.first_s)}",
                        look=look,
                    )
                except TakeNotWritten:
                    raise
                except RecordingError as refused:
                    problem = str(refused)
                pieces.append(
                    Piece(
                        source=source,
                        microphone=microphone,
                        at_s=stretch.first_s,
                        added=added,
                        problem=problem,
                    )
                )
            parts.add(each)
    return tuple(pieces)


@contextmanager
def _all_or_none(job: Job, visit: str) -> Iterator[None]:
    """Where the keyboard stops what is done within, take out what it added to a visit: a visit
    of which a part is there would have that part twice when it is added again."""
    folder = job.folder / "takes" / visit
    there = {path for path in folder.rglob("*") if path.is_file()}
    try:
        yield
    except KeyboardInterrupt:
        put_in(job.folder, list(_added(job.folder, folder, there)))
        raise


def _added(top: Path, folder: Path, there: set[Path]) -> Iterator[Put]:
    """The removal of whole recordings, and of takes cut from them, that were not there before."""
    whole = {path for path in (folder / "whole").glob("*") if path not in there}
    for path in whole:
        yield Put(path=path.relative_to(top).as_posix(), data=None)
    for path in set(folder.glob("*.toml")) - there:
        facts = tomllib.loads(path.read_text("utf-8"))
        if "cut_from" in facts:
            for gone in (path, path.with_name(facts["file"])):
                yield Put(path=gone.relative_to(top).as_posix(), data=None)


def _looking(path: Path, played: Played, places: int) -> tuple[int, int]:
    """How much work it is to look through a recording: for chirps, and for sweeps in what so many
    playings leave of it. A file that does not say its length is not counted. [s of the first]"""
    with opened(path) as file:
        if file.frames >= UNTOLD:
            return 1, 0
        seconds = file.frames / file.samplerate
    spacing_s = played.last_s - played.first_s
    rest_s = seconds - places * spacing_s
    return max(round(seconds), 1), round(DROWNED * rest_s) if rest_s > spacing_s else 0


def single_work(path: Path | str, played: Played) -> tuple[int, int]:
    """How much work the recording of one place is: for `check_single`, and for `add_recording`,
    which alone reads files that cannot be cut."""
    path = Path(path)
    try:
        looking = sum(_looking(path, played, 1)) if played.marker is not None else 0
        with opened(path) as file:
            frames = 0 if file.frames >= UNTOLD else file.frames
            return looking, sum(work_of(frames, file.samplerate, played))
    except RecordingError:
        return 0, 1000


def _bounds_s(stretches: Sequence[Stretch], i: int) -> tuple[float, float]:
    """Where one playing is cut out, with silence around it and nothing of its neighbours. [s]"""
    stretch = stretches[i]
    from_s = max(stretch.first_s - BEFORE_S, 0.0)
    to_s = stretch.last_s + AFTER_S + END_S
    if i > 0:
        from_s = max(from_s, stretches[i - 1].last_s + 1.0)
    if i + 1 < len(stretches):
        to_s = min(to_s, stretches[i + 1].first_s)
    return from_s, to_s


def check_single(
    path: Path | str,
    played: Played,
    *,
    channel: int | None = None,
    on_part: OnPart | None = None,
) -> None:
    """Refuse a recording that holds several sweeps where one position was named; `on_part` as of
    `find_stretches`.

    Raises
    ------
    MarkersNotFound
    """
    if played.marker is None:
        return
    try:
        stretches = find_stretches(path, played, channel=channel, on_part=on_part)
    except RecordingError:
        return  # who adds it says what is wrong with it
    if len(stretches) > 1:
        raise MarkersNotFound(
            where=str(path),
            found=_sweeps_found(stretches),
            needed="one, for the one position that was named",
            todo="Name every position in the order of playing, such as --microphone P1,P2.",
        )


def _check_markers(played: Played, path: Path) -> None:
    if played.marker is None or not played.passes:
        raise MarkersNotFound(
            where=str(path),
            found="the sweep that was named has no marker chirps",
            needed="a sweep file of roomcheck sweep",
            todo="Name its .toml with --sweep; without markers, add one recording for each "
            "position.",
        )


def _hits(
    path: Path, played: Played, ratio: float, channel: int | None, on_part: OnPart | None = None
) -> list[tuple[float, float]]:
    """Where something like the marker begins, and how like it is: (time, correlation). [s, 1]"""
    found: list[tuple[float, float]] = []
    with opened(path) as file:
        rate = file.samplerate
        if file.format in LOSSY:
            raise NotAudio(
                where=str(path),
                found=f"a {file.format} file",
                needed="WAV, FLAC or AIFF: a lossy recording cannot be cut without loss",
                todo="Set the recorder to WAV, or add one recording for each position.",
            )
        assert played.marker is not None
        chirp = played.marker.samples(round(rate * ratio))
        block, overlap = round(BLOCK_S * min(rate, 48_000)), 2 * len(chirp)
        start = 0
        while start < file.frames:
            file.seek(start)
            part = file.read(block + overlap, dtype="float32", always_2d=True)
            if not len(part):
                break
            y = (
                part.mean(axis=1, dtype=np.float64)
                if channel is None
                else part[:, channel - 1].astype(np.float64)
            )
            found += [
                (start / rate + at, like) for at, like in _like(y, chirp, rate, played, ratio)
            ]
            start += block
            if on_part is not None:
                on_part(min(start, file.frames), file.frames)
    _answer_to.cache_clear()
    return _strongest(found)


def _like(
    y: Array, chirp: Array, rate: int, played: Played, ratio: float
) -> list[tuple[float, float]]:
    """Normalised correlation with the chirp in its own band, where it has a top."""
    from scipy import fft

    marker = played.marker
    if len(y) <= len(chirp) or marker is None or not y.any():
        return []
    size = fft.next_fast_len(len(y) + len(chirp), real=True)
    inside = _inside(marker, rate, ratio, size)
    Y = np.where(inside, fft.rfft(y, size), 0)
    cross = fft.irfft(Y * _answer_to(marker, rate, ratio, size), size, overwrite_x=True)
    cross = np.abs(cross[: len(y) - len(chirp)])
    energy = np.concatenate([[0.0], np.cumsum(fft.irfft(Y, size, overwrite_x=True)[: len(y)] ** 2)])
    del Y
    let_go(size)
    local = energy[len(chirp) : len(y)] - energy[: len(y) - len(chirp)]
    floor = 1e-6 * float(local.max())
    like = cross / np.sqrt(np.sum(chirp**2) * np.maximum(local, floor))
    step = max(rate // 20, 1)
    tops = []
    for a in range(0, len(like), step):
        at = a + int(np.argmax(like[a : a + step]))
        if like[at] >= LIKE:
            tops.append((at / rate, float(like[at])))
    return tops


def _inside(marker: Marker, rate: int, ratio: float, size: int) -> NDArray[np.bool_]:
    """Which lines of a transform lie in the marker's band."""
    hz = np.fft.rfftfreq(size, 1 / rate)
    inside: NDArray[np.bool_] = (hz > 0.9 * marker.low_hz / ratio) & (
        hz < 1.1 * marker.high_hz / ratio
    )
    return inside


@lru_cache(maxsize=1)
def _answer_to(marker: Marker, rate: int, ratio: float, size: int) -> NDArray[np.complex128]:
    """What a spectrum is multiplied by to look for the marker, kept for the next block."""
    from scipy import fft

    inside = _inside(marker, rate, ratio, size)
    return np.where(inside, np.conj(fft.rfft(marker.samples(round(rate * ratio)), size)), 0)


def _strongest(hits: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Of hits within 0.3 s the best alone: echoes, and what overlapping blocks found twice."""
    kept: list[tuple[float, float]] = []
    for at, like in sorted(hits, key=lambda hit: -hit[1]):
        if all(abs(at - other) > 0.3 for other, _ in kept):
            kept.append((at, like))
    return sorted(kept)


def _pairs(hits: list[tuple[float, float]], spacing_s: float) -> tuple[Stretch, ...]:
    """Hits a sweep file's spacing apart, best first, none within another."""
    within_s = min(SLACK_S, 0.05 * spacing_s)
    found = [
        (a_like * b_like * (1 - abs(b - a - spacing_s) / within_s / 2), a, b)
        for a, a_like in hits
        for b, b_like in hits
        if abs(b - a - spacing_s) <= within_s
    ]
    kept: list[tuple[float, float]] = []
    for _, a, b in sorted(found, reverse=True):
        if all(b < other_a or a > other_b for other_a, other_b in kept):
            kept.append((a, b))
    return tuple(Stretch(first_s=a, last_s=b) for a, b in sorted(kept))


def _drowned(
    path: Path,
    played: Played,
    ratio: float,
    channel: int | None,
    pairs: tuple[Stretch, ...],
    on_part: OnPart,
) -> tuple[Stretch, ...]:
    """What was played where no clear chirps were found, wherever there is room for it."""
    seconds = _seconds(path)
    ends = [0.0, *(at for pair in pairs for at in (pair.first_s, pair.last_s)), seconds]
    spacing_s = (played.last_s - played.first_s) * ratio
    rooms = [
        (from_s, to_s)
        for from_s, to_s in zip(ends[::2], ends[1::2], strict=True)
        if to_s - from_s > spacing_s
    ]
    lengths = [round(to_s - from_s) for from_s, to_s in rooms]
    parts = Parts(on_part, sum(lengths))
    found: list[Stretch] = []
    for (from_s, to_s), length in zip(rooms, lengths, strict=True):
        playings = playings_between(
            path, played, ratio, channel, from_s=from_s, to_s=to_s, on_part=parts.of_own(length)
        )
        found += [Stretch(first_s=first_s, last_s=last_s) for first_s, last_s in playings]
        parts.add(length)
    return tuple(found)


def _no_orphans(
    path: Path, hits: list[tuple[float, float]], pairs: tuple[Stretch, ...], spacing_s: float
) -> None:
    """No clear chirp may be left without its other."""
    strength = dict(hits)
    clear = [
        min(strength[p.first_s], strength[p.last_s])
        for p in pairs
        if p.first_s in strength and p.last_s in strength
    ]
    usual = min(clear, default=1.0)
    alone = [
        at
        for at, like in hits
        if like >= max(CLEAR, 0.8 * usual)
        and not any(p.first_s - 0.1 <= at <= p.last_s + 0.1 for p in pairs)
    ]
    if alone:
        raise MarkersNotFound(
            where=str(path),
            found=f"a chirp at {_clocks(alone)} without its other {spacing_s:.1f} s away; whole "
            f"sweeps at {_clocks([pair.first_s for pair in pairs])}",
            needed="every sweep from its first chirp to its last",
            todo="Play that position again; or cut the broken one out of a copy and add the rest.",
        )


def _keep_whole(job: Job, path: Path, visit: str) -> str:
    """A copy of the whole recording, as it came; its path within the job folder."""
    name = f"{digest(path)[:12]}-{plain_name(path.stem)}{ending_of(path)}"
    kept = f"takes/{visit}/whole/{name}"
    keep_beside(job.folder, kept, path)
    return kept


def _cut(path: Path, to: Path, from_s: float, to_s: float) -> None:
    """A stretch of a sound file, its samples as they are."""
    import soundfile

    with opened(path) as file:
        rate = file.samplerate
        first, last = max(round(from_s * rate), 0), min(round(to_s * rate), file.frames)
        floats = file.subtype in ("FLOAT", "DOUBLE")
        file.seek(first)
        samples = file.read(last - first, dtype="float64" if floats else "int32", always_2d=True)
        subtype = file.subtype if file.subtype in KEPT_SUBTYPES else "PCM_32"
    soundfile.write(to, samples, rate, subtype=subtype)


def _seconds(path: Path) -> float:
    """Length, of a file that does not say it by reading it. [s]"""
    with opened(path) as file:
        if file.frames < UNTOLD:
            return float(file.frames / file.samplerate)
        rate = int(file.samplerate)
    return sum(len(block) for block in blocks(path)) / rate


def _sweeps_found(stretches: Sequence[Stretch]) -> str:
    starts = _clocks([stretch.first_s for stretch in stretches])
    return f"{len(stretches)} sweeps, first chirps at {starts}"


def _clocks(times_s: Sequence[float]) -> str:
    return ", ".join(_clock(time_s) for time_s in times_s)


def _clock(seconds: float) -> str:
    return f"{int(seconds) // 60}:{seconds % 60:04.1f}"
