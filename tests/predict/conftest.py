"""A made-up room and a made-up shop."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from pathlib import Path

import pytest

from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Estimate
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Job, Placement, PorousCore, Position, Rates, Shop, StockPiece, Visit
from roomcheck.materials import Absorption
from roomcheck.predict.answer import statistics
from roomcheck.predict.room import linings

ONE = Decimal(1)
OCTAVES = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)

# Handbook rows (Bies, Hansen and Howard 2017, Table 6.2; Cox and D'Antonio 2017, Appendix A).
HANDBOOK = {
    "gypsum": (0.29, 0.10, 0.05, 0.04, 0.07, 0.09),
    "carpet": (0.02, 0.04, 0.08, 0.20, 0.35, 0.40),
    "glass": (0.15, 0.05, 0.03, 0.03, 0.02, 0.02),
    "diffuser": (0.11, 0.10, 0.07, 0.08, 0.06, 0.06),
    linings.PERSON: (0.15, 0.37, 0.43, 0.44, 0.44, 0.43),
}


def row(key, values=None, u=0.2, bands=OCTAVES):
    values = HANDBOOK[key] if values is None else values
    return Absorption(
        key=key,
        title=key,
        per_piece=key == linings.PERSON,
        bands_hz=bands,
        values=tuple(values),
        uncertainty=tuple(max(0.02, u * v) for v in values),
        source="handbook",
        mark="verified",
    )


PANEL = StockPiece(
    name="panel",
    kind="panel",
    width_m=0.61,
    height_m=1.22,
    depth_m=0.15,
    weight_kg=8.0,
    mounts=("wall", "ceiling"),
    core=PorousCore(thickness_m=0.1, gap_m=0.05, flow_resistivity_pa_s_m2=10_000.0),
    material=None,
    build_hours=ONE,
    install_hours=ONE,
    needs=(),
)
DIFFUSER = dataclasses.replace(
    PANEL, name="diffuser", kind="well diffuser", core=None, material="diffuser"
)
BARE = dataclasses.replace(PANEL, name="bare", core=None)


@pytest.fixture
def table(monkeypatch):
    """The materials table that predict sees: rows that a test may change."""
    rows = {key: row(key) for key in HANDBOOK}
    for module in (linings, statistics):
        monkeypatch.setattr(module, "absorption_of", rows.__getitem__)
    return rows


@pytest.fixture
def make_job(table):
    return job_of


def job_of(
    room=None,
    *,
    patches=(),
    furnishings=(),
    people=0,
    sources=None,
    microphones=None,
    floor="carpet",
):
    room = room or Room.box(4.42, 3.61, 2.59)
    rates = Rates(
        **{f.name: 1 if f.name == "valid_days" else ONE for f in dataclasses.fields(Rates)}
    )
    shop = Shop(
        name="made-up shop",
        address="",
        contact="",
        made_up=True,
        kerf_m=0.003,
        fabric_roll_m=1.5,
        stock=(PANEL, DIFFUSER, BARE),
        prices=(),
        rates=rates,
    )
    return Job(
        folder=Path("story-room"),
        made_up=True,
        client="Client A",
        title="Story room",
        complaint="",
        use="podcast room",
        own_target=None,
        units="metric",
        paper="a4",
        currency="$",
        budget=None,
        room=room,
        materials=tuple(
            (face.name, floor if face.name == "floor" else "gypsum") for face in room.faces
        ),
        patches=tuple(patches),
        keep_clear=(),
        framing=(),
        fixings=(),
        furnishings=tuple(furnishings),
        sources=sources or (Position(name="S1", point=Point(1.0, 1.1, 1.2)),),
        microphones=microphones
        or tuple(
            Position(name=f"P{i}", point=Point(*at))
            for i, at in enumerate(((3.0, 2.2, 1.2), (2.5, 1.2, 1.1), (1.5, 2.9, 1.3)), start=1)
        ),
        seat="P1",
        visits=(
            Visit(
                name="before",
                date="2026-05-04",
                temperature_c=21.0,
                humidity_pct=45.0,
                people=people,
            ),
        ),
        shop=shop,
    )


def panels(count, face="north", piece="panel"):
    return tuple(
        Placement(
            name=f"A{i + 1}",
            piece=piece,
            face=face,
            place=Rectangle(0.1 + 0.65 * i, 0.6, 0.61, 1.22),
        )
        for i in range(count)
    )


def analysis_of(decays, *, u=0.04, transition_hz=190.0):
    """A measured "before" with these T20 by octave, each with a relative standard uncertainty of
    `u`."""
    octaves = tuple(
        BandMean(band_hz=b, t20=Estimate(value=T, u=u * T, n=3)) for b, T in decays.items()
    )
    return visit_of(*octaves, transition_hz=transition_hz, grade="survey")


def visit_of(*octaves, transition_hz=200.0, grade="none"):
    """A visit of which nothing but means by octave is known."""
    return Analysis(
        visit="before",
        positions=(),
        octaves=octaves,
        thirds=(),
        transition_hz=transition_hz,
        mid_s=None,
        mid_u_s=None,
        grade=grade,
    )
