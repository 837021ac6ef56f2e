"""Telephone memos: read where PyAV is there, limited to what they carry, and said how to convert
where it is not."""

from __future__ import annotations

import sys

import numpy as np
import pytest

import roomcheck
from roomcheck.measure import Sweep, Take, add_recording, measure
from roomcheck.measure.faults import EmptyRecording, NotAudio, RecordingError, WrongRate
from roomcheck.measure.files.audio import load_impulse_response, read_audio

RATE_HZ = 48_000


def memo(path, samples, rate_hz=RATE_HZ, codec="aac", container=None):
    """A telephone's file, made with PyAV itself."""
    av = pytest.importorskip("av")
    with av.open(str(path), "w", format=container) as out:
        stream = out.add_stream(codec, rate=rate_hz)
        stream.codec_context.layout = "mono"
        stream.bit_rate = 128_000
        made = {"aac": "fltp", "alac": "s16p", "pcm_s16le": "s16"}[codec]
        stream.codec_context.format = made
        kind = np.float32 if made == "fltp" else np.int16
        values = samples if kind is np.float32 else np.round(samples * 32_767)
        frame = av.AudioFrame.from_ndarray(values.astype(kind)[None, :], format=made, layout="mono")
        frame.sample_rate = rate_hz
        for packet in (*stream.encode(frame), *stream.encode(None)):
            out.mux(packet)
    return path


TONE = 0.3 * np.sin(2 * np.pi * 1000 * np.arange(2 * RATE_HZ) / RATE_HZ)


@pytest.mark.parametrize(
    ("name", "codec", "container", "lossy"),
    [("a.m4a", "aac", "ipod", True), ("a.aac", "aac", "adts", True), ("a.caf", "pcm_s16le", "caf", False),
     ("b.m4a", "alac", "ipod", False)],
)  # fmt: skip
def test_a_telephone_s_file_is_read(tmp_path, name, codec, container, lossy):
    audio = read_audio(memo(tmp_path / name, TONE, codec=codec, container=container))
    assert audio.rate_hz == RATE_HZ
    assert audio.lossy is lossy
    middle = audio.mono(1, RATE_HZ // 2, RATE_HZ)
    assert np.sqrt(np.mean(middle**2)) == pytest.approx(0.3 / np.sqrt(2), rel=0.02)
    # 1000 periods in a second.
    assert np.argmax(np.abs(np.fft.rfft(middle))) == 500


def test_a_lossy_take_is_kept_and_gives_no_more_than_it_carries(job, tmp_path, helpers):
    sweep = Sweep(low_hz=40, high_hz=18_000, seconds=4, rate_hz=RATE_HZ)
    y = helpers.make_take(sweep, helpers.make_room(0.5, seed=4))
    path = memo(tmp_path / "memo.m4a", y, container="ipod")
    before = path.read_bytes()
    added = add_recording(job, path, visit="before", source="S1", microphone="P1", sweep=sweep)
    assert path.read_bytes() == before == (job.folder / added.take).read_bytes()
    assert added.check.keep, added.check.reasons
    assert Take.LOSSY_FILE in [warning.kind for warning in added.check.warnings]
    (found,) = measure(job, "before")
    bands = {band.band_hz: band for band in roomcheck.decays(found.response)}
    for hz in (500, 1000, 2000):
        # Chance alone: 0.88 / sqrt(B T), ISO 3382-2.
        assert bands[hz].t20_s == pytest.approx(0.5, rel=3 * 0.88 / np.sqrt(0.707 * hz * 0.5))
        assert (bands[hz].edt_s, bands[hz].c50_db) == (None, None)
    for hz in (63, 125, 250, 4000, 8000):
        assert bands[hz].t20_s is None
        assert "lossy" in bands[hz].reasons[0]


def test_without_pyav_it_is_said_how_to_convert(tmp_path, monkeypatch):
    path = memo(tmp_path / "a.m4a", TONE, container="ipod")
    monkeypatch.setitem(sys.modules, "av", None)
    with pytest.raises(NotAudio, match=r"roomcheck\[memo\]") as caught:
        read_audio(path)
    assert "convert" in caught.value.todo


def test_broken_memos_are_said(tmp_path):
    path = memo(tmp_path / "a.m4a", TONE, container="ipod")
    (tmp_path / "cut.m4a").write_bytes(path.read_bytes()[:3000])
    (tmp_path / "text.m4a").write_bytes(b"Dear client, here is the room. " * 10)
    (tmp_path / "empty.m4a").write_bytes(b"")
    for name in ("cut", "text"):
        with pytest.raises(RecordingError):
            read_audio(tmp_path / f"{name}.m4a")
    with pytest.raises(EmptyRecording):
        read_audio(tmp_path / "empty.m4a")


def test_a_rate_too_low_is_said(tmp_path):
    path = memo(tmp_path / "slow.m4a", TONE[: 2 * 8000], rate_hz=8000, container="ipod")
    with pytest.raises(WrongRate, match="8000 Hz"):
        load_impulse_response(path)
