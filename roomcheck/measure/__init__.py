"""Sweep out, recording in, impulse response."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.measure.card.card import (
        PRE_ROLL_S,
        Device,
        PortAudioCard,
        Recorded,
        SoundCard,
        list_devices,
    )
    from roomcheck.measure.card.meter import Levels, meter
    from roomcheck.measure.checks.calibrator import from_sensitivity
    from roomcheck.measure.checks.rattle import OVER_DB
    from roomcheck.measure.faults import PlaceDoubted
    from roomcheck.measure.files.audio import load_impulse_response
    from roomcheck.measure.files.correction import keep_correction, read_correction
    from roomcheck.measure.files.lock import only_one
    from roomcheck.measure.files.played import (
        Played,
        Side,
        export,
        lay_out,
        played_of,
        read_played,
        read_toml,
    )
    from roomcheck.measure.kinds import (
        Choice,
        Flown,
        Level,
        LevelLimit,
        Record,
        Scale,
        Signal,
        Take,
        Unusable,
        Walk,
        Way,
    )
    from roomcheck.measure.photo.fit import MarksRefused, fit_photo
    from roomcheck.measure.photo.kept import (
        KeptPhoto,
        Marked,
        keep_photo,
        kept_photos,
        lay_aside,
        mark_photo,
        marks_of,
        photo_named,
        same_picture,
    )
    from roomcheck.measure.photo.projection import pixels_of, places_of
    from roomcheck.measure.photo.read import NoPhotograph, ending_of, frame_of, reads_heif, upright
    from roomcheck.measure.photo.results import Camera, Frame, Mark, Measured, WallPhoto
    from roomcheck.measure.photo.sizes import edge_on, rectangle_on, uncertainty_m
    from roomcheck.measure.photo.straight import straightened
    from roomcheck.measure.photo.wall import (
        LEFT_EDGE,
        RIGHT_EDGE,
        ReadOff,
        SharedCorner,
        known_on,
        read_off,
        read_photos,
        shared_corners,
    )
    from roomcheck.measure.signal.deconvolution import impulse_response
    from roomcheck.measure.signal.memory import give_back, reuse
    from roomcheck.measure.signal.signals import (
        BandRange,
        Buzz,
        ImpulseResponse,
        Limits,
        Measurement,
        PassedOver,
        TakeCheck,
        Unread,
    )
    from roomcheck.measure.signal.sweep import Sweep
    from roomcheck.measure.visit.directions import directions
    from roomcheck.measure.visit.kept_takes import (
        HeardTake,
        KeptTake,
        find_take,
        hear,
        hear_again,
        kept_takes,
        move_to,
        put_back,
        set_aside,
    )
    from roomcheck.measure.visit.level import (
        LENGTHS_S,
        START_DBFS,
        LevelFound,
        find_level,
        settings_so_far,
    )
    from roomcheck.measure.visit.long_recording import Piece, add_whole, check_single, single_work
    from roomcheck.measure.visit.noise import (
        NO_FULL_SCALE,
        NoiseTake,
        add_calibrator,
        add_noise,
        noise_takes,
    )
    from roomcheck.measure.visit.placed import Look, PlaceHeard
    from roomcheck.measure.visit.shelf import keeping
    from roomcheck.measure.visit.takes import Added, Visited, add_recording, measure, visited
    from roomcheck.measure.visit.unjudged import wav
    from roomcheck.measure.visit.visit import (
        Event,
        Walked,
        bring_in_waiting,
        good_pairs,
        keep_anyway,
        place,
        walk,
    )

__all__ = [
    "LEFT_EDGE",
    "LENGTHS_S",
    "NO_FULL_SCALE",
    "OVER_DB",
    "PRE_ROLL_S",
    "RIGHT_EDGE",
    "START_DBFS",
    "Added",
    "BandRange",
    "Buzz",
    "Camera",
    "Choice",
    "Device",
    "Event",
    "Flown",
    "Frame",
    "HeardTake",
    "ImpulseResponse",
    "KeptPhoto",
    "KeptTake",
    "Level",
    "LevelFound",
    "LevelLimit",
    "Levels",
    "Limits",
    "Look",
    "Mark",
    "Marked",
    "MarksRefused",
    "Measured",
    "Measurement",
    "NoPhotograph",
    "NoiseTake",
    "PassedOver",
    "Piece",
    "PlaceDoubted",
    "PlaceHeard",
    "Played",
    "PortAudioCard",
    "ReadOff",
    "Record",
    "Recorded",
    "Scale",
    "SharedCorner",
    "Side",
    "Signal",
    "SoundCard",
    "Sweep",
    "Take",
    "TakeCheck",
    "Unread",
    "Unusable",
    "Visited",
    "Walk",
    "Walked",
    "WallPhoto",
    "Way",
    "add_calibrator",
    "add_noise",
    "add_recording",
    "add_whole",
    "bring_in_waiting",
    "check_single",
    "directions",
    "edge_on",
    "ending_of",
    "export",
    "find_level",
    "find_take",
    "fit_photo",
    "frame_of",
    "from_sensitivity",
    "give_back",
    "good_pairs",
    "hear",
    "hear_again",
    "impulse_response",
    "keep_anyway",
    "keep_correction",
    "keep_photo",
    "keeping",
    "kept_photos",
    "kept_takes",
    "known_on",
    "lay_aside",
    "lay_out",
    "list_devices",
    "load_impulse_response",
    "mark_photo",
    "marks_of",
    "measure",
    "meter",
    "move_to",
    "noise_takes",
    "only_one",
    "photo_named",
    "pixels_of",
    "place",
    "places_of",
    "played_of",
    "put_back",
    "read_correction",
    "read_off",
    "read_photos",
    "read_played",
    "read_toml",
    "reads_heif",
    "rectangle_on",
    "reuse",
    "same_picture",
    "set_aside",
    "settings_so_far",
    "shared_corners",
    "single_work",
    "straightened",
    "uncertainty_m",
    "upright",
    "visited",
    "walk",
    "wav",
]

__getattr__, __dir__ = door(__name__)
