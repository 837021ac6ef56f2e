"""What the measurement says against the target."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from roomcheck.judge.kinds import FindingKind
from roomcheck.standards import Target

Outcome = Literal[
    "within", "too long", "too short", "undecided", "not measured", "modal", "no limit"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandVerdict:
    """One octave against its limits; decided before rounding.

    Attributes
    ----------
    band_hz : float
        [Hz]
    value_s, u_s : float or None
        Mean T20 and its standard uncertainty. [s]
    low_s, high_s : float or None
        The target's limits. [s]
    outcome : Outcome
        "modal" below the transition frequency: the decay stands there, no judgement.
    reason : str
    """

    band_hz: float
    value_s: float | None
    u_s: float | None
    low_s: float | None
    high_s: float | None
    outcome: Outcome
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A fault that a client would hear, with its evidence.

    Attributes
    ----------
    kind : FindingKind
    title, sentence : str
        For a client.
    evidence : str
        In numbers.
    threshold : str
        What was exceeded, and whose threshold it is.
    remedies : tuple of str
        In order, the free ones first.
    seats : tuple of str
        The microphones where it was found; empty where it belongs to the room as a whole.
    beyond_jnd : float or None
        How far past the threshold, in just noticeable differences; what ranks the findings. [1]
    sure : str
        How sure it is, in words; empty where the evidence says all.
    figure : str
        Which figure shows it: "decays", "modes", "response"; empty where none does.
    """

    kind: FindingKind
    title: str
    sentence: str
    evidence: str
    threshold: str
    remedies: tuple[str, ...]
    seats: tuple[str, ...] = ()
    beyond_jnd: float | None = None
    sure: str = ""
    figure: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The room against its target.

    Attributes
    ----------
    target : Target
        Its limits are those of the room with the people of the visit.
    bands : tuple of BandVerdict
    mid : BandVerdict
        The single number; `band_hz` is 0.
    findings : tuple of Finding
        What a client would hear first stands first; empty where nothing is wrong.
    sentence : str
        The verdict in one plain sentence, and what people make of the limits.
    people : str
        Where the target means other people in the room than those of the visit: its limits there
        and here.
    """

    target: Target
    bands: tuple[BandVerdict, ...]
    mid: BandVerdict
    findings: tuple[Finding, ...]
    sentence: str
    people: str = ""
