"""A made-up job with plausible numbers, written by hand: no stage has to run for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from roomcheck.analyse import Analysis, BandDecay, BandMean, GradeLack, PositionDecays, Reason
from roomcheck.facts import Estimate, fact
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import (
    Fixing,
    Framing,
    FramingKind,
    Furnishing,
    Job,
    KeepClear,
    Patch,
    Placement,
    PorousCore,
    Position,
    Rates,
    Shop,
    ShopMaterial,
    StockPiece,
    Visit,
    WhyHere,
)
from roomcheck.judge import (
    BandVerdict,
    Certainty,
    Finding,
    FindingKind,
    LimitSource,
    MeanVerdict,
    Outcome,
    Remedy,
    Verdict,
)
from roomcheck.predict import BandPrediction, Prediction
from roomcheck.quote import Agreement, Assumption, Exclusion, Line, PriceLine, Quote
from roomcheck.recommend import Condition, Plan, PlanKind, Promise, PromisedBand, Shortfall
from roomcheck.standards import BandLimit, Target
from roomcheck.verify import verify
from roomcheck.workshop import (
    BuildSheet,
    Caution,
    Cut,
    HangingCaution,
    HangingLine,
    Note,
    Part,
    PieceSheet,
    Purchase,
    Step,
    Stock,
)

IN, FT = 0.0254, 0.3048
OCTAVES = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
BEFORE = (0.71, 0.66, 0.62, 0.58, 0.55, 0.50, 0.42)
AFTER = (0.58, 0.39, 0.30, 0.27, 0.26, 0.25, 0.24)
LOW, HIGH = 0.20, 0.35
NO_T30 = fact(
    Reason.RANGE_TOO_SMALL, number="T30", needed_db=45.0, range_db=41.0, lacking_db=4.0, cases=6
)


def a_shop() -> Shop:
    rates = Rates(
        hour=Decimal("61.50"),
        margin_pct=Decimal(33),
        contingency_pct=Decimal(7),
        tax_pct=Decimal("6.25"),
        travel=Decimal(40),
        consumables=Decimal(35),
        survey_fee=Decimal(150),
        minimum_job=Decimal(600),
        survey_hours=Decimal("1.5"),
        verify_hours=Decimal("1.5"),
        valid_days=30,
        deposit_pct=Decimal(40),
    )
    core = PorousCore(thickness_m=4 * IN, gap_m=0.0, flow_resistivity_pa_s_m2=10_000.0)
    usual: dict[str, Any] = {
        "build_hours": Decimal("1.2"),
        "install_hours": Decimal("0.4"),
        "needs": (),
    }
    panel = StockPiece(
        name="4 in panel 24 × 48",
        kind="panel",
        width_m=24 * IN,
        height_m=48 * IN,
        depth_m=4 * IN,
        weight_kg=9.1,
        mounts=("wall",),
        core=core,
        material=None,
        **usual,
    )
    cloud = replace(
        panel,
        name="cloud 48 × 48",
        kind="cloud",
        width_m=48 * IN,
        mounts=("ceiling",),
        weight_kg=18.0,
    )
    blocks = replace(
        panel,
        name="block diffuser 24 × 48",
        kind="block diffuser",
        core=None,
        weight_kg=27.0,
        depth_m=5.25 * IN,
        cell_m=1.5 * IN,
        steps_m=(0, IN, 2 * IN, 3 * IN, 4 * IN),
    )
    return Shop(
        name="Example Woodshop",
        address="1 Sample Lane, Nowhere",
        contact="shop@example.org",
        made_up=True,
        kerf_m=0.125 * IN,
        fabric_roll_m=60 * IN,
        stock=(panel, cloud, blocks),
        prices=(),
        rates=rates,
    )


PIECES = (
    (
        "A1",
        "4 in panel 24 × 48",
        "east",
        Rectangle(24 * IN, 36 * IN, 24 * IN, 48 * IN),
        "First reflection to P1.",
    ),
    (
        "A2",
        "4 in panel 24 × 48",
        "east",
        Rectangle(56 * IN, 36 * IN, 24 * IN, 48 * IN),
        "Breaks the flutter.",
    ),
    (
        "A3",
        "4 in panel 24 × 48",
        "west",
        Rectangle(40 * IN, 36 * IN, 24 * IN, 48 * IN),
        "First reflection to P1.",
    ),
    (
        "A4",
        "4 in panel 24 × 48",
        "north",
        Rectangle(30.5 * IN, 36 * IN, 24 * IN, 48 * IN),
        "Bare wall behind S1.",
    ),
    (
        "C1",
        "cloud 48 × 48",
        "ceiling",
        Rectangle(5 * FT, 4 * FT, 48 * IN, 48 * IN),
        "The shortest way from S1 to P1.",
    ),
    (
        "D1",
        "block diffuser 24 × 48",
        "north",
        Rectangle(80 * IN, 40 * IN, 48 * IN, 24 * IN),
        "Keeps the room alive.",
    ),
)


def a_job(folder: Path, **changes: Any) -> Job:
    names = ("south", "east", "north", "west", "floor", "ceiling")
    stuff = dict.fromkeys(names, "gypsum board on studs") | {"floor": "thin carpet on concrete"}
    usual: dict[str, Any] = {
        "temperature_c": 21.1,
        "humidity_pct": 45.0,
        "people": 1,
        "doors": "shut",
        "hvac": "off",
    }
    job = Job(
        folder=folder,
        made_up=True,
        client="Client A, a made-up town library",
        title="Story room",
        complaint="Everybody sounds as if they spoke from the bottom of a bucket.",
        use="podcast room",
        own_target=None,
        units="imperial",
        paper="letter",
        currency="$",
        budget=Decimal(4200),
        room=Room.box(14.5 * FT, 11 * FT + 10 * IN, 8.5 * FT),
        materials=tuple(stuff.items()),
        patches=(
            Patch(
                name="window",
                face="south",
                material="double glazing",
                place=Rectangle(50 * IN, 36 * IN, 60 * IN, 48 * IN),
                opening=True,
            ),
            Patch(
                name="door",
                face="west",
                material="solid wood door",
                place=Rectangle(8 * IN, 0.0, 32 * IN, 80 * IN),
                opening=True,
            ),
        ),
        keep_clear=(
            KeepClear(
                name="outlet",
                face="north",
                kind="outlet",
                place=Rectangle(60 * IN, 14 * IN, 3 * IN, 5 * IN),
                clearance_m=4 * IN,
            ),
        ),
        framing=(
            Framing(
                face="north",
                kind=FramingKind.WOOD_STUDS,
                sheathing_m=IN / 2,
                spacing_m=16 * IN,
                first_m=14.5 * IN,
            ),
        ),
        fixings=(Fixing(face="ceiling", rule="screws"),),
        furnishings=(
            Furnishing(name="two upholstered chairs", material="upholstered chair", amount=2),
        ),
        sources=(
            Position(name="S1", point=Point(1.1, 1.2, 1.5)),
            Position(name="S2", point=Point(3.3, 1.4, 1.5)),
        ),
        microphones=(
            Position(name="P1", point=Point(2.9, 2.2, 1.2)),
            Position(name="P2", point=Point(1.8, 2.7, 1.2)),
            Position(name="P3", point=Point(2.4, 1.1, 1.2)),
        ),
        seat="P1",
        visits=(
            Visit(name="before", date="2026-05-04", gain="-12 dB, marked", **usual),
            Visit(
                name="after",
                date="2026-06-15",
                gain="-12 dB, marked",
                **{**usual, "temperature_c": 23.3},
            ),
        ),
        shop=a_shop(),
    )
    return replace(job, **changes)


def an_analysis(name: str, t20: tuple[float, ...], seed: int) -> Analysis:
    rng = np.random.default_rng(seed)
    pairs = [(s, m) for s in ("S1", "S2") for m in ("P1", "P2", "P3")]
    spread = {
        hz: t * (1 + 0.02 * rng.standard_normal(6)) for hz, t in zip(OCTAVES, t20, strict=True)
    }
    positions = tuple(
        PositionDecays(
            source=s,
            microphone=m,
            take=f"{s}-{m}.flac",
            octaves=tuple(_decay(hz, float(values[i])) for hz, values in spread.items()),
            thirds=(),
        )
        for i, (s, m) in enumerate(pairs)
    )
    means = tuple(
        BandMean(
            band_hz=hz,
            edt=Estimate(value=float(values.mean()) * 0.97),
            t20=Estimate(
                value=float(values.mean()),
                u=_sd(hz, float(values.mean())) / 6**0.5,
                spread=float(values.std(ddof=1)),
                n=6,
            ),
            t30=None if hz == 125 else Estimate(value=float(values.mean()) * 1.02),
            c50=Estimate(value=6.8),
            c80=Estimate(value=11.3),
            d50=Estimate(value=0.83),
            ts=Estimate(value=0.031),
            withheld=(NO_T30,) if hz == 125 else (),
        )
        for hz, values in spread.items()
    )
    mid = (means[2].t20_s or 0) / 2 + (means[3].t20_s or 0) / 2
    return Analysis(
        visit=name,
        positions=positions,
        octaves=means,
        thirds=(),
        transition_hz=2000 * (mid / 42.2) ** 0.5,
        mid_s=mid,
        mid_u_s=0.009,
        grade="engineering",
        lacking=(fact(GradeLack.TOO_FEW_PAIRS, grade="precision", needed=12, there=6),),
    )


def _sd(hz: float, t_s: float) -> float:
    return 0.88 * t_s * ((1 + 1.9 / 10) / (0.71 * hz * t_s)) ** 0.5


def _decay(hz: float, t20_s: float) -> BandDecay:
    return BandDecay(
        band_hz=hz,
        edt_s=t20_s,
        t20_s=t20_s,
        t30_s=t20_s,
        t20_sd_s=_sd(hz, t20_s),
        t30_sd_s=None,
        c50_db=6.8,
        c80_db=11.3,
        d50=0.83,
        ts_s=0.031,
        range_db=52.0,
        curvature_pct=2.0,
    )


def a_verdict(analysis: Analysis) -> Verdict:
    target = Target(
        key="podcast room",
        title="Podcast room",
        source="Trade custom for speech rooms of this size",
        mark="common practice",
        limits=tuple(BandLimit(band_hz=hz, low_s=LOW, high_s=HIGH) for hz in OCTAVES[1:6]),
        mid_bands_hz=(500.0, 1000.0),
        mid_low_s=LOW,
        mid_nominal_s=0.27,
        mid_high_s=HIGH,
        occupied=None,
        notes=("Background noise below NC 20.",),
    )
    bands = tuple(
        BandVerdict(
            band_hz=m.band_hz,
            value_s=m.t20_s,
            u_s=m.t20_u_s,
            low_s=LOW if target.limit(m.band_hz) else None,
            high_s=HIGH if target.limit(m.band_hz) else None,
            outcome=Outcome.MODAL
            if m.band_hz < 200
            else (Outcome.TOO_LONG if target.limit(m.band_hz) else Outcome.NO_LIMIT),
        )
        for m in analysis.octaves
    )
    mid = MeanVerdict(
        bands_hz=target.mid_bands_hz,
        value_s=analysis.mid_s,
        u_s=analysis.mid_u_s,
        low_s=LOW,
        high_s=HIGH,
        outcome=Outcome.TOO_LONG,
    )
    flutter = Finding(
        measured=fact(
            FindingKind.FLUTTER,
            between=(("east", "west"),),
            period_s=0.025,
            apart_m=4.3,
            repeats=9,
            stands_out_db=5.0,
            fall_db=2.0,
            limit_repeats=3,
            limit_fall_db=6.0,
            heard_in=2,
            pairs=2,
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(
            fact(Remedy.BREAK_FLUTTER),
            fact(Remedy.ONE_OF_TWO_WALLS, first="east", second="west"),
        ),
        beyond_jnd=5.0,
        sure=(fact(Certainty.BEAT_FITS),),
        faces=("east", "west"),
    )
    live = Finding(
        measured=fact(
            FindingKind.TOO_LIVE,
            mean_s=0.60,
            mean_u_s=0.02,
            limit_s=HIGH,
            bands_hz=(500.0, 1000.0),
        ),
        source=fact(LimitSource.DOCUMENT, document="common practice"),
        remedies=(
            fact(Remedy.ADD_SOFT_THINGS),
            fact(Remedy.ADD_ABSORPTION, area_m2=11.0, aim_s=0.27, panels=16),
        ),
        beyond_jnd=14.0,
    )
    return Verdict(target=target, bands=bands, mid=mid, findings=(live, flutter))


def a_plan(kind: PlanKind, count: int, low: float, high: float, *, reaches: bool) -> Plan:
    bands = tuple(
        BandPrediction(
            band_hz=hz,
            sabine_s=t,
            eyring_s=t * 0.93,
            simulated_s=None,
            likely_s=t,
            low_s=t * 0.88,
            high_s=t * 1.12,
        )
        for hz, t in zip(OCTAVES[1:], AFTER[1:], strict=True)
    )
    prediction = Prediction(
        before=(),
        after=bands,
        mid_likely_s=(low + high) / 2,
        mid_low_s=low,
        mid_high_s=high,
        transition_hz=168.0,
        calibrated=True,
    )
    promise = Promise(
        bands=tuple(
            PromisedBand(band_hz=hz, low_s=LOW, high_s=HIGH + 0.03)
            for hz in (500.0, 1000.0, 2000.0, 4000.0)
        ),
        mid_low_s=LOW,
        mid_high_s=HIGH,
        positions=6,
        conditions=(
            fact(Condition.SAME_PAIRS),
            fact(Condition.EMPTY_AND_QUIET),
            fact(Condition.SAME_FURNITURE),
        ),
    )
    pieces = tuple(
        Placement(
            name=n,
            piece=piece,
            face=face,
            place=place,
            reasons=(fact(WhyHere.AS_SIGNED, text=why),),
        )
        for n, piece, face, place, why in PIECES
    )
    return Plan(
        kind=kind,
        pieces=pieces[:count],
        prediction=prediction,
        promise=promise,
        reaches_target=reaches,
        shortfalls=()
        if reaches
        else (fact(Shortfall.TOO_SHORT, band_hz=250.0, likely_s=0.1, limit_s=0.14, bare=False),),
        gain_per_piece=(0.08, 0.06, 0.05, 0.04, 0.05, 0.01)[:count],
    )


def a_quote(net: str) -> Quote:
    lines = (
        PriceLine(item=fact(Line.PIECES), amount=Decimal(net)),
        PriceLine(item=fact(Line.INSTALLATION), amount=Decimal("612.00")),
        PriceLine(item=fact(Line.MEASURING), amount=Decimal("185.00")),
    )
    total_net = sum((line.amount for line in lines), Decimal(0))
    tax = (total_net * Decimal("0.0625")).quantize(Decimal("0.01"))
    return Quote(
        lines=lines,
        net=total_net,
        tax_pct=Decimal("6.25"),
        tax=tax,
        total=total_net + tax,
        deposit=((total_net + tax) * Decimal("0.4")).quantize(Decimal("0.01")),
        valid_days=30,
        costs=(PriceLine(item=fact(Line.CONSUMABLES), amount=Decimal("311.37")),),
        cost=Decimal("1777.77"),
        margin=Decimal("888.88"),
        margin_pct=Decimal("33.3"),
        markup_pct=Decimal("49.9"),
        assumptions=(fact(Assumption.SOUND_STRUCTURE), fact(Assumption.ROOM_FREE)),
        exclusions=(fact(Exclusion.PAINT_AND_ELECTRICAL),),
    )


def a_sheet(plan: Plan) -> BuildSheet:
    rng = np.random.default_rng(3)
    rows = tuple(tuple(float(h) * IN for h in row) for row in rng.integers(0, 5, (16, 32)))
    panels = PieceSheet(
        piece="4 in panel 24 × 48",
        names=("A1", "A2", "A3", "A4"),
        cuts=(
            Cut(
                part=Part.FRAME_LONG,
                stock=Stock(material=ShopMaterial.BOARD, item="1x5 board"),
                count=8,
                length_m=48 * IN,
                width_m=4.5 * IN,
            ),
            Cut(
                part=Part.FRAME_SHORT,
                stock=Stock(material=ShopMaterial.BOARD, item="1x5 board"),
                count=8,
                length_m=25.5 * IN,
                width_m=4.5 * IN,
                note=fact(Note.RUNS_OVER),
            ),
            Cut(
                part=Part.CORE,
                stock=Stock(material=ShopMaterial.CORE, item="mineral wool board"),
                count=8,
                length_m=48 * IN,
                width_m=24 * IN,
                note=fact(Note.LAYERS, layers=2),
            ),
        ),
        steps=(
            fact(Step.STAPLE_BACKING),
            fact(Step.LAY_CORE),
            fact(Step.STRETCH_FABRIC, staples_m=2 * IN),
        ),
        cautions=(fact(Caution.WOOL),),
        weight_kg=9.1,
        hours=Decimal("4.80"),
    )
    blocks = replace(
        panels,
        piece="block diffuser 24 × 48",
        names=("D1",),
        cuts=(
            Cut(
                part=Part.BLOCK,
                stock=Stock(material=ShopMaterial.STICK, item="2x2 stick"),
                count=103,
                length_m=4 * IN,
                width_m=1.5 * IN,
            ),
        ),
        steps=(
            fact(Step.LAY_DRY),
            fact(Step.GLUE_ROWS),
            fact(Step.CHECK_ROWS, rows=4, gaps=7, gaps_m=0.0021, clear_m=0.0032),
        ),
        cautions=(fact(Caution.SAW),),
        weight_kg=27.0,
        hours=Decimal(11),
        row_map=rows,
    )
    hanging = tuple(
        HangingLine(
            name=p.name,
            piece=p.piece,
            face=p.face,
            left_m=p.place.u_m,
            top_m=p.place.top_m,
            width_m=p.place.width_m,
            height_m=p.place.height_m,
            cleat_m=None if p.face == "ceiling" else p.place.top_m - 5 * IN,
            studs_m=(46.5 * IN,) if p.face == "north" else (),
            cautions=(
                (fact(HangingCaution.TWO_PEOPLE, weight_kg=30.0),) if p.name in {"C1", "D1"} else ()
            ),
        )
        for p in plan.pieces
    )
    return BuildSheet(
        sheets=(panels, blocks),
        purchases=(
            Purchase(
                item="mineral wool board 24 × 48 × 2 in",
                unit="board",
                net=Decimal(10),
                with_waste=Decimal("10.5"),
                packs=2,
                pack=Decimal(6),
                cost=Decimal("311.37"),
                left=Decimal("1.5"),
            ),
            Purchase(
                item="fabric, 60 in roll",
                unit="yd",
                net=Decimal("6.68"),
                with_waste=Decimal("7.348"),
                packs=8,
                pack=Decimal(1),
                cost=Decimal("119.60"),
                left=Decimal("0.652"),
            ),
        ),
        hanging=hanging,
        build_hours=Decimal("15.8"),
        install_hours=Decimal("4.5"),
        weight_kg=81.4,
        cautions=(fact(Caution.OVERHEAD),),
    )


def everything(folder: Path, **changes: Any) -> tuple[Job, dict[str, Any]]:
    """A job and all that `report` can be given."""
    job = a_job(folder, **changes)
    before, after = an_analysis("before", BEFORE, 1), an_analysis("after", AFTER, 2)
    plans = (
        a_plan(PlanKind.BUDGET, 4, 0.33, 0.42, reaches=False),
        a_plan(PlanKind.TARGET, 6, 0.24, 0.33, reaches=True),
        a_plan(PlanKind.MOST, 6, 0.21, 0.29, reaches=True),
    )
    quotes = tuple(a_quote(net) for net in ("1450.00", "2385.00", "3120.00"))
    agreement = Agreement(
        signed_on="2026-05-11",
        signed_by="a made-up librarian",
        method="0.1.0",
        plan=plans[1],
        quote=quotes[1],
    )
    return job, {
        "before": before,
        "after": after,
        "verdict": a_verdict(before),
        "plans": plans,
        "plan": plans[1],
        "sheet": a_sheet(plans[1]),
        "quotes": quotes,
        "quote": quotes[1],
        "agreement": agreement,
        "verification": verify(job, before, after, agreement),
    }


@pytest.fixture(scope="session")
def story() -> Callable[..., tuple[Job, dict[str, Any]]]:
    """Makes the made-up job; keywords change fields of it."""
    return everything
