"""Words of the certificate."""

from __future__ import annotations

CERTIFICATE: dict[str, str] = {
    "certificate_title": "Before and after",
    "certificate_sub": "{title}, {client}, measured {before} and {after}",
    "kept": "Kept",
    "not kept": "Not kept",
    "undecided": "Undecided",
    "not promised": "Nothing was promised",
    "box_kept": "Promise kept",
    "box_not kept": "Promise not kept",
    "box_undecided": "Promise: not decided yet",
    "box_not promised": "Nothing was promised",
    "box_target_reached": "The target is reached too.",
    "box_target_missed": "The target is not reached in every octave; see below.",
    "box_target_open": "Whether the target is reached cannot be told for every octave; see below.",
    "box_target_unknown": "The room was not held against its target again.",
    "ask_kept": "Is the promise kept?",
    "ask_target": "Is the target reached?",
    "ask_new": "Is anything new to hear?",
    "ask_next": "What happens next?",
    "yes_answer": "Yes.",
    "no_answer": "No.",
    "open_answer": "Not certain.",
    "target_unknown": "It was not judged again.",
    "target_mean": "The {mean} is {value} s as measured; wanted: {limits}.",
    "target_missed_at": "Outside its limits: {bands}.",
    "target_open_at": "Too close to the limit to tell: {bands}.",
    "not_measured_here": "–",
    "new_unknown": "It was not judged again.",
    "new_nothing": "No. Nothing was found that was not there before.",
    "next_kept": "Nothing more to do. The last payment falls due as agreed.",
    "next_kept_yet": "The last payment falls due as agreed.",
    "next_not_kept": "As agreed: {remedy}",
    "next_not_promised": "Nothing more to do.",
    "next_not_promised_yet": "No payment hangs on a promise.",
    "next_target_missed": (
        "The target is missed, though what we promised about it may be kept. The report of the "
        "second visit says what would help."
    ),
    "next_target_open": "Only more pairs would tell whether the whole target is reached.",
    "next_free": "Free to try: {cure}",
    "next_outside": "What is new was not promised. We go through it with you before we leave.",
    "next_undecided": (
        "As agreed, we measure once more: at {twice} pairs in place of {pairs}, so {more} more. "
        "Their averages decide."
    ),
    "next_averages": (
        "As agreed, the averages over these {pairs} pairs decide: a value inside its limits is "
        "kept."
    ),
    "strip_promised": "promised: {limits}",
    "head_as_met": "As measured [s]",
    "note_corrected": (
        "After: as measured, less what the other number of people in the room did; see below. That "
        "is what the promise is held against."
    ),
    "signed_changed": (
        "The signed agreement was changed by hand after it was signed: its numbers are no longer "
        "known to be those that you accepted."
    ),
    "planned_title": "First reflections that the plan lowers",
    "head_lowered": "Change [dB]",
    "head_lowered_planned": "As planned [dB]",
    "note_planned": (
        "Surface, test sound, seat and the piece in the way. Measured: relative to the direct "
        "sound, 1 to 8 kHz. As planned: at the loudest of 1, 2 and 4 kHz. A dash: not found at "
        "either visit, so it cannot be compared."
    ),
    "word_kept": "kept",
    "word_not kept": "not kept",
    "word_undecided": "undecided",
    "word_not promised": "none",
    "notice": "What you will notice",
    "notice_says": "Sound used to linger for {before} s; now it dies away in {after} s. {audible}",
    "notice_yes": "That is a change you can hear.",
    "notice_no": "That difference is too small to measure with certainty, or to hear.",
    "notice_unknown": "Whether you can hear the difference could not be established.",
    "told_before": "What you told us before the work",
    "head_before": "Before [s]",
    "head_after": "After [s]",
    "head_change": "Change [s]",
    "head_kept": "Promise",
    "head_audible": "Audible",
    "head_absorbs": "Absorbs, against what was computed",
    "note_pairs_both": "Means over {pairs} source-microphone pairs measured both times.",
    "the_numbers": "What was promised, and what we measured",
    "head_what": "",
    "visit_before": "Before",
    "visit_after": "After",
    "head_sti": "STI",
    "head_rating": "That is",
    "note_sti": (
        "Speech transmission index, 0 to 1, by the indirect method from the impulse response (IEC "
        "60268-16:2020). At best: without the room's noise, which lowers it. C50 counts what comes "
        "after 50 ms alone, so a room can be unclear by it and yet have a fair index."
    ),
    "noise_title": "Background noise",
    "head_noise": "With",
    "head_dba": "A-weighted",
    "head_nc": "NC",
    "head_nr": "NR",
    "head_louder": "Loudest octave",
    "db_absolute": "dB(A)",
    "db_relative": "dB(A) re full scale",
    "note_noise": "Energy average over each recording. NC and NR need a calibrated level.",
    "surfaces_title": "First reflections that the plan leaves as they are",
    "head_bounce": "Surface (from, to)",
    "head_after_ms": "Delay [ms]",
    "head_before_db": "Before [dB]",
    "head_after_db": "After [dB]",
    "not_out": "nothing seen",
    "note_surfaces": (
        "The loudest first reflection of each surface within 20 ms, relative to the direct "
        "sound, 1 to 8 kHz. “Nothing seen”: none stood out there on that day."
    ),
    "modes_title": "Standing waves",
    "head_wave": "Frequency",
    "head_mode_box": "Standing wave",
    "head_sure": "Certain",
    "note_modes_change": (
        "Time to decay by 60 dB. Certain: the change is more than two standard uncertainties."
    ),
    "speech_title": "Speech transmission index",
    "pairs_title": "Speech and evenness at each pair of positions",
    "head_sti_before": "STI before",
    "head_sti_after": "STI after",
    "head_uneven_before": "Unevenness before [dB]",
    "head_uneven_after": "Unevenness after [dB]",
    "note_pairs_change": (
        "STI: speech transmission index, 0 to 1 (IEC 60268-16); a change of about 0.03 is just "
        "noticeable. Unevenness: standard deviation of the level about its one-octave trend, from "
        "100 Hz to 4 kHz where it is clear of the noise; less is more even."
    ),
    "corrected": "Corrected for {people} in the room: {values}.",
    "clarity_title": "Clarity of speech",
    "head_c50_before": "C50 before [dB]",
    "head_c50_after": "C50 after [dB]",
    "head_c50_change": "Change [dB]",
    "note_clarity": (
        "C50: sound of the first 50 ms against all that comes later; more is clearer. Mean over "
        "the pairs measured both times. Audible: more than its uncertainty and more than 1 dB "
        "(ISO 3382-1's just noticeable difference of C80, extended here to C50). Nothing was "
        "promised about it."
    ),
    "how_measured": (
        "Measured at {pairs} pairs of positions both times. The promise is the one signed on "
        "{signed_on} by {signed_by}."
    ),
    "promise_changed": (
        "Pieces were changed since by change order {number}, signed on {day}: the promise is the "
        "one that was signed with it."
    ),
    "same": "Conditions were the same at both visits.",
    "differed": "What differed between the visits",
    "causes": "Most likely causes, and what to do",
    "appendix": "Appendix: for those who want to check",
    "note_certificate": (
        "±: two standard uncertainties (95 %). Promise: as signed. Audible: more than its "
        "uncertainty and more than 5 % (ISO 3382-1's just noticeable difference of the early "
        "decay, extended here to T20)."
    ),
    "decision_rule": (
        "A value is called kept only if it lies inside its limits by more than its own "
        "uncertainty, and not kept only if it lies outside by more. These distances are chosen so "
        "that each of the two wrong verdicts on the whole promise falls in fewer than 5 of 100 "
        "cases. Verdicts are taken before rounding."
    ),
    "decision_title": "How the verdict is reached",
    "certificate_signed": "Method as signed: {method}; method of this measurement: {version}.",
}
