"""Sound files that are right, and every way in which they can be wrong."""

from __future__ import annotations

import os
import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf

import roomcheck
from roomcheck.facts import fact
from roomcheck.measure import Take
from roomcheck.measure.faults import (
    ChooseChannel,
    EmptyRecording,
    NotAudio,
    NotFinite,
    RecordingError,
    TruncatedRecording,
    WrongRate,
)
from roomcheck.measure.files.audio import choose_channel, load_impulse_response, read_audio

RATE_HZ = 48_000
CLICK = np.concatenate(
    [np.zeros(2000), 0.5 * np.exp(-np.arange(40_000) / 4000) * np.cos(np.arange(40_000) * 0.3)]
)


def written(path: Path, samples: np.ndarray = CLICK, rate_hz: int = 48_000, **kind: str) -> Path:
    sf.write(path, samples, rate_hz, **kind)
    return path


@pytest.mark.parametrize(
    ("name", "rate_hz", "within"),
    [
        ("a.wav", 44_100, 1e-3),
        ("a.flac", 96_000, 1e-3),
        ("a.aiff", 48_000, 1e-3),
        ("a.ogg", 48_000, 0.15),
        ("a.mp3", 44_100, 0.15),
    ],
)
def test_every_promised_format_is_read_at_its_rate(tmp_path, name, rate_hz, within):
    audio = read_audio(written(tmp_path / name, rate_hz=rate_hz))
    assert audio.rate_hz == rate_hz
    assert audio.lossy == name.endswith(("ogg", "mp3"))
    off = audio.mono(1, 0, len(CLICK)) - CLICK
    assert np.linalg.norm(off) / np.linalg.norm(CLICK) < within


def test_a_response_file_is_taken_as_it_is(tmp_path):
    response = load_impulse_response(written(tmp_path / "ir.wav", rate_hz=44_100, subtype="FLOAT"))
    assert response.rate_hz == 44_100
    assert response.samples == pytest.approx(CLICK, abs=1e-7)


def test_the_channel_with_signal_is_found_and_same_channels_are_one(tmp_path):
    quiet = 1e-5 * np.random.default_rng(0).standard_normal(len(CLICK))
    audio = read_audio(
        written(tmp_path / "a.wav", np.stack([quiet, CLICK, quiet], axis=1), subtype="FLOAT")
    )
    channel, said = choose_channel(audio)
    assert channel == 2
    assert said == fact(Take.ONLY_CHANNEL, channel=2)
    assert audio.mono(channel) == pytest.approx(CLICK, abs=1e-7)
    channel, said = choose_channel(
        read_audio(written(tmp_path / "b.wav", np.stack([CLICK, CLICK], axis=1)))
    )
    assert channel == 1
    assert said == fact(Take.CHANNELS_ALIKE, channels=2)


@pytest.mark.parametrize("channels", [2, 32])
def test_several_channels_with_signal_are_listed_with_their_levels(tmp_path, channels):
    gains = 10 ** (-np.arange(channels) / 20)
    path = written(tmp_path / "a.wav", CLICK[:, None] * gains, subtype="FLOAT")
    audio = read_audio(path)
    with pytest.raises(ChooseChannel) as caught:
        choose_channel(audio)
    rms_db = 20 * np.log10(np.sqrt(np.mean(CLICK**2)))
    assert caught.value.levels_dbfs == pytest.approx(
        [rms_db - i for i in range(channels)], abs=0.01
    )
    assert "--channel" in str(caught.value)
    channel, _ = choose_channel(audio, channels)
    assert channel == channels
    assert audio.mono(channel) == pytest.approx(CLICK * gains[-1], abs=1e-6)
    for none in (0, channels + 1):
        with pytest.raises(ChooseChannel, match=f"no channel {none}"):
            choose_channel(audio, none)


