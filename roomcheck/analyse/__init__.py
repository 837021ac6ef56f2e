"""Impulse responses to decays."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.analyse.band.kinds import DecayWarning, Reason
    from roomcheck.analyse.decay.late import LateDecay, late_decays
    from roomcheck.analyse.decay.quiet import quiet_t20_s
    from roomcheck.analyse.decay.response import decays
    from roomcheck.analyse.decay.results import BandDecay
    from roomcheck.analyse.echoes.flutter import FALL_DB as FLUTTER_FALL_DB
    from roomcheck.analyse.echoes.flutter import LEAST_REPEATS
    from roomcheck.analyse.echoes.reflections import energy_time
    from roomcheck.analyse.echoes.results import (
        CandidateImage,
        EchoReason,
        Flutter,
        Meeting,
        PositionReflections,
        Reflection,
        mean_early_db,
    )
    from roomcheck.analyse.means import UNITS, BandMean, MeanRemark
    from roomcheck.analyse.modes.box_modes import box_modes, shape_at, size_of
    from roomcheck.analyse.modes.results import (
        MODE_KINDS,
        Axis,
        BoxMode,
        Dip,
        Modes,
        ModesReason,
        Response,
        RoomMode,
    )
    from roomcheck.analyse.modes.spectrum import dips
    from roomcheck.analyse.places.doubts import Looked, PlaceDoubt, PlaceNote, look_at_place
    from roomcheck.analyse.places.likeness import print_of
    from roomcheck.analyse.places.looking import doubts_at, looking
    from roomcheck.analyse.places.which_place import Placing
    from roomcheck.analyse.speech.background import noise_level
    from roomcheck.analyse.speech.noise_limit import against_limit
    from roomcheck.analyse.speech.results import (
        BandSpeech,
        NoiseLevel,
        NoiseOutcome,
        NoiseWarning,
        Rattle,
        SpeechIndex,
        SpeechReason,
        SpeechRemark,
    )
    from roomcheck.analyse.speech.speech import speech_index
    from roomcheck.analyse.visit.average import analyse, band_means
    from roomcheck.analyse.visit.few_places import PLACES_DIFFER, PlaceValues, estimate, student_t
    from roomcheck.analyse.visit.pictures import ShownCurve, curve_shown, decay_map
    from roomcheck.analyse.visit.results import (
        Analysis,
        Closing,
        Grade,
        GradeLack,
        LeftOut,
        PositionDecays,
        SourceNote,
        VisitGap,
        without,
    )
    from roomcheck.analyse.visit.visit_complete import closing

__all__ = [
    "FLUTTER_FALL_DB",
    "LEAST_REPEATS",
    "MODE_KINDS",
    "PLACES_DIFFER",
    "UNITS",
    "Analysis",
    "Axis",
    "BandDecay",
    "BandMean",
    "BandSpeech",
    "BoxMode",
    "CandidateImage",
    "Closing",
    "DecayWarning",
    "Dip",
    "EchoReason",
    "Flutter",
    "Grade",
    "GradeLack",
    "LateDecay",
    "LeftOut",
    "Looked",
    "MeanRemark",
    "Meeting",
    "Modes",
    "ModesReason",
    "NoiseLevel",
    "NoiseOutcome",
    "NoiseWarning",
    "PlaceDoubt",
    "PlaceNote",
    "PlaceValues",
    "Placing",
    "PositionDecays",
    "PositionReflections",
    "Rattle",
    "Reason",
    "Reflection",
    "Response",
    "RoomMode",
    "ShownCurve",
    "SourceNote",
    "SpeechIndex",
    "SpeechReason",
    "SpeechRemark",
    "VisitGap",
    "against_limit",
    "analyse",
    "band_means",
    "box_modes",
    "closing",
    "curve_shown",
    "decay_map",
    "decays",
    "dips",
    "doubts_at",
    "energy_time",
    "estimate",
    "late_decays",
    "look_at_place",
    "looking",
    "mean_early_db",
    "noise_level",
    "print_of",
    "quiet_t20_s",
    "shape_at",
    "size_of",
    "speech_index",
    "student_t",
    "without",
]

__getattr__, __dir__ = door(__name__)
