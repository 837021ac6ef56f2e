"""Stock pieces of every kind: from the shop's file to the model that computes how they absorb."""

from __future__ import annotations

import dataclasses

import pytest

from roomcheck.job.model.shop import CoreFront, PorousCore
from roomcheck.materials import (
    Facing,
    Perforated,
    Sheet,
    Slotted,
    corner_trap,
    porous_layer,
    resonator,
)
from roomcheck.materials.layers.porous import IN_ROOMS
from roomcheck.predict import piece_absorption

from .conftest import PANEL

CORE = PorousCore(thickness_m=0.05, gap_m=0.05, flow_resistivity_pa_s_m2=12_000.0)
LAYER = {"thickness_m": 0.05, "gap_m": 0.05, "flow_resistivity_pa_s_m2": 12_000.0}


def piece(**core):
    return dataclasses.replace(PANEL, core=dataclasses.replace(CORE, **core))


@pytest.mark.parametrize(
    ("front", "expected"),
    [
        (
            CoreFront(kind="holes", thickness_m=0.012, opening_m=0.008, open_share=0.12),
            Perforated(thickness_m=0.012, hole_m=0.008, open_share=0.12),
        ),
        (
            CoreFront(kind="slots", thickness_m=0.019, opening_m=0.006, open_share=0.08),
            Slotted(thickness_m=0.019, slot_m=0.006, open_share=0.08),
        ),
        (CoreFront(kind="sheet", mass_kg_m2=4.5), Sheet(mass_kg_m2=4.5)),
    ],
)
def test_a_front_makes_a_resonator(front, expected):
    assert piece_absorption(piece(front=front)) == resonator(expected, **LAYER)


def test_cloth_lies_on_a_layer_with_its_edges():
    front = CoreFront(kind="cloth", mass_kg_m2=0.3, resistance_pa_s_m=400.0)
    cloth = Facing(resistance_pa_s_m=400.0, mass_kg_m2=0.3)
    found = piece_absorption(piece(front=front))
    assert found == porous_layer(0.05, 0.05, 12_000.0, facing=cloth, edge_share=IN_ROOMS)
    assert found != piece_absorption(piece())


def test_a_divided_core_reacts_locally():
    found = piece_absorption(piece(divided=True))
    assert found == porous_layer(0.05, 0.05, 12_000.0, divided=True, edge_share=IN_ROOMS)
    assert "local" in found.source


@pytest.mark.parametrize(("solid", "shape"), [(False, "straddling"), (True, "solid")])
def test_a_corner_piece_is_a_corner_trap(solid, shape):
    trap = dataclasses.replace(piece(solid=solid), kind="corner")
    assert piece_absorption(trap) == corner_trap(
        PANEL.width_m, 12_000.0, shape=shape, thickness_m=0.05
    )
