"""Verdicts, findings and proofs in words."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import pytest

from promises import a_job, a_visit, signed
from roomcheck.facts import Fact, fact
from roomcheck.judge import (
    FREE,
    BandVerdict,
    Finding,
    FindingKind,
    LimitSource,
    MeanNote,
    MeanVerdict,
    Outcome,
    Remedy,
    Verdict,
)
from roomcheck.report import text_of
from roomcheck.report.pages.certificate import promised_table
from roomcheck.report.screens.verify import verification_blocks
from roomcheck.standards import target_for
from roomcheck.verify import Verification, verify
from roomcheck.words import (
    Reader,
    finding_limit,
    finding_numbers,
    finding_title,
    proof_sentence,
    sentence,
    verdict_sentence,
)
from roomcheck.words.verdicts.findings import _WORDS

METRIC, IMPERIAL = Reader(units="metric"), Reader(units="imperial")


def a_finding(measured: Fact[FindingKind], source: LimitSource, **values: str) -> Finding:
    return Finding(measured=measured, source=fact(source, **values), remedies=(), beyond_jnd=1.0)


def a_verdict(outcome: Outcome, value_s: float | None, **more: object) -> Verdict:
    fields: dict[str, object] = {"low_s": 0.20, "high_s": 0.60, "u_s": 0.0141, "notes": ()}
    mid = MeanVerdict(bands_hz=(500.0, 1000.0), value_s=value_s, outcome=outcome, **(fields | more))  # type: ignore[arg-type]
    return Verdict(target=target_for("meeting room", 50), bands=(), mid=mid, findings=())


def test_every_kind_of_finding_has_all_its_words() -> None:
    assert set(_WORDS) == set(FindingKind)


def test_the_sentence_says_how_much_longer_and_the_limit_stands_beside() -> None:
    live = a_finding(
        fact(
            FindingKind.TOO_LIVE,
            mean_s=1.1256,
            mean_u_s=0.0138,
            limit_s=0.60,
            bands_hz=(500.0, 1000.0),
        ),
        LimitSource.DOCUMENT,
        document="common practice of the trade",
    )
    assert finding_title(live, METRIC) == "Too live"
    assert sentence(live.measured, METRIC) == (
        "Sound lingers almost twice as long as it should here."
    )
    assert finding_numbers(live, METRIC) == "Mean decay 1.13 s ± 0.03 s over 500 Hz and 1 kHz."
    assert finding_limit(live, METRIC) == "At most 0.60 s: common practice of the trade."


def test_the_headline_names_the_lower_limit_as_such() -> None:
    close = verdict_sentence(a_verdict(Outcome.UNDECIDED, 0.21), METRIC)
    assert close == (
        "Too close to call for a meeting room: 0.21 s ± 0.03 s against the lower limit of 0.20 s."
    )
    above = verdict_sentence(a_verdict(Outcome.UNDECIDED, 0.59), METRIC)
    assert "the upper limit of 0.60 s" in above


@pytest.mark.parametrize(
    ("outcome", "value_s", "words"),
    [
        (Outcome.TOO_LONG, 0.604, "Sound lingers too long for a meeting room: 0.604 s, where 0.60"),
        (
            Outcome.TOO_SHORT,
            0.19,
            "The room is too dead for a meeting room: sound dies away in 0.19",
        ),
        (
            Outcome.WITHIN,
            0.40,
            "Nothing is wrong here: sound dies away as it should, 0.40 s (0.20 to 0.60 s wanted)",
        ),
    ],
)
def test_headlines(outcome: Outcome, value_s: float, words: str) -> None:
    assert verdict_sentence(a_verdict(outcome, value_s), METRIC).startswith(words)


def test_a_room_without_a_verdict_says_why() -> None:
    lacks = (fact(MeanNote.LACKS, bands_hz=(500.0,)),)
    verdict = a_verdict(Outcome.NOT_MEASURED, None, notes=lacks)
    words = "No verdict on the room for a meeting room: the mean lacks 500 Hz."
    assert verdict_sentence(verdict, METRIC) == words


def test_a_good_length_with_another_fault_or_a_band_that_misses() -> None:
    good = a_verdict(Outcome.WITHIN, 0.40)
    dull = a_finding(
        fact(FindingKind.DULL, treble_s=0.2, low_middle_s=0.4, ratio=0.5, limit_ratio=0.6),
        LimitSource.COMMON_PRACTICE,
    )
    words = verdict_sentence(replace(good, findings=(dull,)), METRIC)
    assert words.endswith("but another problem was found: dull.")
    band = BandVerdict(
        band_hz=250.0, value_s=0.7, u_s=0.01, low_s=0.2, high_s=0.6, outcome=Outcome.TOO_LONG
    )
    words = verdict_sentence(replace(good, bands=(band,)), METRIC)
    assert words.endswith("but not in every band: 250 Hz (too long).")


def test_limits_that_were_carried_are_told_after_the_headline() -> None:
    carried = fact(
        MeanNote.LIMITS_CARRIED,
        people_meant=20,
        people_there=1,
        low_meant_s=0.30,
        high_meant_s=0.45,
        low_s=0.44,
        high_s=0.85,
    )
    assert verdict_sentence(a_verdict(Outcome.WITHIN, 0.5, notes=(carried,)), METRIC).endswith(
        "The target means 20 people in the room: 0.30 to 0.45 s. With one person in it, as "
        "measured, that is 0.44 to 0.85 s."
    )


VALUES = {
    Remedy.ADD_ABSORPTION: {"area_m2": 6.0, "aim_s": 0.5, "panels": 9},
    Remedy.MOVE_ALONG: {"order": (1, 0, 1)},
    Remedy.DEEP_AT_ENDS: {"order": (0, 2, 0)},
    Remedy.MOVE_SEAT_TOWARDS: {"wall": "west", "distance_m": 0.5},
    Remedy.OUT_OF_RANGE_OF_FACE: {"source": "S1", "near_m": 0.3, "far_m": 1.1},
    Remedy.RUG: {"place": ("floor", None, ((1.0, "west"), (2.0, "south")))},
    Remedy.ABSORBER_UNDER_CEILING: {"place": ("ceiling", None, ((1.0, "west"), (2.0, "south")))},
    Remedy.ABSORBER_AT: {"place": ("west", 1.2, ((0.8, "south"),))},
    Remedy.CURTAIN_BEFORE: {"opening": "window"},
    Remedy.ONE_OF_TWO_WALLS: {"first": "south", "second": "north"},
}


@pytest.mark.parametrize("remedy", Remedy)
def test_what_costs_nothing_says_so_and_units_are_the_readers(remedy: Remedy) -> None:
    helps = fact(remedy, **VALUES.get(remedy, {}))  # type: ignore[arg-type]
    for reader in (METRIC, IMPERIAL):
        assert sentence(helps, reader).startswith("Free: ") is (remedy in FREE)
    assert not re.search(r"\d (in|ft)\b|\d'|a foot", sentence(helps, METRIC))
    assert not re.search(r"\d (m|cm|mm|m²)\b", sentence(helps, IMPERIAL))


def test_an_imperial_reader_gets_no_metres() -> None:
    """343.2 m/s x 1.5 ms = 0.515 m: 1'-8"."""
    hollow = a_finding(
        fact(
            FindingKind.HOLLOW,
            detour_m=0.5148,
            hollow=True,
            level_db=-5.0,
            limit_db=-10.0,
            limit_to_s=0.015,
            delay_s=0.0015,
            source="L",
            microphone="P1",
            comb_first_hz=333.3,
            comb_step_hz=666.7,
            comb_db=11.0,
            others=(),
        ),
        LimitSource.BS_1116,
    )
    numbers = finding_numbers(hollow, IMPERIAL)
    assert "1'-8\" of detour" in numbers and "333 Hz, then every 667 Hz" in numbers


