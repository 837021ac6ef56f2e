"""What verified jobs teach: against Gaussian conditioning written the other way round, and against
its own promise."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from roomcheck.job import (
    FileMistakes,
    Lesson,
    Share,
    drop_lesson,
    keep_lesson,
    lesson_path,
    read_shop,
    unlearned_shop,
)
from roomcheck.job.read.learned import SHARED, factors, inflation
from roomcheck.job.read.shop_file import DEFAULT

HZ = 500.0


def lesson(
    job: str, off: float, pulls: dict[str, float], priors: dict[str, float], spread: float = 0.08
) -> Lesson:
    shares = tuple(
        Share(piece=name, count=4, pull=(pull,), prior=(priors[name],))
        for name, pull in pulls.items()
    )
    return Lesson(
        job=job, day="2026-06-15", bands_hz=(HZ,), off=(off,), spread=(spread,), shares=shares
    )


PRIORS = {"4 in panel": 0.15, "felt": 0.3}
LESSONS = [
    lesson("a", 0.10, {"4 in panel": -0.6}, PRIORS),
    lesson("b", 0.02, {"4 in panel": -0.3, "felt": -0.4}, PRIORS),
    lesson("c", -0.05, {"felt": -0.5}, PRIORS, spread=0.05),
]


def test_factors_agree_with_gaussian_conditioning_in_covariance_form() -> None:
    # A second method: K = P H' (H P H' + R)^-1, any textbook of statistics; the code adds
    # precisions instead.
    own = np.array([0.15, 0.3])
    P = np.diag(SHARED * own**2)
    H = np.array([[-0.6, 0.0], [-0.3, -0.4], [0.0, -0.5]])
    R = np.diag(np.array([0.08, 0.08, 0.05]) ** 2 + H**2 @ own**2 * (1 - SHARED))
    K = P @ H.T @ np.linalg.inv(H @ P @ H.T + R)
    mean, covariance = K @ [0.10, 0.02, -0.05], P - K @ H @ P
    found = factors(LESSONS, HZ)
    for i, name in enumerate(("4 in panel", "felt")):
        sd = np.sqrt(covariance[i, i] + (1 - SHARED) * own[i] ** 2)
        assert found[name] == pytest.approx((mean[i], sd))
        assert sd < own[i]
    assert found["4 in panel"][0] < 0  # decays came out too long: it absorbs less than computed


def test_the_order_of_jobs_does_not_matter() -> None:
    assert factors(LESSONS[::-1], HZ)["felt"] == pytest.approx(factors(LESSONS, HZ)["felt"])


def test_the_next_job_is_foreseen_nine_times_in_ten_and_ever_more_narrowly() -> None:
    # 1,000 made-up shops: each has its own factor, each job a little of its own; 1.645 standard
    # deviations hold 90 %.
    rng = np.random.default_rng(8)
    own, spread, runs = 0.2, 0.06, 1000
    inside, widths = dict.fromkeys((1, 3, 8), 0), {}
    for _ in range(runs):
        shop = rng.normal(0, own * np.sqrt(SHARED))
        said: list[Lesson] = []
        for n in range(1, 9):
            pull = -rng.uniform(0.2, 0.6)
            factor = shop + rng.normal(0, own * np.sqrt(1 - SHARED))
            said.append(
                lesson(
                    f"job {n}",
                    pull * factor + rng.normal(0, spread),
                    {"p": pull},
                    {"p": own},
                    spread,
                )
            )
            if n in inside:
                mean, sd = factors(said, HZ)["p"]
                inside[n] += (
                    abs(shop + rng.normal(0, own * np.sqrt(1 - SHARED)) - mean) < 1.645 * sd
                )
                widths[n] = sd
    # Three standard deviations of a share of 0.9 over 1,000 runs are 0.028.
    assert all(abs(count / runs - 0.9) < 0.03 for count in inside.values()), inside
    assert own > widths[1] > widths[3] > widths[8]


def test_a_shop_far_off_is_believed_once_several_jobs_say_so() -> None:
    # Pieces that absorb a quarter less than computed, ln 0.75 = -0.288, against a prior of 0.06:
    # five deviations.
    rng = np.random.default_rng(3)
    own, spread, true = 0.06, 0.05, np.log(0.75)
    inside = {1: 0, 10: 0}
    for _ in range(300):
        said = []
        for n in range(10):
            pull = -rng.uniform(0.3, 0.6)
            said.append(
                lesson(
                    f"job {n}", pull * true + rng.normal(0, spread), {"p": pull}, {"p": own}, spread
                )
            )
            if n + 1 in inside:
                mean, sd = factors(said, HZ)["p"]
                inside[n + 1] += abs(true - mean) < 1.645 * sd
    assert inside[1] == 0
    assert inside[10] / 300 > 0.9
    assert 3 < inflation(said) < 7  # 0.288 / 0.06 = 4.8


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    job = tmp_path / "harbour-room"
    job.mkdir()
    return job


def named(name: str, one: Lesson) -> Lesson:
    piece = read_shop(DEFAULT).stock[0].name
    return replace(one, job=name, shares=(replace(one.shares[0], piece=piece),))


def test_a_lesson_is_kept_beside_the_jobs_and_taken_out_without_a_trace(folder: Path) -> None:
    shutil.copy(DEFAULT, lesson_path(folder))
    before = lesson_path(folder).read_text()
    keep_lesson(folder, named("harbour-room", LESSONS[0]))
    shop = read_shop(lesson_path(folder))
    assert shop.lessons == (named("harbour-room", LESSONS[0]),)
    assert shop.stock[0].learned == ((HZ, *factors(shop.lessons, HZ)[shop.stock[0].name]),)
    assert not shop.stock[1].learned
    keep_lesson(folder, named("attic-room", LESSONS[1]))
    keep_lesson(folder, named("harbour-room", LESSONS[0]))  # again: replaced, not doubled
    assert {one.job for one in read_shop(lesson_path(folder)).lessons} == {
        "harbour-room",
        "attic-room",
    }
    assert drop_lesson(folder, "harbour-room")
    assert not drop_lesson(folder, "harbour-room")
    assert drop_lesson(folder, "attic-room")
    assert lesson_path(folder).read_text() == before
    assert unlearned_shop(shop) == read_shop(DEFAULT)


def test_without_a_shop_s_file_the_one_that_serves_is_copied_first(folder: Path) -> None:
    assert not drop_lesson(folder, "harbour-room")
    keep_lesson(folder, named("harbour-room", LESSONS[0]))
    assert lesson_path(folder).read_text().startswith(DEFAULT.read_text()[:200])


def test_the_logo_comes_along(folder: Path) -> None:
    text = DEFAULT.read_text().replace('contact = ""', 'contact = ""\nlogo = "mark.svg"', 1)
    (folder / "shop.toml").write_text(text)
    (folder / "mark.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    shop = read_shop(keep_lesson(folder, named("harbour-room", LESSONS[0])))
    assert shop.logo == lesson_path(folder).parent / "mark.svg"


@pytest.mark.parametrize(
    ("good", "bad", "said"),
    [
        ("off = [0.1]", "off = [0.1, 0.2]", "a list of 1 numbers"),
        ("spread = [0.08]", "spread = [0]", "above 0"),
        ('day = "2026-06-15"', 'day = "June"', "a day that exists"),
    ],
)
def test_a_lesson_that_somebody_spoiled_is_named_with_its_line(
    folder: Path, good: str, bad: str, said: str
) -> None:
    path = keep_lesson(folder, named("harbour-room", LESSONS[0]))
    text = path.read_text()
    assert good in text
    path.write_text(text.replace(good, bad))
    with pytest.raises(FileMistakes, match=said):
        read_shop(path)
