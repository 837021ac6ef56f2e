"""What verified jobs teach: against Gaussian conditioning written the other way round, and against
its own promise."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from roomcheck.job import (
    AtScatter,
    FileMistakes,
    Lesson,
    Share,
    drop_lesson,
    keep_lesson,
    lesson_path,
    read_shop,
    unlearned_shop,
)
from roomcheck.job.read.learned import learned_shop
from roomcheck.job.read.shop_file import DEFAULT
from roomcheck.job.taught import rooms as taught
from roomcheck.job.taught.pieces import LEVELS, SHARED, factors
from roomcheck.job.taught.rooms import rooms_said

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
LESSONS = (
    lesson("a", 0.10, {"4 in panel": -0.6}, PRIORS),
    lesson("b", 0.02, {"4 in panel": -0.3, "felt": -0.4}, PRIORS),
    lesson("c", -0.05, {"felt": -0.5}, PRIORS, spread=0.05),
)


def test_factors_agree_with_gaussian_conditioning_in_covariance_form() -> None:
    # A second method: K = P H' (H P H' + R)^-1, any textbook of statistics, at each level of doubt;
    # the levels are weighed by scipy's density of the data.
    normal = pytest.importorskip("scipy.stats").multivariate_normal
    own = np.array([0.15, 0.3])
    H = np.array([[-0.6, 0.0], [-0.3, -0.4], [0.0, -0.5]])
    data = np.array([0.10, 0.02, -0.05])
    R = np.diag(np.array([0.08, 0.08, 0.05]) ** 2)
    R = R + np.diag(H**2 @ own**2 * (1 - SHARED))
    weights, means, squares = [], [], []
    for level, likely in LEVELS:
        P = np.diag(SHARED * (level * own) ** 2)
        S = H @ P @ H.T + R
        K = P @ H.T @ np.linalg.inv(S)
        weights.append(likely * normal.pdf(data, cov=S))
        means.append(K @ data)
        squares.append(np.diag(P - K @ H @ P) + means[-1] ** 2)
    weights = np.array(weights) / np.sum(weights)
    mean = weights @ np.array(means)
    sd = np.sqrt(weights @ np.array(squares) - mean**2 + (1 - SHARED) * own**2)
    found = factors(LESSONS)
    for i, name in enumerate(("4 in panel", "felt")):
        assert found[name, HZ] == pytest.approx((mean[i], sd[i]))
    assert found["4 in panel", HZ][0] < 0  # decays too long: it absorbs less than computed


def test_the_order_of_jobs_does_not_matter() -> None:
    assert factors(LESSONS[::-1])["felt", HZ] == pytest.approx(factors(LESSONS)["felt", HZ])
    there, back = rooms_said(tuple(SAID)), rooms_said(tuple(SAID[::-1]))
    assert there.model == pytest.approx(back.model)


def test_the_next_job_is_foreseen_nine_times_in_ten_and_ever_more_narrowly() -> None:
    # Made-up shops: each has its own factor, each job a little of its own; 1.645 standard
    # deviations hold 90 %.
    rng = np.random.default_rng(8)
    own, spread, runs = 0.2, 0.06, 500
    inside, widths = dict.fromkeys((1, 3, 8), 0), dict.fromkeys((1, 3, 8), 0.0)
    for _ in range(runs):
        shop = rng.normal(0, own * np.sqrt(SHARED))
        said: list[Lesson] = []
        for n in range(1, 9):
            pull = -rng.uniform(0.2, 0.6)
            factor = shop + rng.normal(0, own * np.sqrt(1 - SHARED))
            off = pull * factor + rng.normal(0, spread)
            said.append(lesson(f"job {n}", off, {"p": pull}, {"p": own}, spread))
            if n in inside:
                mean, sd = factors(tuple(said))["p", HZ]
                new = shop + rng.normal(0, own * np.sqrt(1 - SHARED))
                inside[n] += abs(new - mean) < 1.645 * sd
                widths[n] += sd / runs
    # Three standard deviations of a share of 0.9 over 500 runs are 0.04. Shops that may be further
    # off than computed are allowed for, so it is a little more than 0.9.
    assert all(0.86 < count / runs < 0.96 for count in inside.values()), inside
    assert own > widths[3] > widths[8]
    assert widths[1] > widths[3]


def test_a_shop_far_off_is_believed_once_several_jobs_say_so() -> None:
    # Pieces that absorb a quarter less than computed, ln 0.75 = -0.288, against a prior of 0.06:
    # five deviations.
    rng = np.random.default_rng(3)
    own, spread, true = 0.06, 0.05, np.log(0.75)
    inside = {1: 0, 10: 0}
    for _ in range(200):
        said = []
        for n in range(10):
            pull = -rng.uniform(0.3, 0.6)
            off = pull * true + rng.normal(0, spread)
            said.append(lesson(f"job {n}", off, {"p": pull}, {"p": own}, spread))
            if n + 1 in inside:
                mean, sd = factors(tuple(said))["p", HZ]
                inside[n + 1] += abs(true - mean) < 1.645 * sd
    assert inside[1] < inside[10]
    assert inside[10] / 200 > 0.86


def test_a_piece_that_comes_out_as_computed_becomes_surer() -> None:
    as_computed = tuple(lesson(name, 0.0, {"p": -0.5}, {"p": 0.15}, 0.04) for name in "abcd")
    _, sd = factors(as_computed)["p", HZ]
    assert 0.15 * np.sqrt(1 - SHARED) < sd < 0.15  # workmanship is never learned


def of_the_model(off: tuple[float, ...], model: tuple[float, ...]) -> Lesson:
    share = Share(piece="p", count=4, pull=(-0.4, -0.5), prior=(0.1, 0.15))
    return Lesson(
        job="a", day="2026-06-15", bands_hz=(HZ, 2 * HZ), off=off, spread=(0.13, 0.11),
        shares=(share,), model=model,
    )  # fmt: skip


SAID = (
    of_the_model((0.09, 0.12), (0.10, 0.09)),
    of_the_model((0.02, 0.08), (0.08, 0.06)),
    of_the_model((0.14, 0.05), (0.11, 0.10)),
)


def covariance(one: Lesson, model: np.ndarray, size: float) -> np.ndarray:
    """Of everything but the model's mean error, written out."""
    half, most = np.full((2, 2), 0.5), np.full((2, 2), 0.8)
    np.fill_diagonal(half, 1), np.fill_diagonal(most, 1)
    rest = np.sqrt(np.array(one.spread) ** 2 - model**2) + 1e-3
    pieces = np.array(one.shares[0].pull) * np.array(one.shares[0].prior)
    own = size * np.sqrt(1 - taught.ALIKE) * model
    return half * np.outer(rest, rest) + half * np.outer(pieces, pieces) + most * np.outer(own, own)


