"""Words that stand on the terminal alone."""

from __future__ import annotations

SCREENS: dict[str, str] = {
    "ready": "ready",
    "step_finished": "finished what an earlier run had begun in {folder}: {files}",
    "step_undone": (
        "an earlier run had begun to write in {folder} and ended too early; nothing of it was kept"
    ),
    "step_aside": (
        "somebody had changed a file meanwhile, so both are there; what roomcheck had to write is "
        "in {files}: look at them and keep one"
    ),
    "signed_by_hand": (
        "{file} was changed by hand after it was signed: its numbers are no longer known to be "
        "those that the client accepted"
    ),
    "not_yet": "not yet",
    "missing": "missing: {what}",
    "missing_as_before": "missing: what {stage} needs",
    "to_note": "note: {what}",
    "all_ready": "Ready for every step.",
    "not_ready": "Not yet ready for: {stages}.",
    "step_is": "{stage}: {state}",
    "take_kept": "{take}: keep",
    "take_repeated": "{take}: repeat",
    "repeat_because": "repeat, because {what}",
    "kept_although": "kept by decision although: {what}",
    "job_is_made": "{file} is made: {volume}, {use}.",
    "fill_in": "Fill in the rest, its comments explain it; then: roomcheck check {folder}",
    "compare_anyway": "To judge all the same, and have the result say so: --compare-anyway",
    "verify_all": "Notes, clarity, reflections and standing waves, before and after: --all",
    "learned_from": (
        "Learned from: {jobs}. Kept in {path}; to undo: --unlearn. Other jobs use it from now on."
    ),
    "lesson_would": (
        "How much more or less than computed these pieces are taken to absorb, and how surely: as "
        "the shop's file says it now, and as it would after this job. Every later plan and promise "
        "rests on that; it can be taken out again."
    ),
    "lesson_rooms_now": "Your rooms and the prediction itself, now",
    "lesson_rooms_then": "Your rooms and the prediction itself, after this job",
    "lesson_scatter": (
        "Your next room scatters {low:.2f} to {high:.2f} of the sound that meets its surfaces, "
        "nine times in ten; {first:.2f} to {last:.2f} for a shop without jobs. The surer this is, "
        "the narrower the ranges."
    ),
    "lesson_longer": (
        "Decays come out {percent:.0f} % longer than foreseen in rooms like yours: the next "
        "predictions allow for it."
    ),
    "lesson_shorter": (
        "Decays come out {percent:.0f} % shorter than foreseen in rooms like yours: the next "
        "predictions allow for it."
    ),
    "lesson_narrower": (
        "The prediction's own error is taken {percent:.0f} % smaller than without your jobs."
    ),
    "lesson_wider": (
        "The prediction's own error is taken {percent:.0f} % larger than without your jobs."
    ),
    "lesson_every_job": (
        "Let every verified job teach, not only those that came out well: a chosen few would make "
        "the ranges too narrow."
    ),
    "as_computed": "as computed",
    "lesson_now": "Now",
    "lesson_then": "After this job",
    "unlearned": "What {job} taught was taken out of {path}.",
    "nothing_learned": "{job} had taught nothing to {path}.",
    "files_in": "{count} files written, in {folder}",
    "not_made": "Not made yet",
    "reached": "Reached",
    "reached_says": "Plan {number} reaches the target with {pieces} for {price}.",
    "not_reached": "Not reached",
    "not_reached_says": "No plan of this stock reaches the target with its whole range.",
    "good": "Good as it is",
    "on_target": "On target",
    "off_target": "Not wholly on target",
    "expected": "Mean T20 of {expected} s expected.",
    "nothing_hangs": "Nothing to hang.",
    "head_on_target": "Target",
    "head_mean_t20": "Mean T20 [s]",
    "head_from_left": "From left",
    "head_up": "Up",
    "head_height": "Height",
    "plan_named": "{number}: {plan}",
    "and_more": "and {count} more",
    "lines_left_out": "--all shows the other {count} lines.",
    "takes_counted": "Takes: {kept} to keep, {repeated} to repeat, {aside} put aside.",
    "notes_left_out": "The first of each kind are shown; --all shows the other {count}.",
    "places_hint": "Places of one plan: roomcheck recommend {folder} --plan {number}",
    "plans_hint": "All that is known of each plan: roomcheck recommend {folder} --all",
    "plan_hint": (
        "{count} to check on site before drilling, and reasons, reflections and notes: --all"
    ),
    "not_reached_title": "What this plan does not reach",
    "why_title": "Why each piece hangs there",
    "bounces_title": "First reflections",
    "promised_title": "What may be promised",
    "nothing_promised": "No value can be promised of this plan.",
    "checks_screen": "To check on site before drilling (warnings; nothing here is approved)",
    "by_hand_title": "What the change costs",
    "change_kept": "Kept in job.toml.",
    "change_not_kept": "Nothing is written yet; add --keep to hold on to it.",
    "why_piece": "{name}: {piece} on the {face}",
    "instead_title": "If nothing may hang there, the next best plan",
    "signed_by": "Signed by {name}: {file}",
    "rack_kept": "Rack written into {file}: do that once, when the job is cut.",
    "kept_in_shop": "Kept in {file}: report builds with it too.",
    "predicted_lead": "Expected as planned:",
    "predicted": (
        "{likely} s as the mean of 500 Hz and 1 kHz, nine times in ten between {low} and {high} s."
    ),
    "not_predicted": "no mean over 500 Hz and 1 kHz can be predicted.",
    "predict_hint": "Every method, the seat's reflections and the modes: --all",
    "modes_lead": "Modes by the room's dimensions:",
    "head_hz": "Band [Hz]",
    "head_measured": "Measured",
    "head_as_is": "As it is",
    "head_images": "Images",
    "head_as_planned": "As planned [s]",
    "head_expected": "Expected [s]",
    "head_spread": "Range [s]",
    "head_simulated": "Simulated [s]",
    "head_traced": "Traced [s]",
    "head_over": "Over",
    "head_meets": "Meets",
    "head_db_before": "Before [dB]",
    "head_db_after": "After [dB]",
    "head_db_range": "Range [dB]",
    "head_t20_now": "T20 now [s]",
    "head_t20_then": "T20 then [s]",
    "head_c50_now": "C50 now [dB]",
    "head_c50_then": "C50 then [dB]",
    "in_use_title": "As planned, with {people} people",
    "second_title": "A second opinion, as planned",
    "methods_title": "As planned, by every method [s]",
    "heads_methods": ("Hz|Sabine|Eyring|Milling.|Fitzroy|Arau-P.|Kutt. a|Kutt. b|simul.|trusted"),
    "methods_note": (
        "Kutt. a: Eyring corrected for paths of unequal length; b: for walls that scatter but "
        "absorb unevenly."
    ),
    "trusted_simulation": "simulated",
    "trusted_eyring": "Eyring",
    "trusted_eyring and sabine": "both",
    "trust": "{band}: trust {method}, because {why}",
    "seat_title": "Reflections from {source} at {seat}",
    "small_pieces": (
        "What hangs there is small, and acts at its full size only from about: {faces}."
    ),
    "at_seat_title": "At the seat, read from simulated responses as from recordings",
    "room_lead": "The room:",
    "nothing_there": "nothing",
    "value_changed": "{way} was {was} and is {now}. To take it back: roomcheck undo {folder}",
    "undone": "job.toml is back.",
    "undo_more": "One more step back: the same again.",
    "redo_more": "To take it back: --redo.",
    "nothing_listed": "None of the {what} holds “{search}”; leave --search out to see all.",
    "more_listed": (
        "{shown} of {total} {what}: look for one with --search WORDS, or see all with --all."
    ),
    "no_usual": "no usual value: the maker and your local code say it",
    "heads_uses": "Use|What for",
    "heads_materials": "Material|α at 125, 500, 2000 Hz|In full",
    "heads_stock": "Piece|Kind|Width × height × depth",
    "heads_findings": "Finding|What is heard",
    "heads_clearances": "Kind|Usual clearance",
    "use_uses": "In job.toml: room, under [use].",
    "use_materials": (
        "In job.toml: under [room.materials], and the `material` of a [[patch]] or a "
        "[[furnishing]]. With m²: counted by the piece, in a [[furnishing]]."
    ),
    "use_stock": "In shop.toml: [[piece]]. Cut one alone: roomcheck build --piece NAME",
    "use_findings": "Which of them a room has: roomcheck analyse",
    "use_clearances": (
        "In job.toml: `clearance` of a [[keep_clear]]. Common practice; your local code may ask "
        "for more."
    ),
    "doing_read": "Reading the recordings",
    "doing_analyse": "Analysing the responses",
    "doing_calibrate": "Calibrating the room and listing places",
    "doing_parts": "{done_pct:3.0f} % done, {left_s:.0f} s left",
    "doing_whole": "{done_pct:3.0f} % of everything done, {left_s:.0f} s left",
    "doing_plan": "Choosing and placing pieces",
    "doing_price": "Working out what to build and its price",
    "doing_simulate": "Simulating the room before and after",
    "doing_learn": "Comparing with the prediction",
    "doing_report": "Setting the documents",
    "doing_listen": "Listening to {file}",
    "doing_find": "Looking for the sweeps in {file}",
    "doing_takes": "Looking at the takes so far",
    "doing_write": "Writing {file}",
    "doing_close": "Working out what the visit came to",
    "doing_lay": "Laying down the made-up job and its recordings",
    "doing_why": "Looking at the plan without it",
    "doing_change": "Solving again round these changes",
    "doing_drawings": "Drawing",
    "doing_pack": "Packing, and reading it through again",
    "doing_unpack": "Reading every file through",
    "doing_photo": "Looking at {file}",
    "doing_straight": "Drawing the wall to scale into {file}",
    "doing_picture": "Drawing the plan into {file}",
    "photo_is_a_plan": (
        "A picture of a plan: places and sizes are to scale, colours and light are not promised."
    ),
    "photo_stood": (
        "Fits: the camera stood {away} off the wall, {up} up. A mark in the middle of the wall is "
        "known to ±{known}."
    ),
    "photo_worst": (
        "The mark farthest off lies {off} pixels from where it should appear; {mark} pixels are "
        "expected."
    ),
    "photo_kept": "Kept as {file}, with its marks beside it.",
    "photo_no_things": (
        "Nothing was measured on it. With --thing: an outlet, a window, by two opposite corners or "
        "four."
    ),
    "photo_agrees": "as in the job",
    "photo_differs": "the job has {left}, {bottom}, {width} × {height}: measure by tape",
    "photo_new": "not in the job",
    "photo_corner_agrees": (
        "The corner of {a} and {b}: {height_a} and {height_b} high by their photographs, which "
        "agree."
    ),
    "photo_corner_differs": (
        "The corner of {a} and {b} is one corner, but {height_a} high on the photograph of {a} and "
        "{height_b} on that of {b}: measure its height by tape, then look at the marks again."
    ),
    "photo_added": "Added to job.toml: {names}. roomcheck undo takes it back.",
    "photo_people": "If people are in the picture, ask them before it goes into a document.",
    "head_thing": "Thing",
    "head_left_95": "From left",
    "head_up_95": "Up",
    "head_width_95": "Width",
    "head_height_95": "Height",
    "head_doubt_95": "At most",
    "head_beside": "Beside the job",
    "packed": "{files} files of {size} in {packed}, read through and whole.",
    "packed_without_recordings": (
        "The recordings are not in it: results and documents stay, and nothing can be measured "
        "anew from it."
    ),
    "packed_for_the_client": "Only what the client gets is in it.",
    "packed_never": "Not packed, since links and the like may lead anywhere:",
    "packed_removed": "The job's folder is gone; to have it back: roomcheck unpack {file}",
    "pack_is_whole": "{job}, {files} files of {size}, all whole.",
    "unpacked": "{files} files of {size}, each as it was packed.",
    "demo_made_up": (
        "Everything here is made up: no such client, no such room; the recordings are simulated."
    ),
    "demo_your_own": "With a recording of your own",
    "demo_go_on": (
        "roomcheck new my-room – make the job folder; fill in source, microphone and visit as its "
        "comments say|roomcheck sweep my-sweep.wav – make a file to play in the room while a "
        "recorder runs, and its facts|roomcheck add my-room REC.wav --visit before --source S1 "
        "--microphone P1 --sweep my-sweep.toml – take in the recording|roomcheck analyse my-room – "
        "see what is wrong"
    ),
    "lack_before": "measurement report: no recordings of the visit before the work",
    "lack_after": "measurement report of the visit after the work: no recordings of it yet",
    "lack_proposal": (
        "proposal: needs plans with their prices, and those need the visit before the work"
    ),
    "lack_shop": "shop and install sheets: need a plan with its build sheet",
    "lack_listening": "files to listen to: need a recording of either visit",
    "lack_certificate": "certificate: needs the signed agreement and a measurement after the work",
}
