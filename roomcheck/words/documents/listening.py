"""Words that go with the files to listen to."""

from __future__ import annotations

LISTENING: dict[str, str] = {
    "listening_simulated": "SIMULATION: not a recording of a finished room",
    "listening_measured": "made with a measured response",
    "listening_about": (
        "Files to listen to: a made-up voice and hand claps, as they sound between the test sound "
        "{source} and the microphone {microphone}. Use headphones, start quietly.\n\n1-before: "
        "with the response measured before the work.\n2-after-as-predicted-SIMULATED: the response "
        "measured before, made to die away as the plan predicts in the octaves it predicts; other "
        "octaves and the first reflections stay those of the untreated room. A simulation, not a "
        "promise.\n3-after-as-measured: with "
        "the response measured after the work.\n\nas-loud-as-it-is: one gain for all; right only "
        "if gain and loudspeaker were the same at both visits.\nequally-loud: all at the same "
        "A-weighted level, so that nothing but the room differs.\n"
    ),
}
