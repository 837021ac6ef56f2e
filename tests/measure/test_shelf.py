"""A recording is heard once: what is kept of it is what would be made of it anew."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.facts import fact
from roomcheck.measure import ImpulseResponse, Sweep, TakeCheck
from roomcheck.measure.checks.listening import Decisions
from roomcheck.measure.files.played import Played
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.signals import LOSSY
from roomcheck.measure.visit.shelf import MOST_KEPT, heard_once, keep_heard, keeping

PLAYED = Played(sweep=Sweep(low_hz=50, high_hz=5000, seconds=0.5, rate_hz=16_000))
CHECK = TakeCheck(
    keep=True,
    reasons=(),
    warnings=(fact(Take.CLOCK_CORRECTED, drift_ppm=31.25),),
    peak_dbfs=-6.02,
    noise_dbfs=None,
)


class Ear:
    """Hears the same each time, and counts how often."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self):
        self.times += 1
        samples = np.random.default_rng(5).standard_normal(3000) / 3
        first = ImpulseResponse(samples=samples, rate_hz=16_000)
        second = ImpulseResponse(samples=samples[:7], rate_hz=16_000, limits=LOSSY)
        return (first, second), CHECK, 2


def heard(ear, sha256="a1", decisions=Decisions(channel=2)):  # noqa: B008
    return heard_once(sha256, PLAYED, decisions, ear)


def same(one, other):
    assert [r.samples.tobytes() for r in one[0]] == [r.samples.tobytes() for r in other[0]]
    assert [(r.rate_hz, r.limits) for r in one[0]] == [(r.rate_hz, r.limits) for r in other[0]]
    assert one[1:] == other[1:]


def test_it_is_heard_once_and_is_the_same(tmp_path):
    ear = Ear()
    with keeping(tmp_path, "method"):
        first, second = heard(ear), heard(ear)
    assert ear.times == 1
    same(first, second)
    same(second, Ear()())


@pytest.mark.parametrize(
    ("sha256", "decisions", "method"),
    [
        ("b2", Decisions(channel=2), "method"),
        ("a1", Decisions(channel=1), "method"),
        ("a1", Decisions(channel=2, away_m=2.0), "method"),
        ("a1", Decisions(channel=2), "another method"),
    ],
)
def test_what_it_depends_on_is_heard_anew(tmp_path, sha256, decisions, method):
    ear = Ear()
    with keeping(tmp_path, "method"):
        heard(ear)
    with keeping(tmp_path, method):
        heard(ear, sha256, decisions)
    assert ear.times == 2


@pytest.mark.parametrize("damage", [lambda data: data[:-9], lambda data: b"{}\n", lambda _: b""])
def test_a_damaged_file_is_made_anew(tmp_path, damage):
    ear = Ear()
    with keeping(tmp_path, "method"):
        heard(ear)
        (path,) = tmp_path.iterdir()
        whole = path.read_bytes()
        path.write_bytes(damage(whole))
        same(heard(ear), Ear()())
    assert ear.times == 2
    assert path.read_bytes() == whole


def test_what_another_method_made_is_taken_away(tmp_path):
    for method in ("an old one", "a new one"):
        with keeping(tmp_path, method):
            heard(Ear())
    (path,) = tmp_path.iterdir()
    assert path.name.startswith("a new on-")


def test_what_came_in_is_known_when_its_take_is_read(tmp_path):
    ear = Ear()
    with keeping(tmp_path, "method"):
        keep_heard("a1", PLAYED, Decisions(), ear())
        heard(ear)
    assert ear.times == 1


def test_nothing_is_kept_elsewhere_and_not_without_end(tmp_path):
    ear = Ear()
    heard(ear), heard(ear)
    assert ear.times == 2
    with keeping(tmp_path, "method"):
        for i in range(MOST_KEPT + 5):
            heard(ear, f"{i}")
    assert len(list(tmp_path.iterdir())) == MOST_KEPT