BEFORE, AFTER = (0.62, 0.65, 0.58, 0.61, 0.64, 0.62), (0.47, 0.50, 0.48, 0.49, 0.46, 0.49)


def a_proof(low_s: float, high_s: float, **conditions: dict[str, object]) -> Verification:
    visits = a_visit("before", {500.0: BEFORE}), a_visit("after", {500.0: AFTER})
    return verify(a_job(**conditions), *visits, signed({500.0: (low_s, high_s)}))


def test_proofs_in_one_sentence() -> None:
    assert proof_sentence(a_proof(0.40, 0.55), METRIC) == (
        "The promise is kept: every promised value lies inside its limits, measured at 6 pairs."
    )
    assert proof_sentence(a_proof(0.30, 0.40), METRIC) == (
        "The promise is not kept; longer than promised: 500 Hz."
    )
    close = proof_sentence(a_proof(0.40, 0.490), METRIC)
    assert close.startswith("Too close to the limit to say whether the promise is kept: 500 Hz.")
    assert re.search(r"About \d+ more pairs? would decide", close)
    upon = proof_sentence(a_proof(0.40, 0.482), METRIC)
    assert "no reasonable number of pairs would decide" in upon
    doors = a_proof(0.40, 0.55, before={"doors": "shut"}, after={"doors": "open"})
    assert proof_sentence(doors, METRIC) == (
        "Undecided, because the two visits cannot be compared. Doors: shut before, open after. "
        "Measure again as on the first visit."
    )


def test_the_terminal_prints_what_the_certificate_prints_and_never_against_its_verdict() -> None:
    """The same 200 values by one function: none reads as inside its limits and not kept."""
    rng = random.Random(13)
    proof = a_proof(0.20, 0.40)
    for _ in range(200):
        after_s = round(0.40 + rng.choice((-1, 1)) * 10 ** rng.uniform(-5, -1), 6)
        kept = "not kept" if after_s > 0.40 else "kept"
        band = replace(proof.bands[0], after_s=after_s, kept=type(proof.kept)(kept))
        shown = replace(proof, bands=(band,), kept=type(proof.kept)(kept))
        _, table = promised_table(shown)
        limits, value = table.rows[0][1], table.rows[0][2]  # type: ignore[union-attr]
        assert (float(value) > float(limits.partition("–")[2])) is (after_s > 0.40)
        line = next(
            line
            for line in text_of(verification_blocks(shown, METRIC), 80, False).splitlines()
            if line.startswith("500 Hz ")
        )
        assert f" {value} " in line and limits in line


def test_no_line_of_the_terminal_is_over_80_columns() -> None:
    for everything in (False, True):
        blocks = verification_blocks(a_proof(0.30, 0.40), METRIC, everything=everything)
        lines = text_of(blocks, 80, False).splitlines()
        assert max(map(len, lines)) <= 80 and len(lines) <= 40