def test_the_model_s_error_agrees_with_the_integral_over_every_possible_error() -> None:
    # A second method: Bayes' theorem summed over a finer grid of means and sizes, by scipy's density
    # of the multivariate normal distribution.
    normal = pytest.importorskip("scipy.stats").multivariate_normal
    means = np.linspace(-4, 4, 201) * np.sqrt(taught.ALIKE)
    sizes = np.geomspace(*taught.SIZES)
    density = np.empty((len(means), len(sizes)))
    for j, size in enumerate(sizes):
        away = (np.log(size) + taught.SIZE_SD**2) / taught.SIZE_SD
        logs = -0.5 * means**2 / taught.ALIKE - 0.5 * away**2
        for one in SAID:
            model = np.array(one.model)
            off = np.array(one.off) - np.outer(means, model)
            usual = normal.pdf(off, cov=covariance(one, model, size))
            odd = normal.pdf(off, cov=covariance(one, model, taught.ODD_SIZE))
            logs = logs + np.log((1 - taught.ODD) * usual + taught.ODD * odd)
        density[:, j] = logs
    weights = np.exp(density - density.max())
    weights /= weights.sum()
    mean = (weights.sum(axis=1) * means).sum()
    rest = (1 - taught.ALIKE) * sizes**2
    square = (weights * ((means - mean)[:, None] ** 2 + rest)).sum()
    assert rooms_said(SAID).model == pytest.approx((mean, np.sqrt(square)), rel=2e-3)
    assert mean > 0  # every job came out longer


def test_before_a_job_is_known_the_model_is_as_unsure_as_stated() -> None:
    # A lognormal size has a mean square of exp(2 mu + 2 sd^2): 1 with mu = -sd^2.
    sizes, biases = np.geomspace(*taught.SIZES), np.linspace(*taught.BIASES)
    weights = np.exp(taught._prior_logs(sizes, biases))
    weights /= weights.sum()
    assert weights.sum(axis=(0, 2)) @ sizes**2 == pytest.approx(1, abs=0.01)
    assert weights.sum(axis=(0, 1)) @ biases**2 == pytest.approx(taught.ALIKE, rel=0.01)


def test_one_job_hardly_says_how_the_next_room_scatters_and_five_alike_do() -> None:
    jobs = tuple(replace(in_rooms_of(0.1, (0.0, 0.0)), job=name) for name in "abcde")
    spreads = []
    for count in (1, 5):
        at, likely = np.array(rooms_said(jobs[:count]).scatter).T
        middle = likely @ np.log(at)
        spreads.append(np.sqrt(likely @ (np.log(at) - middle) ** 2))
    # Uniform over nine places from ln 0.02 to ln 0.5: 1.04.
    assert spreads[0] > 0.75 * 1.04 and spreads[1] < 0.6 * 1.04


