"""Questions and remarks of a visit, before anything is recorded."""

from __future__ import annotations

SITE: dict[str, str] = {
    "no_device": (
        "There is no sound device: plug the interface in, and look again. Everything from files "
        "works without."
    ),
    "heads_devices": "No.|device|system|in|out|kHz|of use",
    "use_records": "records",
    "use_plays": "plays",
    "use_nothing": "nothing",
    "usual_device": "Taken where you name none: {devices}.",
    "choose_device": (
        "To choose: roomcheck measure JOB --input {input} --output {output}, or a part of the name."
    ),
    "device_lacks": (
        "Nothing here {uses}: roomcheck measure needs both. Recordings from elsewhere come in by "
        "roomcheck add."
    ),
    "sweep_file": (
        "{seconds:.0f} s at {rate_hz} Hz; sweep {starts}; peak {peak_dbfs:g} dB re full scale."
    ),
    "sweep_starts": "{side} at {start_s:.1f} s",
    "sweep_facts": "what roomcheck add needs to know of it. Keep both together.",
    "sweep_playing": (
        "Play it from a file, by wire, with the player's effects and loudness correction off.|Put "
        "the recorder on a stand, start it before the first chirp, and do not touch it until the "
        "last.|For several positions let it run on, move it only between two playings, and bring "
        "all in at once: roomcheck add JOB REC.wav --microphone P1,P2,P3 …"
    ),
    "sweep_loud": "Loud",
    "sweep_loud_says": (
        "Start quietly: a sweep is loud in the treble. Wear ear protection close to the "
        "loudspeaker."
    ),
    "no_take": "Visit {visit!r}: no take yet. The same command begins again.",
    "visit_complete": "Visit {visit!r} is complete",
    "visit_grade": "{reached} grade after ISO 3382-2 ({wanted} was wanted).",
    "visit_incomplete": "Visit {visit!r} is not complete",
    "visit_goes_on": "The same command goes on from here. Missing:",
    "visit_anew": "With --again everything is recorded anew. Missing:",
    "visit_decay": "Decay at 500 Hz and 1 kHz:",
    "visit_decay_says": "{mean_s:.2f} s ± {expanded} s (95 %).",
    "next": "Next:",
    "ask_places": "\nWhere things stand. {axes} Lengths with a unit, such as {such}.",
    "axes_of_corners": (
        "x and y are those of the room's corners in job.toml, z goes up from the floor."
    ),
    "axes_of_box": (
        "Start in the corner of the {south} and the {west} wall: x goes along the {south} wall "
        "({along}), y along the {west} wall ({across}), z up from the floor."
    ),
    "such_imperial": "7' 2\" or 86 in",
    "such_metric": "2.18 m or 218 cm",
    "ask_loudspeaker": "Loudspeaker {name}, {axis}",
    "ask_microphone": "Microphone {name}, {axis}",
    "or_no_more": "{question} (return: no more)",
    "outside_room": "    {name} would stand outside the room; once more, please.",
    "conditions_are": (
        "Conditions as job.toml has them: {conditions}. Where they are not so, say it: "
        "--temperature 70F, …"
    ),
    "ask_conditions": (
        "\nThe conditions, because before and after can only be compared where they are alike. "
        "Return takes what is in brackets; a rough value is better than none."
    ),
    "ask_temperature": "Temperature in the room (70 F, 21 C)",
    "ask_humidity": "Relative humidity (45 %)",
    "ask_people": "People in the room while it records",
    "ask_doors": "Doors and windows",
    "ask_hvac": "Heating and ventilation",
    "ask_gain": "Gain and volume, as you marked them",
    "usual_people": "1",
    "usual_doors": "shut",
    "usual_hvac": "off",
    "usual_gain": "",
    "whole_number": "a whole number, please",
    "sweep_as_given": "Sweep of {seconds:g} s at {level_dbfs:g} dB re full scale, as given.",
    "level_first": "\nLevel first. Put loudspeaker and microphone at the first position for it:",
    "ask_quiet_sweep": (
        "A quiet test sweep of 2 s at {first_dbfs:g} dB (0 dB is the most that the output can "
        "give); {louder}."
    ),
    "louder_by_yes": "nothing gets louder without your yes",
    "louder_to_ceiling": "nothing gets louder than {ceiling_dbfs:g} dB",
    "ask_louder": "Louder, from {now_dbfs:.0f} to {next_dbfs:.0f} dB?",
}
