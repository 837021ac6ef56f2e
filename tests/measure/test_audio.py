"""Sound files that are right, and every way in which they can be wrong."""

from __future__ import annotations

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
    off = audio.samples[: len(CLICK), 0] - CLICK
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
    samples, channel, said = choose_channel(audio)
    assert channel == 2
    assert said == fact(Take.ONLY_CHANNEL, channel=2)
    assert samples == pytest.approx(CLICK, abs=1e-7)
    _, channel, said = choose_channel(
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
    samples, channel, _ = choose_channel(audio, channels)
    assert channel == channels
    assert samples == pytest.approx(CLICK * gains[-1], abs=1e-6)
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
