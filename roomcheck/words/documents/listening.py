"""Words that go with the files to listen to."""

from __future__ import annotations

LISTENING: dict[str, str] = {
    "listening_simulated": "SIMULATION: not a recording of a finished room",
    "listening_measured": "made with a measured response",
    "listening_about": (
        "Files to listen to: a woman's voice, hand claps and a guitar, as they sound between the "
        "test sound {source} and the microphone {microphone}. Use headphones, start quietly. On "
        "headphones you sit at the microphone and look at the loudspeaker: early sound comes from "
        "where the room's mirror images lie, late sound from all around, through a published "
        "model of a head (a sphere; not a recording with two ears).\n\n"
        "30-seconds-…: a voice, two claps and a guitar in 10 seconds, three times: before, "
        "then in the other room, then before again. One gain for all.\n\n"
        "1-before: with the response measured before the work.\n2-after-as-predicted-SIMULATED: "
        "the response measured before, made to die away as the plan predicts; early reflections "
        "off a piece of the plan are as loud as it leaves them. Octaves that the plan does not "
        "predict follow the nearest that it does, by what the pieces absorb there. A simulation, "
        "not a promise.\n3-after-as-measured: with the response measured after the work.\n\n"
        "The noise of the measurement is taken out: where it begins, each octave is carried on by "
        "its own decay, before and after alike.\n\nas-loud-as-it-is: one gain for all; right only "
        "if gain and loudspeaker were the same at both visits.\nequally-loud: all at the same "
        "A-weighted level, so that nothing but the room differs.\n\n"
        "Whose the dry sounds are: the voice is sentence a0007 of the CMU ARCTIC databases, "
        "speaker slt, Copyright (c) 2003 Carnegie Mellon University, free for any use; "
        "cut and faded here, nothing above 8 kHz was recorded of it. The guitar is a phrase of "
        "our own on samples of the Fluid (R3) sound font, Copyright (c) 2000-2002, 2008 "
        "Frank Wen, MIT licence. The claps are made here. None of these people heard "
        "or approved this.\n\n"
        "How long a sound takes to die away by 60 dB in each octave, at this seat:\n"
    ),
    "room_before": "Before",
    "room_planned": "As planned (simulated)",
    "room_measured": "As measured afterwards",
    "sound_guitar": "A guitar",
    "sound_voice": "A voice",
    "sound_claps": "Hand claps",
    "player_simulated": (
        "“As planned” is a simulation, not a promise. On headphones you sit at the seat and look "
        "at the loudspeaker."
    ),
    "player_title": "Hear your room",
    "player_room": "Which room",
    "player_sound": "Which sound",
    "player_play": "Play",
    "player_stop": "Stop",
    "player_even": "All equally loud",
    "player_keys": (
        "Use headphones, and start quietly. Change the room while it plays. On a keyboard: 1, 2, 3 "
        "choose the room, the space bar starts and stops."
    ),
    "player_files": "The sound files, one by one",
    "listening_octave": "{octave_hz:.0f} Hz: {times}",
    "listening_follows": "; not predicted, follows {like_hz:.0f} Hz",
    "listening_left_out": (
        "{octave_hz:.0f} Hz: left out of all files; no decay was to be read above the noise"
    ),
}
