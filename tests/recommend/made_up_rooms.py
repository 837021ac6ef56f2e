"""Made-up rooms and a made-up shop for the tests of the plan."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from pathlib import Path
from typing import TypeVar

from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Estimate
from roomcheck.geometry import Point, Room
from roomcheck.job import (
    Job,
    Need,
    Placement,
    PorousCore,
    Position,
    Price,
    Rates,
    Shop,
    StockPiece,
    Visit,
)
from roomcheck.judge import BandVerdict, Finding, MeanVerdict, Outcome, Verdict
from roomcheck.materials import Absorption
from roomcheck.standards import BandLimit, Target

T = TypeVar("T")
IN = 0.0254
OCTAVES = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)


def piece(
    name: str,
    kind: str,
    size: tuple[float, float],
    depth_in: float,
    mounts: tuple[str, ...],
    **more: object,
) -> StockPiece:
    thick = more.pop("thick_in", depth_in)
    core = PorousCore(
        thickness_m=thick * IN, gap_m=(depth_in - thick) * IN, flow_resistivity_pa_s_m2=10_000.0
    )
    facts = {
        "weight_kg": 6.0,
        "core": core,
        "material": None,
        "build_hours": Decimal("0.7"),
        "install_hours": Decimal("0.4"),
        "needs": (
            Need(item="wool", amount=size[0] * size[1] / 144 * thick / 2),
            Need(item="fabric", amount=0.9),
        ),
    }
    return StockPiece(
        name=name,
        kind=kind,
        width_m=size[0] * IN,
        height_m=size[1] * IN,
        depth_m=depth_in * IN,
        mounts=mounts,
        **(facts | more),
    )


THIN = piece("panel 2 in", "panel", (24, 48), 2, ("wall",))
DEEP = piece("panel 4 in, 4 in gap", "panel", (24, 48), 8, ("wall",), thick_in=4, weight_kg=9.0)
CLOUD = piece(
    "cloud 4 in",
    "cloud",
    (48, 48),
    8,
    ("ceiling",),
    thick_in=4,
    weight_kg=18.0,
    install_hours=Decimal(2),
)
FELT = piece(
    "felt tile",
    "felt",
    (24, 24),
    0.35,
    ("wall", "ceiling"),
    weight_kg=1.0,
    build_hours=Decimal("0.1"),
)
CORNER = piece("corner trap", "corner", (24, 48), 12, ("corner",), weight_kg=14.0, turns=False)
BLOCKS = piece(
    "block diffuser",
    "block diffuser",
    (24, 48),
    5.5,
    ("wall",),
    weight_kg=11.0,
    core=None,
    material="block diffuser",
    build_hours=Decimal(10),
    cell_m=1.5 * IN,
    steps_m=tuple(i * IN for i in range(5)),
)
STOCK = (THIN, DEEP, CLOUD, FELT, CORNER, BLOCKS)


def shop(*stock: StockPiece) -> Shop:
    return Shop(
        name="A made-up shop",
        address="",
        contact="",
        made_up=True,
        kerf_m=0.003,
        fabric_roll_m=1.5,
        stock=stock or STOCK,
        prices=(
            Price(
                item="wool", unit="ft2", pack=Decimal(48), price=Decimal(60), waste_pct=Decimal(5)
            ),
            Price(
                item="fabric", unit="yd", pack=Decimal(1), price=Decimal(18), waste_pct=Decimal(10)
            ),
        ),
        rates=Rates(
            hour=Decimal(55),
            margin_pct=Decimal(35),
            contingency_pct=Decimal(5),
            tax_pct=Decimal(8),
            travel=Decimal(60),
            consumables=Decimal(40),
            survey_fee=Decimal(0),
            minimum_job=Decimal(400),
            survey_hours=Decimal(2),
            verify_hours=Decimal(2),
            valid_days=30,
            deposit_pct=Decimal(40),
        ),
    )


def job(room: Room | None = None, **changed: object) -> Job:
    room = room or Room.box(4.4, 3.6, 2.6)
    facts: dict[str, object] = {
        "folder": Path("made-up"),
        "made_up": True,
        "client": "Client A",
        "title": "Room 1",
        "complaint": "It rings.",
        "use": "podcast room",
        "own_target": None,
        "units": "metric",
        "paper": "a4",
        "currency": "$",
        "budget": None,
        "room": room,
        "materials": tuple(
            (f.name, "painted" if f.kind != "floor" else "carpet") for f in room.faces
        ),
        "patches": (),
        "keep_clear": (),
        "framing": (),
        "fixings": (),
        "furnishings": (),
        "sources": (
            Position(name="S1", point=Point(1.3, 1.7, 1.2)),
            Position(name="S2", point=Point(3.0, 2.3, 1.2)),
        ),
        "microphones": tuple(
            Position(name=f"P{i}", point=Point(*p))
            for i, p in enumerate([(2.6, 1.2, 1.2), (1.1, 2.5, 1.2), (3.3, 1.1, 1.2)], 1)
        ),
        "seat": "P1",
        "visits": (Visit(name="before", date="2026-05-04", temperature_c=20.0, humidity_pct=50.0),),
        "shop": shop(),
    }
    return Job(**(facts | changed))


def changed(value: T, **facts: object) -> T:
    return dataclasses.replace(value, **facts)


def lined(**materials: str) -> tuple[tuple[str, str], ...]:
    return tuple(materials.items())


TABLE = {
    "rigid": (0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    "painted": (0.10, 0.08, 0.05, 0.04, 0.04, 0.04),
    "hard": (0.02, 0.02, 0.02, 0.02, 0.02, 0.02),
    "soft": (0.65, 0.88, 0.95, 0.95, 0.95, 0.95),
    "glass": (0.30, 0.20, 0.15, 0.10, 0.06, 0.04),
    "carpet": (0.05, 0.08, 0.20, 0.30, 0.35, 0.40),
    "block diffuser": (0.12, 0.12, 0.15, 0.15, 0.18, 0.20),
    "person standing": (0.15, 0.25, 0.40, 0.45, 0.50, 0.50),
}


def absorption_of(key: str) -> Absorption:
    """A made-up table, so that these tests do not hang on the real one."""
    values = TABLE[key]
    return Absorption(
        key=key,
        title=key,
        per_piece=key == "person standing",
        bands_hz=OCTAVES,
        values=values,
        uncertainty=tuple(0.15 * v for v in values),
        source="made up",
        mark="own",
    )


def target(
    low_s: float | None, high_s: float | None, bands: tuple[float, ...] = OCTAVES, **more: object
) -> Target:
    nominal = (low_s + high_s) / 2 if low_s and high_s else 0.8 * (high_s or 1.0)
    facts: dict[str, object] = {
        "key": "podcast room",
        "title": "Podcast room",
        "source": "made up",
        "mark": "own",
        "limits": tuple(BandLimit(band_hz=hz, low_s=low_s, high_s=high_s) for hz in bands),
        "mid_bands_hz": (500.0, 1000.0),
        "mid_low_s": low_s,
        "mid_nominal_s": nominal,
        "mid_high_s": high_s,
        "occupied": None,
    }
    return Target(**(facts | more))


def verdict(aim: Target, outcome: str = "too long", findings: tuple[Finding, ...] = ()) -> Verdict:
    bands = tuple(
        BandVerdict(
            band_hz=limit.band_hz,
            value_s=None,
            u_s=None,
            low_s=limit.low_s,
            high_s=limit.high_s,
            outcome=Outcome(outcome),
        )
        for limit in aim.limits
    )
    mid = MeanVerdict(
        bands_hz=aim.mid_bands_hz,
        value_s=None,
        u_s=None,
        low_s=aim.mid_low_s,
        high_s=aim.mid_high_s,
        outcome=Outcome(outcome),
    )
    return Verdict(target=aim, bands=bands, mid=mid, findings=findings)


def measured(
    decays_s: dict[float, float], transition_hz: float = 200.0, u: float = 0.03
) -> Analysis:
    """A first visit with these mean decays, known to a share `u`."""
    octaves = tuple(
        BandMean(
            band_hz=hz,
            edt=Estimate(value=t),
            t20=Estimate(value=t, u=u * t, spread=0.07 * t, n=6),
            t30=Estimate(value=t),
        )
        for hz, t in decays_s.items()
    )
    mid = [t for hz, t in decays_s.items() if hz in (500.0, 1000.0)]
    return Analysis(
        visit="before",
        positions=(),
        octaves=octaves,
        thirds=(),
        transition_hz=transition_hz,
        mid_s=sum(mid) / len(mid),
        mid_u_s=0.02,
        grade="engineering",
    )


def names(pieces: tuple[Placement, ...]) -> list[str]:
    return sorted(p.piece for p in pieces)
