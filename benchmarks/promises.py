"""How often is a promise called kept that is broken, and the other way round?

    python benchmarks/promises.py 1000

Simulated pairs of visits whose true decays are known: every octave scatters over the positions as
ISO 3382-2 says, or by half as much again, as small rooms do. Printed per number of
source-microphone pairs: how often a promise with one octave just over its limit is called kept, how
often one with every octave just inside is called not kept, and how often a room in the middle of
its limits stays undecided; all for the verdict as a whole.
"""

from __future__ import annotations

import argparse
import time
from decimal import Decimal
from pathlib import Path

import numpy as np

from roomcheck.analyse import Analysis, BandDecay, BandMean, PositionDecays
from roomcheck.facts import Estimate
from roomcheck.geometry import Room
from roomcheck.job import Furnishing, Job, Rates, Shop, Visit
from roomcheck.predict import Prediction
from roomcheck.quote import Agreement, Quote
from roomcheck.recommend import Plan, PlanKind, Promise, PromisedBand
from roomcheck.verify import verify

ZERO = Decimal(0)
PAIRS = (2, 6, 12)
"""Common practice: a survey's pairs, an engineering grade's, a precision grade's."""
RATIOS = (1.0, 1.5)
"""Scatter over the positions, over the formula's. [1]"""


def a_job(**visits: dict[str, object]) -> Job:
    rates = Rates(
        **{name: ZERO for name in Rates.__dataclass_fields__ if name != "valid_days"}, valid_days=30
    )
    shop = Shop(
        name="",
        address="",
        contact="",
        made_up=True,
        kerf_m=0.0,
        fabric_roll_m=0.0,
        stock=(),
        prices=(),
        rates=rates,
    )
    usual: dict[str, object] = {"date": "2026-05-04", "temperature_c": 21.0, "humidity_pct": 45.0}
    return Job(
        folder=Path("made-up"),
        made_up=True,
        client="",
        title="",
        complaint="",
        use="podcast room",
        own_target=None,
        units="metric",
        paper="a4",
        currency="$",
        budget=None,
        room=Room.box(4.4, 3.6, 2.6),
        materials=(),
        patches=(),
        keep_clear=(),
        framing=(),
        fixings=(),
        furnishings=(Furnishing(name="sofa", material="", amount=1, visits=("before",)),)
        if "sofa" in visits
        else (),
        sources=(),
        microphones=(),
        seat=None,
        visits=tuple(
            Visit(name=name, **{**usual, **visits.get(name, {})}) for name in ("before", "after")
        ),  # type: ignore[arg-type]
        shop=shop,
    )


def band(hz: float, t20_s: float | None, sd_s: float | None) -> BandDecay:
    return BandDecay(
        band_hz=hz,
        edt_s=None,
        t20_s=t20_s,
        t30_s=None,
        t20_sd_s=sd_s,
        t30_sd_s=None,
        c50_db=None,
        c80_db=None,
        d50=None,
        ts_s=None,
        range_db=None,
        curvature_pct=None,
    )


def a_visit(
    name: str, t20: dict[float, tuple[float, ...]], sd: dict[float, float] | None = None
) -> Analysis:
    """An analysis with these decays at so many positions. [s]"""
    n = len(next(iter(t20.values())))
    positions = tuple(
        PositionDecays(
            source="S1",
            microphone=f"P{i + 1}",
            take="",
            octaves=tuple(band(hz, values[i], (sd or {}).get(hz)) for hz, values in t20.items()),
            thirds=(),
        )
        for i in range(n)
    )
    means = tuple(
        BandMean(
            band_hz=hz,
            t20=Estimate(value=float(np.mean(values)), n=n),
        )
        for hz, values in t20.items()
    )
    return Analysis(
        visit=name,
        positions=positions,
        octaves=means,
        thirds=(),
        transition_hz=None,
        mid_s=None,
        mid_u_s=None,
        grade="none",
    )


