"""Microphone files as laboratories write them, and what they do to a response."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import minimum_phase

from roomcheck.errors import Mistakes, RoomcheckError
from roomcheck.measure.files.correction import corrected, read_correction
from roomcheck.measure.signal.signals import ImpulseResponse

RATE_HZ = 48_000
GOOD = {
    "spaces": "* made-up microphone, serial 1234\n20 -1.5\n1000   0.0\n20000\t2.25\n",
    "commas": "20, -1.5\r\n1000, 0.0\r\n20000, 2.25\r\n",
    "bare commas": "Frequency,Level\n20,-1.5\n1000,0.0\n20000,2.25\n",
    "decimal commas": "# Mikrofon\n20,0\t-1,5\n1000,0\t0,0\n20000,0\t2,25\n",
    "semicolons": '"Frequency"\n20;-1,5\n1000;0\n20000;2,25\n',
    "three columns": "20 -1.5 10\n1000 0 0\n20000 2.25 -30\n",
}


def put(tmp_path, text, name="mic.txt"):
    path = tmp_path / name
    path.write_bytes(text.encode("utf-8"))
    return path


@pytest.mark.parametrize("text", GOOD.values(), ids=GOOD)
def test_a_microphone_file_is_read_however_its_columns_are_parted(tmp_path, text):
    found = read_correction(put(tmp_path, text))
    assert found.frequency_hz == (20, 1000, 20_000)
    assert found.gain_db == (-1.5, 0, 2.25)
    assert (found.phase_deg is None) == ("10\n" not in text)


def test_every_bad_line_is_named(tmp_path):
    text = "# head\n20 0.1\n25 none\n31.5\n40 0.2 1 2 3\n50 nan\n45 0.1\n-3 0.1\n63 900\n80 0.2\n"
    with pytest.raises(Mistakes) as caught:
        read_correction(put(tmp_path, text))
    told = str(caught.value)
    for line in (3, 4, 5, 6, 8, 9):
        assert f"line {line}: " in told
    assert "line 2:" not in told
    assert "'none' is no number" in told


def test_frequencies_must_rise(tmp_path):
    with pytest.raises(Mistakes, match=r"line 3: .*does not rise above 40 Hz"):
        read_correction(put(tmp_path, "20 0\n40 0\n30 0\n"))


@pytest.mark.parametrize("text", ["", "# only words\n", "1000 0.2\n"])
def test_a_file_without_a_curve_is_refused(tmp_path, text):
    with pytest.raises(RoomcheckError, match="two or more lines"):
        read_correction(put(tmp_path, text))


def test_a_missing_file_is_said_plainly(tmp_path):
    with pytest.raises(RoomcheckError, match="there is no such file"):
        read_correction(tmp_path / "none.txt")


def test_the_microphone_is_taken_out_of_a_response(tmp_path):
    # A minimum-phase microphone made by scipy from a curve of +6 dB at 10 kHz; what comes out must
    # be flat again.
    hz = np.geomspace(20, 24_000, 200)
    gain_db = 6 * np.exp(-(np.log2(hz / 10_000) ** 2))
    rows = "\n".join(f"{f:.3f} {g:.4f}" for f, g in zip(hz, gain_db, strict=True))
    grid = np.linspace(0, RATE_HZ / 2, 2049)
    wanted = 10 ** (np.interp(np.log(np.maximum(grid, 1)), np.log(hz), gain_db) / 20)
    linear = np.fft.irfft(wanted**2)
    microphone = minimum_phase(np.roll(linear, 2048)[1:], method="homomorphic", half=True)
    x = np.zeros(8192)
    x[100] = 1
    heard = np.convolve(x, microphone)[:8192]
    flat = corrected(
        ImpulseResponse(samples=heard, rate_hz=RATE_HZ), read_correction(put(tmp_path, rows))
    ).samples
    level_db = 20 * np.log10(np.abs(np.fft.rfft(flat)))
    at = np.fft.rfftfreq(8192, 1 / RATE_HZ)
    assert np.ptp(20 * np.log10(np.abs(np.fft.rfft(heard)))[(at > 50) & (at < 20_000)]) > 5
    assert np.abs(level_db[(at > 50) & (at < 20_000)]).max() < 0.1
    # Nothing new ahead of the direct sound, and the direct sound where it was.
    assert np.argmax(np.abs(flat)) == 100
    assert np.sum(flat[:95] ** 2) < 1e-4 * np.sum(flat**2)


def test_a_phase_column_is_used(tmp_path):
    # A pure delay of one sample is a phase of -360 f / rate degrees.
    hz = np.geomspace(20, 24_000, 400)
    rows = "\n".join(f"{f:.3f} 0 {-360 * f / RATE_HZ:.4f}" for f in hz)
    x = np.zeros(4096)
    x[101] = 1
    out = corrected(
        ImpulseResponse(samples=x, rate_hz=RATE_HZ), read_correction(put(tmp_path, rows))
    ).samples
    assert np.argmax(np.abs(out)) == 100
    assert out[100] == pytest.approx(1, abs=0.02)