def bad_files(folder: Path) -> dict[str, tuple[Path, type[RecordingError]]]:
    rng = np.random.default_rng(1)
    made: dict[str, tuple[Path, type[RecordingError]]] = {}

    def add(
        name: str, kind: type[RecordingError], data: bytes | None = None, **how: object
    ) -> None:
        path = folder / name
        if data is None:
            written(path, **how)  # type: ignore[arg-type]
        else:
            path.write_bytes(data)
        made[name] = (path, kind)

    add("text.wav", NotAudio, b"Dear client,\nplease find attached")
    add("noise.wav", NotAudio, rng.bytes(4000))
    add("memo.m4a", NotAudio, b"\0\0\0\x20ftypM4A " + rng.bytes(4000))
    add("empty.wav", EmptyRecording, b"")
    add("none.wav", EmptyRecording, samples=np.zeros(0))
    add("zeros.wav", EmptyRecording, samples=np.zeros(48_000))
    add(
        "silent.wav",
        EmptyRecording,
        samples=1e-4 * rng.standard_normal(48_000) * 0.5,
        subtype="FLOAT",
    )
    add(
        "nan.wav",
        NotFinite,
        samples=np.where(np.arange(len(CLICK)) == 4800, np.nan, CLICK),
        subtype="FLOAT",
    )
    add(
        "inf.wav",
        NotFinite,
        samples=np.where(np.arange(len(CLICK)) == 4800, np.inf, CLICK),
        subtype="FLOAT",
    )
    add("slow.wav", WrongRate, rate_hz=8000)
    for name in ("cut.wav", "cut.flac", "cut.aiff"):
        whole = written(folder / f"whole.{name[4:]}").read_bytes()
        add(name, TruncatedRecording, whole[: len(whole) // 2])
    add("head.wav", TruncatedRecording, written(folder / "whole.wav").read_bytes()[:30])
    made["missing.wav"] = (folder / "missing.wav", NotAudio)
    made["folder"] = (folder, NotAudio)
    return made


NAMES = [
    *(
        "text.wav",
        "noise.wav",
        "memo.m4a",
        "empty.wav",
        "none.wav",
        "zeros.wav",
        "silent.wav",
        "nan.wav",
        "inf.wav",
    ),
    *("slow.wav", "cut.wav", "cut.flac", "cut.aiff", "head.wav", "missing.wav", "folder"),
]


@pytest.mark.parametrize("name", NAMES)
def test_bad_files_say_where_what_and_what_to_do(tmp_path, name):
    path, kind = bad_files(tmp_path)[name]
    with pytest.raises(kind) as caught:
        load_impulse_response(path)
    error = caught.value
    assert isinstance(error, roomcheck.RoomcheckError)
    assert str(path) in error.where
    assert error.found in str(error)
    assert error.needed in str(error)
    assert error.todo in str(error)
    if kind is NotFinite:
        assert "0.100 s" in error.found


def flac_of_length(data: bytes, frames: int) -> bytes:
    """A FLAC file whose header claims so many frames: 36 bits of STREAMINFO, RFC 9639, 8.2."""
    claimed = (int.from_bytes(data[18:26], "big") >> 36 << 36) | frames
    return data[:18] + claimed.to_bytes(8, "big") + data[26:]


def test_a_streamed_flac_is_read_to_its_end(tmp_path):
    data = written(tmp_path / "a.flac").read_bytes()
    (tmp_path / "streamed.flac").write_bytes(flac_of_length(data, 0))
    audio = read_audio(tmp_path / "streamed.flac")
    assert audio.frames == len(CLICK)
    assert audio.mono(1) == pytest.approx(read_audio(tmp_path / "a.flac").mono(1), abs=0)


def test_a_format_that_cannot_seek_is_read_to_its_end(tmp_path):
    audio = read_audio(written(tmp_path / "gsm.wav", rate_hz=44_100, subtype="GSM610"))
    assert audio.frames >= len(CLICK)


def wav_head(rate_hz: int, channels: int, said: int) -> bytes:
    rest = struct.pack("<IHHIIHH", 16, 1, channels, rate_hz, 0, 2 * channels, 16)
    return b"RIFF" + struct.pack("<I", 36) + b"WAVEfmt " + rest + b"data" + struct.pack("<I", said)


HOSTILE = {
    "a flac that claims 2^36 - 1": ("a.flac", lambda d: flac_of_length(d, (1 << 36) - 1)),
    "a flac that claims 4.1e9": ("a.flac", lambda d: flac_of_length(d, 4_100_000_000)),
    "a wav that claims 4 GiB": ("a.wav", lambda d: wav_head(48_000, 1, 2**32 - 256) + d[44:]),
    "a rate of nothing": ("a.wav", lambda d: wav_head(0, 1, len(d) - 44) + d[44:]),
    "a rate of no recorder": ("a.wav", lambda d: wav_head(2_000_000_000, 1, len(d) - 44) + d[44:]),
    "no channels": ("a.wav", lambda d: wav_head(48_000, 0, len(d) - 44) + d[44:]),
    "1024 channels": ("a.wav", lambda d: wav_head(48_000, 1024, 40 * 2048) + d[44 : 44 + 40 * 2048]),
    "samples without a header": ("a.raw", lambda d: d),
}  # fmt: skip


@pytest.mark.parametrize(("name", "spoil"), HOSTILE.values(), ids=HOSTILE)
def test_what_a_header_claims_is_checked_before_memory_is_asked_for(tmp_path, name, spoil):
    kind = {"format": "RAW"} if name.endswith("raw") else {}
    data = written(tmp_path / f"good.{name[2:]}", subtype="PCM_16", **kind).read_bytes()
    (tmp_path / name).write_bytes(spoil(data))
    with pytest.raises(RecordingError):
        read_audio(tmp_path / name)


ODD = {
    "a pipe": lambda path: os.mkfifo(path),  # noqa: PLW0108 - Windows has none
    "a loop": lambda path: path.symlink_to(path),
    "a link to nothing": lambda path: path.symlink_to("nothing"),
    "a folder": lambda path: path.mkdir(),
    "a device": lambda path: path.symlink_to("/dev/zero"),
}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with names")
@pytest.mark.parametrize("make", ODD.values(), ids=ODD)
def test_what_is_no_file_is_refused_at_once(tmp_path, make):
    make(tmp_path / "a.wav")
    with pytest.raises(NotAudio):
        read_audio(tmp_path / "a.wav")


@pytest.mark.parametrize("name", [b"bad\xff.wav", b"-a.wav", b"a.toml", "ü ~$`'.wav".encode()])
def test_a_recording_may_have_any_name(tmp_path, name):
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name))
    path.write_bytes(written(tmp_path / "good.wav").read_bytes())
    assert read_audio(path).frames == len(CLICK)


