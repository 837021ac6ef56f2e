"""Something that buzzes at one note of the sweep, and all that must not be taken for it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve, lfilter

from roomcheck.analyse.rattles import common_rattles
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.measure.signals import Buzz

RATE = 48_000


def loose_panel(sweep, f_hz: float, level_db: float, *, seed: int = 5):
    """A resonance of Q 25 that knocks against its frame once a period while it swings far enough. (frames,)"""
    rng = np.random.default_rng(seed)
    w = 2 * np.pi * f_hz / RATE
    r = np.exp(-w / 50)
    swing = lfilter([1 - r], [1, -2 * r * np.cos(w), r * r], sweep.samples)
    past = np.maximum(swing / np.abs(swing).max() - 0.6, 0)
    knocks = np.zeros(len(past))
    on = np.flatnonzero((past[1:] > 0) & (past[:-1] == 0))
    knocks[on] = rng.uniform(0.5, 1.0, len(on))
    knock = rng.standard_normal(480) * np.exp(-np.arange(480) / RATE / 0.002)
    buzz = fftconvolve(knocks, knock)[: len(past)]
    return buzz / np.abs(buzz).max() * 10 ** (level_db / 20)


def a_take(sweep, room, helpers, *, buzz=None, knock_at_s=None, **more):
    y = helpers.make_take(sweep, room, **more)
    lead = RATE // 2
    if buzz is not None:
        heard = fftconvolve(buzz, room)
        y[lead : lead + len(heard)] += heard[: len(y) - lead]
    if knock_at_s is not None:
        begin = lead + int(knock_at_s * RATE)
        y[begin : begin + 2400] += (
            0.02 * np.random.default_rng(2).standard_normal(2400) * np.exp(-np.arange(2400) / 480)
        )
    return helpers.judge(y, sweep, bits=24)[1]


# Level of the knocks' peak re full scale; the sweep itself is at -20 dB.
@pytest.mark.parametrize(("f_hz", "level_db"), [(84.0, -45.0), (150.0, -45.0), (240.0, -50.0)])
def test_a_loose_panel_is_found_at_its_note(sweep, room, helpers, f_hz, level_db):
    check = a_take(sweep, room, helpers, buzz=loose_panel(sweep, f_hz, level_db))
    assert check.buzzes
    assert check.buzzes[0].frequency_hz == pytest.approx(f_hz, rel=0.04)
    assert check.buzzes[0].in_step > 2


@pytest.mark.parametrize(
    "speaker",
    [
        lambda x: x,
        lambda x: x + 0.1 * x**2 + 0.1 * x**3,
        lambda x: x + 0.5 * x**2 + 0.3 * x**3 + x**5,
        lambda x: np.clip(x, -0.6, 0.6),
    ],
    ids=["clean", "distorts", "distorts much", "clips"],
)
@pytest.mark.parametrize("noise_dbfs", [-85.0, -60.0])
def test_clean_and_distorted_takes_buzz_nowhere(sweep, room, helpers, speaker, noise_dbfs):
    assert a_take(sweep, room, helpers, speaker=speaker, noise_dbfs=noise_dbfs).buzzes == ()


def test_a_knock_is_not_in_step_with_the_sweep(sweep, room, helpers):
    check = a_take(sweep, room, helpers, knock_at_s=sweep.time_at_s(100))
    assert check.buzzes
    assert check.buzzes[0].in_step < 1.6


def taken(*buzzes: tuple[float, float]) -> Measurement:
    check = TakeCheck(
        keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0,
        buzzes=tuple(Buzz(frequency_hz=f, over_db=20.0, under_db=-40.0, in_step=step) for f, step in buzzes),
    )  # fmt: skip
    response = ImpulseResponse(samples=[1.0, 0.0], rate_hz=RATE)
    return Measurement(source="S1", microphone="P1", take=f"take {buzzes}", response=response, check=check)


def test_a_knock_in_one_take_is_no_rattle_and_a_buzz_in_two_is_one():
    assert common_rattles([taken((100.0, 1.1)), taken(), taken()]) == ()
    found = common_rattles([taken((84.0, 1.2)), taken((85.5, 1.1)), taken((200.0, 1.0))])
    assert [round(rattle.frequency_hz) for rattle in found] == [85]
    assert (len(found[0].takes), found[0].of) == (2, 3)
    assert len(common_rattles([taken((84.0, 6.0)), taken()])) == 1
