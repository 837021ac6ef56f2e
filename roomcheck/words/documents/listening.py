"""Words that go with the files to listen to."""

from __future__ import annotations

LISTENING: dict[str, str] = {
    "listening_simulated": "SIMULATION: not a recording of a finished room",
    "listening_measured": "made with a measured response",
    "listening_about": (
        "Files to listen to: a made-up voice and hand claps, as they sound between the test sound "
        "{source} and the microphone {microphone}. Use headphones, start quietly.\n\n1-before: "
        "with the response measured before the work.\n2-after-as-predicted-SIMULATED: the response "
        "measured before, made to die away as the plan predicts; octaves that the plan does not "
        "predict change as the nearest that it does, and the first reflections stay those of the "
        "untreated room. A simulation, not a promise.\n3-after-as-measured: with "
        "the response measured after the work.\n\nThe noise of the measurement is taken out: where "
        "it begins, each octave is carried on by its own decay, before and after alike.\n\n"
        "as-loud-as-it-is: one gain for all; right only "
        "if gain and loudspeaker were the same at both visits.\nequally-loud: all at the same "
        "A-weighted level, so that nothing but the room differs.\n\n"
        "How long a sound takes to die away by 60 dB in each octave, at this seat:\n"
    ),
    "room_before": "Before",
    "room_planned": "As planned (simulated)",
    "room_measured": "As measured afterwards",
    "sound_voice": "A voice",
    "sound_claps": "Hand claps",
    "player_simulated": "“As planned” is a simulation, not a promise.",
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
    "listening_follows": "; not predicted, changed as {like_hz:.0f} Hz is",
    "listening_left_out": (
        "{octave_hz:.0f} Hz: left out of all files; no decay was to be read above the noise"
    ),
}
