"""The names that scripts outside rely on, and what `dir` and `help` show of them."""

from __future__ import annotations

import pydoc
import subprocess
import sys

import numpy as np
import pytest

import roomcheck

FLAT = (
    *("band_hz", "edt_s", "t20_s", "t30_s", "t20_sd_s", "t30_sd_s", "c50_db", "c80_db", "d50"),
    *("ts_s", "range_db", "curvature_pct", "reasons"),
)


@pytest.fixture(scope="module")
def ir() -> roomcheck.ImpulseResponse:
    """White noise that falls by 60 dB in 0.5 s."""
    t = np.arange(48_000) / 48_000
    noise = np.random.default_rng(1).standard_normal(len(t))
    return roomcheck.ImpulseResponse(samples=noise * 10 ** (-3 * t / 0.5), rate_hz=48_000)


def test_a_sweep_played_back_is_an_impulse_response():
    sweep = roomcheck.Sweep(low_hz=20, high_hz=20_000, seconds=2, rate_hz=48_000)
    assert sweep.samples.shape == (96_000,)
    recording = np.concatenate([sweep.samples, np.zeros(24_000)])
    response = roomcheck.impulse_response(recording, sweep)
    assert isinstance(response, roomcheck.ImpulseResponse) and response.rate_hz == 48_000


@pytest.mark.parametrize(("fraction", "bands"), [(1, 7), (3, 21)])
def test_decays_have_their_flat_names(ir, fraction, bands):
    decays = roomcheck.decays(ir, fraction=fraction)
    assert isinstance(decays, tuple) and len(decays) >= bands
    for band in decays:
        assert isinstance(band, roomcheck.BandDecay)
        assert all(hasattr(band, name) for name in FLAT)
    (khz,) = (band for band in decays if band.band_hz == 1000)
    assert abs(khz.t20_s - 0.5) < 3 * khz.t20_sd_s < 0.3  # one draw of noise: ISO 3382-2, 7.1
    assert isinstance(khz.t20_s, float) and khz.range_db > 35


def test_an_impulse_response_is_read_from_a_file(ir, tmp_path):
    import soundfile

    soundfile.write(tmp_path / "room.wav", 0.1 * ir.samples, 48_000, subtype="FLOAT")
    read = roomcheck.load_impulse_response(str(tmp_path / "room.wav"))
    assert read.rate_hz == 48_000 and len(read.samples) == 48_000


def test_a_block_diffuser_has_rows_and_counts():
    steps_m = (0, 0.0254, 0.0508, 0.0762, 0.1016)
    array = roomcheck.block_diffuser(
        width_m=0.6096, height_m=1.2192, cell_m=0.0381, steps_m=steps_m, seed=7
    )
    assert len(array.rows) == 32 and {len(row) for row in array.rows} == {16}
    assert sum(array.counts.values()) == 32 * 16 and set(array.counts) <= set(steps_m)


def test_a_job_is_loaded_and_opened(tmp_path):
    with pytest.raises(roomcheck.RoomcheckError):
        roomcheck.load_job(tmp_path)
    with pytest.raises(roomcheck.RoomcheckError):
        roomcheck.open_job(tmp_path)
    wanted = (
        *("before", "after", "verdict", "verdict_after", "plans", "plan", "prediction", "sheet"),
        *("quote", "agreement", "verification", "documents"),
    )
    assert all(hasattr(roomcheck.Chain, name) for name in wanted)


def test_dir_and_help_show_the_public_names():
    page = pydoc.render_doc(roomcheck, renderer=pydoc.plaintext)
    for name in roomcheck.__all__:
        assert name in dir(roomcheck) and name in page, name
        assert getattr(roomcheck, name).__doc__, name


def test_the_stub_names_what_the_front_door_finds():
    from pathlib import Path

    stub = Path(roomcheck.__file__).with_suffix(".pyi").read_text("utf-8")
    assert {line.split()[-1] for line in stub.splitlines() if " as " in line} == {
        *roomcheck.__all__
    }
    assert Path(roomcheck.__file__).with_name("py.typed").exists()


def test_a_verb_is_the_same_before_and_after_its_stage_was_imported():
    code = (
        "import roomcheck; first = roomcheck.judge; import roomcheck.judge as second;"
        "from roomcheck.judge import judge; assert first is second is roomcheck.judge;"
        "assert callable(first) and first.judge is judge; import roomcheck.verify;"
        "assert callable(roomcheck.verify)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