def in_rooms_of(scatter: float, off: tuple[float, float]) -> Lesson:
    """A job that came out as foreseen for that scattering; the measurement before said nothing."""
    at = np.geomspace(0.02, 0.5, 9)
    # Decays fall by 0.3 with each factor e of scattering, more or less what a hard room's do.
    cases = tuple(
        AtScatter(
            scatter=float(s),
            weight=1 / 9,
            away=(-0.3 * float(np.log(s / scatter)),) * 2,
            spread=(0.05, 0.05),
            model=(0.04, 0.04),
        )
        for s in at
    )
    return replace(SAID[0], off=off, scatters=cases)


def test_rooms_that_are_alike_narrow_what_the_next_one_may_scatter() -> None:
    nothing = rooms_said(SAID)
    assert nothing.scatter == ()
    same = tuple(replace(in_rooms_of(0.1, (0.0, 0.0)), job=name) for name in "abcde")
    found = rooms_said(same).scatter
    at, likely = np.array(found).T
    assert likely.sum() == pytest.approx(1)
    middle = likely @ np.log(at)
    assert np.exp(middle) == pytest.approx(0.1, rel=0.15)
    # Uniform over ln 0.02 to ln 0.5 has a standard deviation of 1.04 at nine places.
    assert np.sqrt(likely @ (np.log(at) - middle) ** 2) < 0.6
    assert likely.min() > 1e-3  # a room of another kind is never ruled out
    apart = tuple(
        replace(in_rooms_of(s, (0.0, 0.0)), job=str(s)) for s in (0.02, 0.05, 0.1, 0.2, 0.5)
    )
    _, wide = np.array(rooms_said(apart).scatter).T
    assert np.sqrt(wide @ np.log(at) ** 2 - (wide @ np.log(at)) ** 2) > 0.75


def test_one_odd_job_hardly_moves_what_five_others_say() -> None:
    fine = tuple(replace(SAID[0], job=name, off=(0.01, -0.01)) for name in "abcde")
    odd = replace(SAID[0], job="window open", off=(-0.8, -0.8))
    without, with_it = rooms_said(fine), rooms_said((*fine, odd))
    # By the plain mean of six jobs the odd one would move it by 0.8 / 0.1 / 6 = 1.3 deviations.
    assert abs(with_it.model[0] - without.model[0]) < 0.3
    alone, beside = factors(fine)["p", HZ], factors((*fine, odd))["p", HZ]
    assert abs(beside[0] - alone[0]) < alone[1]


def test_lessons_that_do_not_speak_of_the_model_leave_it_as_stated() -> None:
    assert rooms_said(LESSONS).model == (0.0, 1.0)
    assert rooms_said((replace(SAID[0], model=(0.0, 0.0)),)).model == (0.0, 1.0)


def test_what_the_model_is_off_is_not_laid_on_the_pieces() -> None:
    shop = read_shop(DEFAULT)
    piece = shop.stock[0].name
    said = [replace(one, shares=(replace(one.shares[0], piece=piece),)) for one in SAID]
    blind = [replace(one, model=()) for one in said]
    by_model, by_pieces = learned_shop(shop, said), learned_shop(shop, blind)
    assert by_pieces.model_learned == (0.0, 1.0)
    assert by_model.model_learned[0] > 0
    for (_, with_model, _), (_, alone, _) in zip(
        by_model.stock[0].learned, by_pieces.stock[0].learned, strict=True
    ):
        assert alone < with_model < 0  # decays too long: pieces that absorb less, or the model


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
    assert shop.stock[0].learned == ((HZ, *factors(shop.lessons)[shop.stock[0].name, HZ]),)
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


def test_what_a_job_says_of_its_room_is_kept_and_an_older_lesson_says_nothing(
    folder: Path,
) -> None:
    shutil.copy(DEFAULT, lesson_path(folder))
    kept = named("harbour-room", replace(SAID[0], model=(0.1, 0.09)))
    cases = tuple(
        replace(case, scatter=round(case.scatter, 5), weight=0.1111111, away=(0.1, -0.1))
        for case in in_rooms_of(0.1, (0.0, 0.0)).scatters
    )
    full = replace(kept, scatters=cases)
    path = keep_lesson(folder, full)
    assert read_shop(path).lessons == (full,)
    assert read_shop(path).model_learned == pytest.approx(rooms_said((full,)).model)
    assert sum(likely for _, likely in read_shop(path).scatter_learned) == pytest.approx(1)
    path = keep_lesson(folder, kept)  # as schema 2 wrote it
    path.write_text(path.read_text().replace("schema = 3\njob =", "schema = 2\njob ="))
    assert read_shop(path).model_learned == pytest.approx(rooms_said((kept,)).model)
    assert read_shop(path).scatter_learned == ()
    lines = [line for line in path.read_text().splitlines() if not line.startswith("model")]
    path.write_text("\n".join(lines).replace("schema = 2\njob =", "schema = 1\njob ="))
    assert read_shop(path).model_learned == (0.0, 1.0)


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
