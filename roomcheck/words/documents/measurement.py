"""Words of the measurement report."""

from __future__ import annotations

MEASUREMENT: dict[str, str] = {
    "measurement_title": "Measurement report",
    "measurement_sub": "{title}, visit {visit} the work, {date}",
    "found_title": "What is wrong, and what cures it",
    "evidence": "Evidence: {text}",
    "threshold": "Threshold: {text}",
    "remedies": "What helps, free measures first:",
    "per_octave": "Decay in each octave band",
    "head_band": "Band",
    "head_t20": "T20 [s]",
    "head_95": "95 % [s]",
    "head_95_plain": "95 %",
    "head_t30": "T30 [s]",
    "head_edt": "EDT [s]",
    "head_c50": "C50 [dB]",
    "head_c80": "C80 [dB]",
    "head_d50": "D50",
    "head_ts": "Ts [ms]",
    "head_n": "Pairs",
    "head_shape": "Decay",
    "shape_straight": "straight",
    "shape_bends": "bends",
    "shape_crooked": "not straight",
    "shape_two_slopes": "{early}, then {late} s",
    "shape_disturbed": "disturbed",
    "shape_takes_differ": "takes differ",
    "head_limits": "Should be [s]",
    "head_verdict": "Verdict",
    "short_within": "As it should be",
    "short_too long": "Too long",
    "short_too short": "Too dead",
    "short_undecided": "Undecided",
    "short_not measured": "Not measured",
    "short_modal": "Not judged",
    "short_no limit": "No limit to compare with",
    "outcome_within": "within",
    "outcome_too long": "too long",
    "outcome_too short": "too short",
    "outcome_undecided": "undecided",
    "outcome_not measured": "not measured",
    "outcome_modal": "modes, not judged",
    "outcome_no limit": "no limit",
    "note_bands": (
        "T20: time to decay by 60 dB, from the fall between 5 and 25 dB; mean over the "
        "source-microphone pairs. EDT: early decay time. C50, C80: clarity; D50: definition; Ts: "
        "centre time. 95 %: two standard uncertainties. A dash: no value; the reason is given "
        "below."
    ),
    "target": "Target",
    "source_of": "Source: {source}.",
    "target_source": "Source: {source} ({mark}).",
    "mark_verified": "seen in a secondary source",
    "mark_memory": "from memory, to be checked in the document",
    "mark_common practice": "common practice",
    "mark_own": "chosen for this job",
    "where": "Where it was measured",
    "head_position": "Position",
    "head_x": "along {axis}",
    "head_from": "from {wall} wall",
    "head_above": "above floor",
    "source": "test sound {name}",
    "microphone": "microphone {name}",
    "seat": "microphone {name}, the seat that matters",
    "conditions": "Room and conditions",
    "room": "Room",
    "volume": "Volume",
    "surface": "Surface",
    "temperature": "Temperature",
    "humidity": "Relative humidity",
    "people": "People in the room",
    "doors": "Doors",
    "hvac": "Ventilation",
    "gain": "Gain",
    "equipment": "Loudspeaker, microphone, interface",
    "signal": "Test signal",
    "measured_by": "Measured by",
    "measured_at": (
        "{sources} test-sound positions, {microphones} microphone positions, {pairs} pairs"
    ),
    "positions_used": "Positions",
    "notes": "Notes",
    "furniture": "Furniture",
    "materials": "Surfaces",
    "transition": "Transition frequency",
    "transition_says": "{hz} Hz; below it the room has separate modes and no reverberation time",
    "grade": "Grade after ISO 3382-2",
    "grade_none": "none reached",
    "method_title": "Method",
    "method": (
        "Impulse responses by exponential sweep and deconvolution (ISO 18233). Octave bands "
        "after IEC 61260-1, class 1. Decays by backward integration, with the noise estimated, "
        "cut off and compensated (ISO 3382-1, ISO 3382-2); T20 needs 35 dB of decay above the "
        "noise, T30 45 dB. Uncertainty: the scatter over the positions or the standard deviation "
        "after ISO 3382-2, Annex A, whichever is greater. roomcheck {version}."
    ),
    "octaves_absolute": "dB re 20 µPa",
    "octaves_relative": "dB re full scale",
    "all_hint": (
        "With --all: evidence and remedies, noise, speech, modes, reflections, and why a value is "
        "withheld."
    ),
    "noise_hint": ("No background noise was recorded. To record it: roomcheck measure JOB --noise"),
    "no_modes": "No separate modes found from {span}.",
    "no_loopback": "Delays count from the direct sound: no loopback channel was recorded.",
    "flights": "Time of flight, from the loopback channel: {times}.",
    "not_had": "What was withheld or is in doubt, and why",
    "lacks": "What a higher grade would need",
    "each_pair": "T20 at each pair of positions",
    "head_pair": "Pair",
    "note_pairs": "In seconds. Pair: test sound, microphone.",
    "quality_title": "How good this measurement is",
    "quality_pairs": "Measured at",
    "quality_range": "Least range",
    "quality_range_says": "{db} dB above the noise, at {band} (T20 needs {needed} dB)",
    "quality_means": "So",
    "quality_fine": "the values below may be relied on, each within its own 95 %.",
    "quality_weak": (
        "read the values below as a first look: measure again before anything is built on them."
    ),
    "box_weak": "The measurement is weak; see below how far it carries.",
    "deviations": "Deviations from ISO 3382-2",
    "deviations_none": "none",
    "dev_source": "the source is not stated to radiate equally in all directions",
    "dev_pairs": "fewer pairs of positions than the survey grade asks for",
    "dev_near": "positions nearer to a surface, to each other or to the source than asked",
    "dev_octaves": "no value at {bands}",
    "dev_conditions": "the conditions of the visit are not noted",
    "dev_equipment": "the equipment is not named",
    "dev_signal": "the test signal is not known",
    "items_title": "What ISO 3382-2 asks a report to state",
    "head_asked": "Asked for",
    "head_stated": "Stated",
    "note_items": (
        "The list follows ISO 3382-2:2008, clause 9, as we know it; the document decides. "
        "Editions: ISO 3382-1:2009, ISO "
        "3382-2:2008, ISO 18233:2006, IEC 61260-1:2014, IEC 60268-16:2020."
    ),
    "accord_whole": "Measured in accordance with ISO 3382-2:2008, {grade} method.",
    "accord_except": (
        "Measured in accordance with ISO 3382-2:2008, {grade} method, except: {deviations}."
    ),
    "accord_none": (
        "Not a measurement after ISO 3382-2:2008, since it reaches no grade of it: {deviations}."
    ),
    "item_missing": "Deviation: not stated.",
    "item_room": "Name and place of the room",
    "item_plan": "Plan of the room, with its scale",
    "item_plan_says": "in this report, with all positions",
    "item_shape": "Shape of the room",
    "item_shape_box": "rectangular, {sizes}",
    "item_shape_other": "a plan of {corners} corners within {sizes}",
    "item_equipment": "Loudspeaker, microphone, recorder",
    "item_results": "Results",
    "item_results_say": "Table and curve of every octave; T20 at each pair at the end.",
    "item_results_lack": "Deviation: no value at {bands}.",
    "item_state": "State of the room: surfaces, furniture",
    "item_people": "People in it while measuring",
    "item_air": "Temperature, relative humidity",
    "item_source": "Type of source, and its directivity",
    "item_source_all_round": "Stated to radiate equally in all directions.",
    "item_source_directed": (
        "Deviation: not stated to radiate equally in all directions; T20 and T30 barely depend on "
        "it."
    ),
    "item_serials": "Serial numbers, calibration",
    "item_method": "Method",
    "item_method_says": (
        "Integrated impulse response: exponential sweep, deconvolution, backward integration."
    ),
    "item_grade": "Degree of precision",
    "item_places": "Source and microphone positions",
    "item_range": "Decay range evaluated",
    "item_range_says": "T20: 5 to 25 dB down; T30: 5 to 35 dB down; each in its table.",
    "item_average": "Averaging",
    "item_average_says": "Arithmetic mean of the times over {pairs} pairs, in octave bands.",
    "item_unsure": "Uncertainty",
    "item_unsure_says": "95 %, beside every value; how it is found stands under Method.",
    "item_noise": "Background noise",
    "item_noise_yes": "measured; see its table",
    "noise_not_measured": "Background noise was not measured.",
    "at_best": "at best {rating}",
}
