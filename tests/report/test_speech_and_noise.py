"""Speech index and noise in the measurement report: every number that is known, its reference, and
no number else."""

from __future__ import annotations

from dataclasses import replace

from promises import a_visit
from roomcheck.analyse import NoiseLevel, SpeechIndex, SpeechReason, SpeechRemark
from roomcheck.facts import fact
from roomcheck.measure import NO_FULL_SCALE
from roomcheck.report.pages.speech_and_noise import speech_and_noise
from roomcheck.report.render.blocks import Bullets, Table, Text
from roomcheck.standards.iec_60268_16_2020 import Rating

NOISE = NoiseLevel(
    take="noise-1.wav",
    conditions="ventilation on",
    seconds=30.0,
    absolute=False,
    reference=NO_FULL_SCALE,
    octaves_db=((63.0, -50.0), (125.0, -61.0)),
    a_weighted_db=-64.2,
    nc=None,
    nr=None,
)


def test_what_is_known_is_shown_and_says_what_it_is_relative_to() -> None:
    bare = a_visit("before", {500.0: (0.6, 0.61)})
    assert speech_and_noise(bare) == (Text(body="Background noise was not measured."),)
    first = replace(
        bare.positions[0],
        speech=SpeechIndex(
            sti=0.612, rating=Rating.GOOD, bands=(), remarks=(fact(SpeechRemark.WITHOUT_NOISE),)
        ),
    )
    second = replace(
        bare.positions[1],
        speech=SpeechIndex(sti=None, rating=None, bands=(), withheld=(fact(SpeechReason.SILENCE),)),
    )
    found = speech_and_noise(replace(bare, positions=(first, second), noise=(NOISE,)))
    speech, noise, octaves = (block for block in found if isinstance(block, Table))
    assert speech.rows == (("S1, P1", "0.61", "at best good"),)
    assert "Without noise" in speech.note and "Silence" not in speech.note
    assert noise.rows == (("ventilation on", "−64 dB(A) re full scale", "–", "–", "63 Hz, −50 dB"),)
    assert octaves.rows[0][:3] == ("ventilation on", "−50", "−61")
    bullets = [item for block in found if isinstance(block, Bullets) for item in block.items]
    assert bullets[0].endswith(": Silence: the record holds no sound at all.")
    assert bullets[1].startswith("ventilation on: relative")
