"""Predictions in words: what is missing and why, which method to trust, what the target means."""

from __future__ import annotations

from roomcheck.predict import (
    NoDecay,
    NoSeatForecast,
    OutlookNote,
    PredictionNote,
    SecondOpinion,
    Trust,
)
from roomcheck.units import band_name
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register

AXES = {
    "x": "x (one pair of walls)",
    "y": "y (the other pair)",
    "z": "z (floor and ceiling)",
}


def _unexplained(
    reader: Reader, band_hz: float, measured_s: float, expected_s: float, deviations: float
) -> str:
    side = "longer" if deviations > 0 else "shorter"
    return (
        f"{band_name(band_hz)}: measured {measured_s:.2f} s, the materials as typed give "
        f"{expected_s:.2f} s, {abs(deviations):.1f} standard deviations {side} than they can "
        "explain. Check the room's size, open doors, coupled rooms and the materials. Until then "
        "no material is fitted here, and the range covers a wrong size as well as something that "
        "absorbs and was not typed."
    )


def _capped(
    reader: Reader,
    materials: tuple[str, ...],
    alphas: tuple[float, ...],
    bands_hz: tuple[float, ...],
    most_alpha: float,
) -> str:
    named = "; ".join(
        f"{material} ({alpha:.2f} at {band_name(hz)})"
        for material, alpha, hz in zip(materials, alphas, bands_hz, strict=True)
    )
    return (
        f"Coefficients above {most_alpha:g}: {named}. A single reflection counts {most_alpha:g} at "
        "most; in simulated decays a path loses no more than all, and what a laboratory's edges "
        "add acts like furniture."
    )


def _uneven_pairs(
    reader: Reader,
    most: str,
    least: str,
    ratio: float,
    simulated_s: float,
    eyring_s: float,
    fitzroy_s: float | None = None,
) -> str:
    end = ""
    if fitzroy_s is not None:
        end = f" Without scattering it would come nearer to Fitzroy's {fitzroy_s:.2f} s."
    return (
        f"the faces across {AXES[most]} absorb {ratio:.1f} times what those across {AXES[least]} "
        "do: sound between the bare ones outlives every diffuse-field formula; simulated "
        f"{simulated_s:.2f} s, Eyring {eyring_s:.2f} s.{end} Spread absorption over all three "
        "pairs, or scatter, and the methods come together."
    )


def _low(reader: Reader, mean_alpha: float, pair_alphas: tuple[float, ...], found: str) -> str:
    listed = ", ".join(f"{alpha:.2f}" for alpha in pair_alphas)
    return (
        f"the mean coefficient is low ({mean_alpha:.2f}), and the simulation finds {found} "
        f"({listed}): it, Eyring and Sabine lie close together."
    )


def _even(reader: Reader, mean_alpha: float, pair_alphas: tuple[float, ...]) -> str:
    return _low(reader, mean_alpha, pair_alphas, "pairs of faces alike")


def _scattered(reader: Reader, mean_alpha: float, pair_alphas: tuple[float, ...]) -> str:
    return _low(reader, mean_alpha, pair_alphas, "enough scattering between uneven pairs of faces")


def _no_coefficient(reader: Reader, materials: tuple[str, ...]) -> str:
    return f"No source gives absorption for {joined(materials)}."


MODES_BELOW = (
    "Below {transition_hz:.0f} Hz no decay is predicted: single modes ring there, each with a time "
    "of its own."
)

