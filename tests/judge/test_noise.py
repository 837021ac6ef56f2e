"""Noise and the speech transmission index as findings."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import pytest
from test_judge import a_room

from roomcheck.judge import Remedy
from roomcheck.judge.findings.noise import low_speech_index, too_noisy
from roomcheck.standards import target_for
from roomcheck.standards.curves.nc_1957 import nc
from roomcheck.standards.curves.noise_curves import NoiseRating
from roomcheck.standards.curves.nr_as_1469_1983 import nr


@dataclass(frozen=True)
class Recorded:
    octaves_db: tuple[tuple[float, float], ...]
    a_weighted_db: float = 38.0
    absolute: bool = True
    conditions: str = "ventilation on"

    @property
    def nc(self) -> NoiseRating | None:
        return nc(dict(self.octaves_db))

    @property
    def nr(self) -> NoiseRating | None:
        return nr(dict(self.octaves_db))


@dataclass(frozen=True)
class Most:
    family: str = "NC"
    value: float = 25.0
    source: str = "common practice"


# NC-30 as it stands in two stored copies: 57 48 41 35 31 29 28 27 dB.
NC_30 = tuple(
    zip((63, 125, 250, 500, 1000, 2000, 4000, 8000), (57, 48, 41, 35, 31, 29, 28, 27), strict=True)
)


def test_noise_over_its_limit_is_no_panel_job():
    finding = too_noisy([Recorded(NC_30)], Most())
    assert finding is not None
    assert finding.measured["family"] == "NC"
    assert finding.measured["level"] == pytest.approx(30)
    assert finding.measured["limit"] == 25
    assert Remedy.VENTILATION_FIRM in [remedy.kind for remedy in finding.remedies]


def test_quiet_enough_uncalibrated_or_without_a_limit_is_no_finding():
    assert too_noisy([Recorded(NC_30)], Most(value=30.0)) is None
    assert too_noisy([Recorded(NC_30, absolute=False)], Most()) is None
    assert too_noisy([Recorded(NC_30)], None) is None
    assert too_noisy([], Most()) is None


def test_a_whistle_is_named():
    loud = tuple((hz, level + (15 if hz == 1000 else 0)) for hz, level in NC_30)
    finding = too_noisy([Recorded(loud)], Most())
    assert finding is not None
    assert finding.measured["tone_hz"] == 1000


def test_noise_above_the_published_curves_counts():
    finding = too_noisy([Recorded(tuple((hz, level + 20) for hz, level in NC_30))], Most())
    assert finding is not None
    assert finding.measured["level"] == 40 and finding.measured["curves_end"] is True


def test_a_rating_within_the_curves_and_one_in_dba_are_no_end_of_curves():
    rated = too_noisy([Recorded(NC_30)], Most())
    weighted = too_noisy([Recorded(NC_30, a_weighted_db=38.0)], Most(family="dB(A)", value=30.0))
    assert rated is not None and rated.measured["curves_end"] is False
    assert weighted is not None and weighted.measured["curves_end"] is False
    assert (weighted.measured["level"], weighted.measured["limit"]) == (38, 30)
    assert "band_hz" not in dict(weighted.measured.values)
    assert rated.beyond_jnd == pytest.approx(weighted.beyond_jnd * 5 / 8)


def heard(*indices: float | None) -> SimpleNamespace:
    rows = [
        SimpleNamespace(source="S1", microphone=f"P{i}", speech=SimpleNamespace(sti=sti))
        for i, sti in enumerate(indices)
    ]
    return SimpleNamespace(positions=rows)


def test_speech_is_hard_to_follow_below_0_60():
    # IEC 60268-16 ratings, as a meter's manual has them: fair from 0.45, good from 0.60.
    target = target_for("meeting room", 50)
    finding = low_speech_index(heard(0.52, 0.48, None), target)
    assert finding is not None
    assert finding.measured["sti"] == pytest.approx(0.50)
    assert (finding.measured["source"], finding.measured["microphone"]) == ("S1", "P1")
    assert finding.measured["least_sti"] == pytest.approx(0.48)
    assert low_speech_index(heard(0.66, 0.70), target) is None
    assert low_speech_index(heard(0.59), target) is None  # less than one just hears below 0.60
    assert low_speech_index(heard(0.50), target_for("control room", 50)) is None
    assert low_speech_index(a_room(0.27), target) is None