def test_a_long_record_is_read_part_by_part_and_is_the_same(tmp_path, monkeypatch):
    """The whole and its parts give the same channel, wherever the parts meet."""
    y = np.random.default_rng(2).uniform(-0.5, 0.5, (30_000, 3))
    path = written(tmp_path / "a.wav", y, subtype="FLOAT")
    whole = read_audio(path)
    monkeypatch.setattr("roomcheck.measure.files.audio.HELD_SAMPLES", 1000)
    monkeypatch.setattr("roomcheck.measure.files.sound_file.BLOCK_SAMPLES", 7001)
    parts = read_audio(path)
    assert whole.held is not None and parts.held is None
    assert parts.figures.peaks == pytest.approx(whole.figures.peaks, abs=0)
    for first, last in ((0, None), (11, 29_999), (2333, 2334), (29_990, 40_000)):
        assert np.array_equal(parts.mono(2, first, last), y[first:last, 1].astype(np.float32))


def test_memory_does_not_grow_with_the_file(tmp_path):
    """Twenty minutes at 48 kHz, 230 MB as 32-bit samples, in less than half of that."""
    with sf.SoundFile(tmp_path / "long.flac", "w", RATE_HZ, 1, "PCM_16") as file:
        for minute in range(20):
            file.write(np.full(60 * RATE_HZ, 300 + minute, dtype=np.int16))
    tracemalloc.start()
    try:
        assert read_audio(tmp_path / "long.flac").seconds == 1200
        assert tracemalloc.get_traced_memory()[1] < 100e6
    finally:
        tracemalloc.stop()


def test_a_header_that_sends_to_before_the_beginning_is_no_traceback(tmp_path, capfd):
    # libsndfile asks for whatever a damaged header names; a file then stays where it stood.
    from roomcheck.measure.files.sound_file import _Nameless

    path = tmp_path / "rec.w64"
    path.write_bytes(b"0123456789")
    with path.open("rb") as file:
        sound = _Nameless(file)
        assert sound.seek(4) == 4
        assert sound.seek(-9) == 4
        assert sound.seek(-1, 2) == 9