register(
    {
        NoDecay.BELOW_TRANSITION: (
            "Below the room's transition frequency of {transition_hz:.0f} Hz: modes there, no "
            "reverberation time."
        ),
        NoDecay.BELOW_USUAL_TRANSITION: (
            "Below about {transition_hz:.0f} Hz: modes there, no reverberation time."
        ),
        NoDecay.NO_COEFFICIENT: _no_coefficient,
        NoDecay.NO_COEFFICIENT_NOR_DECAY: lambda reader, materials: (
            f"{_no_coefficient(reader, materials)} A measured decay would stand in."
        ),
        NoDecay.MORE_THAN_SURFACE: (
            "The surfaces as given would absorb more than there is of them."
        ),
        NoDecay.NO_FIT: (
            "The simulated energy dies too fast, or too slowly, for a fit over 20 dB."
        ),
        PredictionNote.UNEXPLAINED: _unexplained,
        PredictionNote.CAUSES_POSSIBLE: (
            "Nothing explains it much better than everything else; possible, and to be looked at "
            "first, is this:"
        ),
        PredictionNote.OPENING: (
            "About {area_m2:.1f} m² that take all sound would explain it: check for an open door "
            "or window, or something soft that was not typed."
        ),
        PredictionNote.OTHER_MATERIAL: "{material} in place of {typed} would explain it.",
        PredictionNote.NO_SINGLE_CAUSE: (
            "No opening or single other material explains it: check the plan's sizes, doors and "
            "windows, coupled rooms, and every material."
        ),
        PredictionNote.AIR_ASSUMED: (
            "No visit says how warm and how humid the air is: {temperature_c:g} °C and "
            "{humidity_pct:g} % are assumed."
        ),
        PredictionNote.IMAGES_NOT_FOLLOWED: (
            "Image sources were not followed in this run; mean energy transport stands behind the "
            "range."
        ),
        PredictionNote.NO_RECTANGLE: (
            "The plan is no rectangle: rays meet each patch, and the decay is the room's mean, not "
            "one seat's."
        ),
        PredictionNote.NO_POSITIONS: (
            "No source or no microphone has a place: reflections are averages, not followed patch "
            "by patch."
        ),
        PredictionNote.FIRST_PAIRS_FOLLOWED: (
            "Images are followed for the first {followed} of {pairs} pairs."
        ),
        OutlookNote.CAPPED: _capped,
        OutlookNote.TARGET_UNOCCUPIED: (
            "{target} means the room without people: hold the range as planned against it."
        ),
        OutlookNote.TARGET_OCCUPIED: (
            "{target} means the room in use: hold the range with {people} people against it."
        ),
        OutlookNote.TARGET_OCCUPIED_PEOPLE_UNKNOWN: (
            "{target} means the room in use. Say `people_in_use` in job.toml, and the range with "
            "people is given beside the one that will be measured."
        ),
        OutlookNote.MODES_BELOW: (
            f"{MODES_BELOW} The dimensions put {{modes}} of them there; the lowest are listed."
        ),
        OutlookNote.MODES_BELOW_NO_BOX: (
            f"{MODES_BELOW} In a room that is no box their frequencies do not follow from its "
            "dimensions alone."
        ),
        NoSeatForecast.HIDDEN: (
            "{source} and {seat} do not see each other: there is no direct sound to hold "
            "reflections against."
        ),
        Trust.UNEVEN_PAIRS: _uneven_pairs,
        Trust.HIGH_MEAN: (
            "the mean coefficient is {mean_alpha:.2f}: Sabine lets sound fall on surfaces that "
            "have taken it already, and reads {longer_pct:.0f} % longer."
        ),
        Trust.UNEVEN_PATCHES: (
            "pairs of faces are alike on average, but patches are not: simulated "
            "{simulated_s:.2f} s, Eyring {eyring_s:.2f} s."
        ),
        Trust.LOW_AND_EVEN: _even,
        Trust.LOW_AND_SCATTERED: _scattered,
        SecondOpinion.ONE_MISSING: "one of them gives no decay",
        SecondOpinion.AGREES: "they agree",
        SecondOpinion.DIFFERS: (
            "they differ: tracing spreads each wall's pieces over the whole wall, and its places "
            "scatter where walls do not"
        ),
    }
)

for closed_list in (NoDecay, PredictionNote):
    # Equal texts of different lists are one key in a table, so each has a table of its own.
    register({closed_list("as_signed"): "{text}"})
