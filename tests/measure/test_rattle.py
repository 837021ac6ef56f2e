"""Something that buzzes at one note of the sweep, and all that must not be taken for it."""

from __future__ import annotations

import numpy as np
import pytest

import rattles
from roomcheck.analyse.speech.rattles import common_rattles
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.measure.signal.signals import Buzz


# Level of the knocks' peak re full scale; the sweep itself is at -20 dB.
@pytest.mark.parametrize(("f_hz", "level_db"), [(84.0, -45.0), (150.0, -45.0), (240.0, -50.0)])
def test_a_loose_panel_is_found_at_its_note(f_hz, level_db):
    check = rattles.take(np.random.default_rng(1), buzz_hz=f_hz, buzz_dbfs=level_db)
    assert check.buzzes
    assert check.buzzes[0].frequency_hz == pytest.approx(f_hz, rel=0.04)
    assert check.buzzes[0].in_step > 2


@pytest.mark.parametrize("speaker", rattles.SPEAKERS)
@pytest.mark.parametrize("noise_dbfs", [-85.0, -60.0])
def test_clean_and_distorted_takes_buzz_nowhere(speaker, noise_dbfs):
    check = rattles.take(
        np.random.default_rng(2), speaker=rattles.SPEAKERS[speaker], noise_dbfs=noise_dbfs
    )
    assert check.buzzes == ()


def test_a_knock_is_not_in_step_with_the_sweep():
    check = rattles.take(np.random.default_rng(3), knock_hz=100.0)
    assert check.buzzes
    assert check.buzzes[0].in_step < 1.6


def taken(*buzzes: tuple[float, float]) -> Measurement:
    check = TakeCheck(
        keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0,
        buzzes=tuple(Buzz(frequency_hz=f, over_db=20.0, under_db=-40.0, in_step=step) for f, step in buzzes),
    )  # fmt: skip
    response = ImpulseResponse(samples=[1.0, 0.0], rate_hz=48_000)
    return Measurement(
        source="S1", microphone="P1", take=f"take {buzzes}", response=response, check=check
    )


def test_a_knock_in_one_take_is_no_rattle_and_a_buzz_in_two_is_one():
    assert common_rattles([taken((100.0, 1.1)), taken(), taken()]) == ()
    found = common_rattles([taken((84.0, 1.2)), taken((85.5, 1.1)), taken((200.0, 1.0))])
    assert [round(rattle.frequency_hz) for rattle in found] == [85]
    assert (len(found[0].takes), found[0].of) == (2, 3)
    assert len(common_rattles([taken((84.0, 6.0)), taken()])) == 1
