"""What else changed: only what both visits show, matched by place, surface and frequency."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from promises import a_job, a_visit, signed
from roomcheck.analyse import (
    Analysis,
    CandidateImage,
    Meeting,
    Modes,
    PositionReflections,
    Reflection,
    Response,
    RoomMode,
)
from roomcheck.verify import verify

BAND = {500.0: (0.6, 0.61)}


def reflection(face: str, delay_s: float, level_db: float, *more: str) -> Reflection:
    causes = tuple(
        CandidateImage(
            meetings=(Meeting(face=name, u_m=1.0, v_m=1.2, x_m=1.0, y_m=0.0, z_m=1.2),),
            due_s=delay_s,
            residual_s=0.0,
        )
        for name in (face, *more)
        if name
    )
    return Reflection(delay_s=delay_s, level_db=level_db, stands_out_db=10.0, causes=causes)


def visit(name: str, *reflections: Reflection, microphone: str = "P1") -> Analysis:
    seen = PositionReflections(
        source="S1",
        microphone=microphone,
        take="",
        reflections=reflections,
        smear_s=None,
        early_db=None,
    )
    return replace(a_visit(name, BAND), reflections=(seen,))


def test_a_surface_s_loudest_reflection_is_held_against_itself() -> None:
    before = visit("before", reflection("north", 0.004, -6.0), reflection("north", 0.009, -12.0))
    after = visit("after", reflection("north", 0.0041, -15.0), reflection("ceiling", 0.006, -11.0))
    found = {
        c.face: (c.before_db, c.after_db)
        for c in verify(a_job(), before, after, signed({})).surfaces
    }
    assert found == {"north": (-6.0, -15.0), "ceiling": (None, -11.0)}


def test_what_two_surfaces_or_none_may_explain_is_not_laid_on_one() -> None:
    before = visit("before", reflection("north", 0.004, -6.0, "south"), reflection("", 0.003, -8.0))
    assert verify(a_job(), before, visit("after"), signed({})).surfaces == ()
    elsewhere = visit("after", reflection("north", 0.004, -6.0), microphone="P2")
    assert (
        verify(
            a_job(), visit("before", reflection("north", 0.004, -6.0)), elsewhere, signed({})
        ).surfaces
        == ()
    )


def mode(hz: float, t_s: float, u_s: float = 0.02) -> RoomMode:
    return RoomMode(
        frequency_hz=hz,
        frequency_u_hz=0.1,
        decay_s=t_s,
        decay_u_s=u_s,
        level_db=0.0,
        range_db=30.0,
        late_db=10.0,
    )


def modal(name: str, *modes: RoomMode) -> Analysis:
    return replace(
        a_visit(name, BAND),
        modes=Modes(from_hz=30.0, to_hz=150.0, found=modes, not_found=(), positions=3),
    )


def test_standing_waves_are_matched_by_frequency_and_surely_changed_or_not() -> None:
    before, after = (
        modal("before", mode(41.0, 0.9), mode(57.0, 0.5)),
        modal("after", mode(41.4, 0.6), mode(63.0, 0.4)),
    )
    (change,) = verify(a_job(), before, after, signed({})).modes
    assert (change.frequency_hz, change.change_s, change.sure) == (41.0, pytest.approx(-0.3), True)
    assert change.change_u_s == pytest.approx(math.hypot(0.02, 0.02))
    slight = modal("after", mode(41.0, 0.87))
    assert not verify(a_job(), before, slight, signed({})).modes[0].sure


def response(ripple_db: float) -> Response:
    hz = tuple(50.0 * 2 ** (i / 24) for i in range(24 * 8))
    # A sine over frequency, twelve ripples an octave apart enough from the trend: standard
    # deviation is 1/sqrt 2 of it.
    level = tuple(ripple_db * math.sin(2 * math.pi * i / 6) for i in range(len(hz)))
    return Response(
        source="S1", microphone="P1", hz=hz, level_db=level, clear_from_hz=60.0, clear_to_hz=9000.0
    )


def test_unevenness_is_the_standard_deviation_of_a_ripple() -> None:
    before = replace(a_visit("before", BAND), responses=(response(4.0),))
    after = replace(a_visit("after", BAND), responses=(response(2.0),))
    (change,) = verify(a_job(), before, after, signed({})).evenness
    assert change.before_db == pytest.approx(4.0 / math.sqrt(2), rel=0.05)
    assert change.after_db == pytest.approx(2.0 / math.sqrt(2), rel=0.05)
    assert (change.from_hz, change.to_hz) == (100.0, 4000.0)