def signed(
    bands: dict[float, tuple[float, float]], mid: tuple[float, float] | None = None
) -> Agreement:
    promise = Promise(
        bands=tuple(
            PromisedBand(band_hz=hz, low_s=low, high_s=high) for hz, (low, high) in bands.items()
        ),
        mid_low_s=mid and mid[0],
        mid_high_s=mid and mid[1],
        positions=2,
        conditions=(),
    )
    prediction = Prediction(
        before=(),
        after=(),
        mid_likely_s=None,
        mid_low_s=None,
        mid_high_s=None,
        transition_hz=None,
        calibrated=False,
    )
    plan = Plan(
        kind=PlanKind.TARGET,
        pieces=(),
        prediction=prediction,
        promise=promise,
        reaches_target=True,
        shortfalls=(),
        gain_per_piece=(),
    )
    quote = Quote(
        lines=(),
        net=ZERO,
        tax_pct=ZERO,
        tax=ZERO,
        total=ZERO,
        deposit=ZERO,
        valid_days=30,
        costs=(),
        cost=ZERO,
        margin=ZERO,
        margin_pct=ZERO,
        markup_pct=ZERO,
        assumptions=(),
        exclusions=(),
    )
    return Agreement(
        signed_on="2026-05-11", signed_by="made up", method="0", plan=plan, quote=quote
    )


BANDS = (250.0, 500.0, 1000.0, 2000.0, 4000.0)
LOW, HIGH = 0.30, 0.40


def iso_sd(t_s: float, hz: float) -> float:
    """ISO 3382-2:2008, Annex A, for one pair with n = 10 (as quoted in open analysis code; n from
    memory). [s]"""
    return 0.88 * t_s * ((1 + 1.9 / 10) / (0.71 * hz * t_s)) ** 0.5


def shares(
    truth: dict[float, float], pairs: int, runs: int, ratio: float = 1.0
) -> dict[str, float]:
    """How often each verdict falls for a room with these true decays; scatter is `ratio` times the
    formula's."""
    rng = np.random.default_rng([pairs, runs])
    sd = {hz: iso_sd(t, hz) for hz, t in truth.items()}
    before = a_visit("before", dict.fromkeys(truth, (0.8,) * pairs), sd)
    promise = signed(dict.fromkeys(BANDS, (LOW, HIGH)), mid=(LOW, HIGH))
    job, found = a_job(), {"kept": 0, "not kept": 0, "undecided": 0}
    for _ in range(runs):
        t20 = {hz: tuple(rng.normal(t, ratio * sd[hz], pairs).tolist()) for hz, t in truth.items()}
        found[verify(job, before, a_visit("after", t20, sd), promise).kept] += 1
    return {verdict: count / runs for verdict, count in found.items()}


CASES = {
    "kept, though one octave is just over its limit": {
        **dict.fromkeys(BANDS, 0.35),
        2000.0: HIGH * 1.0001,
    },
    "not kept, though every octave is just inside": dict.fromkeys(BANDS, HIGH * 0.9999),
    "undecided in the middle of the limits": dict.fromkeys(BANDS, (LOW + HIGH) / 2),
}


def table(runs: int) -> list[tuple[int, float, float, float, float]]:
    """(pairs, ratio, wrongly kept, wrongly not kept, undecided) as shares of the runs."""
    rows = []
    for pairs in PAIRS:
        for ratio in RATIOS:
            found = [shares(truth, pairs, runs, ratio) for truth in CASES.values()]
            rows.append(
                (pairs, ratio, found[0]["kept"], found[1]["not kept"], found[2]["undecided"])
            )
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("runs", type=int, nargs="?", default=1000)
    started = time.perf_counter()
    for pairs, ratio, kept, broken, undecided in table(parser.parse_args().runs):
        print(
            f"{pairs:3d} pairs, scatter {ratio:g} of the formula: wrongly kept {kept:.1%}, "
            f"wrongly not kept {broken:.1%}, undecided in the middle {undecided:.1%}"
        )
    print(f"{time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
