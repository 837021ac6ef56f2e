"""What roomcheck add and analyse show of background noise."""

from __future__ import annotations

import json

import numpy as np
import soundfile as sf
from scipy.signal import fftconvolve

from roomcheck.cli import main
from roomcheck.measure import Sweep, add_recording

RATE_HZ = 48_000


def run(capsys, *argv):
    code = main([str(arg) for arg in argv])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_noise_and_calibrator_come_in_by_add_and_show_in_analyse(job, tmp_path, helpers, capsys):
    sweep = Sweep(low_hz=40, high_hz=18_000, seconds=2, rate_hz=RATE_HZ)
    y = 0.1 * fftconvolve(np.pad(sweep.samples, (RATE_HZ // 2, RATE_HZ)), helpers.make_room(0.3))
    y += 1e-4 * np.random.default_rng(0).standard_normal(len(y))
    sf.write(tmp_path / "REC.wav", y, RATE_HZ, subtype="PCM_24")
    for microphone in ("P1", "P2"):
        add_recording(
            job,
            tmp_path / "REC.wav",
            visit="before",
            source="S1",
            microphone=microphone,
            sweep=sweep,
        )
    # White noise of 45 dB where 94 dB is -34 dB re full scale (mean square): 79 dB below, -83 dB.
    noise = 10 ** (-83 / 20) * np.random.default_rng(1).standard_normal(12 * RATE_HZ)
    sf.write(tmp_path / "NOISE.wav", noise, RATE_HZ, subtype="FLOAT")
    t = np.arange(4 * RATE_HZ) / RATE_HZ
    sf.write(
        tmp_path / "CAL.wav",
        np.sqrt(2) * 10 ** (-34 / 20) * np.sin(2e3 * np.pi * t),
        RATE_HZ,
        subtype="FLOAT",
    )
    code, out, _ = run(
        capsys,
        "add",
        job.folder,
        tmp_path / "NOISE.wav",
        "--visit",
        "before",
        "--noise",
        "HVAC off",
    )
    assert code == 0
    assert "relative" in out
    assert (
        run(
            capsys,
            "add",
            job.folder,
            tmp_path / "CAL.wav",
            "--visit",
            "before",
            "--calibrator",
            "94",
        )[0]
        == 0
    )
    code, out, _ = run(capsys, "analyse", job.folder, "--json")
    (found,) = json.loads(out)["analysis"]["noise"]
    assert found["absolute"]
    levels = dict(found["octaves_db"])
    # The 1 kHz octave, 708 to 1413 Hz, is 704.6 of 24000 Hz: 45 - 15.3 dB, closed form.
    assert abs(levels[1000] - 29.7) < 0.4
    code, out, _ = run(capsys, "analyse", job.folder, "--all")
    assert "20 µPa" in out
    assert (
        "too loud" in out
    )  # a podcast room: NC 20 by common practice; white noise of 45 dB is far above at 8 kHz
    assert "Delays count from the direct sound" in out


def test_add_needs_a_place_for_a_sweep(job, tmp_path, capsys):
    code, _, err = run(capsys, "add", job.folder, tmp_path / "REC.wav", "--visit", "before")
    assert code == 2
    assert "--source and --microphone are needed" in err
