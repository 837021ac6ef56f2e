"""Rooms that miss their promise for a known reason, and what is said of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Estimate, Fact, fact
from roomcheck.geometry import Rectangle, Room
from roomcheck.job import Job, Placement, PorousCore, StockPiece
from roomcheck.predict import BandPrediction, piece_absorption
from roomcheck.recommend import Plan
from roomcheck.verify import Cause
from roomcheck.verify.causes import causes

BANDS = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
ROOM = Room.box(5.0, 4.0, 2.5)
SABINE = 0.161 * 50.0  # 0.161 V: Sabine's constant, any handbook

CORE = PorousCore(thickness_m=0.05, gap_m=0.0, flow_resistivity_pa_s_m2=10_000.0)
THIN = StockPiece(
    name="thin panel",
    kind="panel",
    width_m=0.61,
    height_m=1.22,
    depth_m=0.05,
    weight_kg=5.0,
    mounts=("wall",),
    core=CORE,
    material=None,
    build_hours=Decimal(1),
    install_hours=Decimal(1),
    needs=(),
)
DEEP = replace(
    THIN, name="deep panel {n}", core=replace(CORE, thickness_m=0.10, gap_m=0.15), width_m=1.2
)
HUNG = ("thin panel",) * 6 + ("deep panel {n}",) * 4


@cache
def area(piece: StockPiece, hz: float) -> float:
    return piece.width_m * piece.height_m * (piece_absorption(piece).at(hz) or 0.0)


def treated(hz: float) -> float:
    """Absorption of the room as planned: 8 m2 of its own and the pieces. [m2]"""
    return 8.0 + 6 * area(THIN, hz) + 4 * area(DEEP, hz)


def found(absorbs: Callable[[float], float], u: float = 0.01) -> tuple[Fact[Cause], ...]:
    """What is said of a room that absorbs so much in each octave. [m2]"""
    prediction, before = (
        tuple(
            BandPrediction(
                band_hz=hz,
                sabine_s=None,
                eyring_s=None,
                simulated_s=None,
                likely_s=SABINE / area_m2(hz),
                low_s=SABINE / area_m2(hz) * (1 - 2 * u),
                high_s=SABINE / area_m2(hz) * (1 + 2 * u),
            )
            for hz in BANDS
        )
        for area_m2 in (treated, lambda _: 8.0)
    )
    octaves = tuple(mean(hz, SABINE / absorbs(hz), u) for hz in BANDS)
    after = cast(
        Analysis, SimpleNamespace(octave=lambda hz: next(m for m in octaves if m.band_hz == hz))
    )
    shop = SimpleNamespace(piece={THIN.name: THIN, DEEP.name: DEEP}.__getitem__)
    job = cast(Job, SimpleNamespace(folder=Path(), room=ROOM, shop=shop))
    place = Rectangle(0, 0, 1, 1)
    pieces = tuple(
        Placement(name=str(i), piece=name, face="north", place=place) for i, name in enumerate(HUNG)
    )
    plan = cast(
        Plan,
        SimpleNamespace(pieces=pieces, prediction=SimpleNamespace(after=prediction, before=before)),
    )
    return causes(job, after, plan)


def mean(hz: float, t20_s: float, u: float) -> BandMean:
    return BandMean(band_hz=hz, t20=Estimate(value=t20_s, u=u * t20_s, n=6))


def test_a_missing_piece_is_named_with_its_number() -> None:
    deep = found(lambda hz: treated(hz) - area(DEEP, hz))[0]
    assert deep == fact(Cause.PIECES_MISSING, count=1, piece="deep panel {n}")
    thin = found(lambda hz: treated(hz) - 3 * area(THIN, hz))[0]
    assert thin == fact(Cause.PIECES_MISSING, count=3, piece="thin panel")


def test_a_missing_gap_is_told_from_a_missing_piece() -> None:
    flush = replace(DEEP, core=replace(CORE, thickness_m=0.10, gap_m=0.0))
    likeliest = found(lambda hz: treated(hz) - 4 * (area(DEEP, hz) - area(flush, hz)), u=0.005)[0]
    assert (likeliest.kind, likeliest["count"]) == (Cause.GAP_MISSING, 4)


def test_weak_pieces_are_told_with_how_much() -> None:
    likeliest = found(lambda hz: treated(hz) - 0.3 * (treated(hz) - 8.0), u=0.005)[0]
    assert likeliest.kind == Cause.WEAK_PIECES
    assert likeliest["share"] == pytest.approx(0.30, abs=0.005)


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        (lambda hz: treated(hz) + 3.0, Cause.MORE_ABSORPTION),
        (lambda hz: treated(hz) - 0.1, Cause.AS_PREDICTED),
        (lambda hz: treated(hz) - (4.0 if hz == 500 else 0.0), Cause.UNEXPLAINED),
    ],
)
def test_other_causes(change: Callable[[float], float], kind: Cause) -> None:
    assert found(change) == (fact(kind),)


def test_a_room_that_sounds_as_before_is_asked_whether_anything_hangs():
    assert found(lambda hz: 8.0) == (fact(Cause.AS_BEFORE),)
