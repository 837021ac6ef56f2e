"""Every word that the documents say, in one place: another language is another table.

`say("kept")` gives the text; names in braces are filled in.
"""

from __future__ import annotations

from roomcheck.words.shop.shop_documents import SHOP

LANGUAGE = "en"

ENGLISH: dict[str, str] = {
    # on every page
    "made_up": "MADE UP: a demonstration. No such room, client or shop exists.",
    "page": "page",
    "of": "of",
    "job": "Job",
    "client": "Client",
    "date": "Date",
    "today": "the room today",
    "before": "before",
    "after": "after",
    "yes": "yes",
    "no": "no",
    "nothing_noted": "not noted",
    "mid_bands": "500 Hz and 1 kHz, mean",
    "mean_of": "{bands}: mean",
    "scale": "Scale {scale} when printed at 100 %.",
    # figures
    "fig_measured": "measured, bars: 95 %",
    "fig_target": "target range",
    "fig_promised": "promised",
    "fig_modal": "modes: not judged",
    "fig_unmatched": "explained by no mode of the room",
    "fig_others": "other positions",
    "fig_transition": "modes below, reverberation above",
    "fig_no_decay": "no decay above the noise",
    "fig_curve": "decay curve",
    "fig_noise": "noise",
    "fig_no_cause": "?",
    "fig_then": " then ",
    "fig_or_other": "{faces} or …",
    "mode_axial": "axial",
    "mode_tangential": "tangential",
    "mode_oblique": "oblique",
    "axis_hz": "frequency [Hz]",
    "axis_mode_decay": "time for 60 dB [s]",
    "axis_map_level": "level [dB re loudest]",
    "axis_map_time": "time after the onset [s]",
    "axis_level": "level [dB, relative]",
    "axis_still": "energy remaining [dB]",
    "axis_after": "time after the onset [s]",
    "low_title": "Below the transition frequency: modes",
    "cap_modes": (
        "How long each mode rings, with its 95 % range. Dots: axial, squares: tangential, "
        "triangles: oblique, crosses: explained by no mode of a room of this size."
    ),
    "alt_modes": "Chart of the decay of each mode: {values}.",
    "cap_map": (
        "How each low note dies away from {source} to {microphone}; each step of grey is 6 dB. A "
        "dark streak is a note that rings."
    ),
    "alt_map": "Map of level over frequency and time from {source} to {microphone}.",
    "response_title": "Frequency response",
    "cap_response": (
        "Level at each frequency, smoothed over 1/12 octave (1/24 below 200 Hz), relative to the "
        "mean of 250 Hz to 2 kHz. Bold: the seat."
    ),
    "alt_response": "Chart of level over frequency at {count} places.",
    "cap_curves": (
        "Decay curves from {source} to {microphone}, with the lines of the T20 and T30 fits and "
        "the noise floor."
    ),
    "alt_curves": "Charts of the decay curve of each octave from {source} to {microphone}.",
    "head_mode": "Mode [Hz]",
    "head_decay": "Decay [s]",
    "head_q": "Q [1]",
    "head_late": "After 150 ms [dB]",
    "head_which": "Standing wave",
    "note_modes": (
        "After 150 ms: level above the median of the neighbouring frequencies. Standing wave: "
        "the one that the room's dimensions predict there."
    ),
    "sure": "Certainty: {text}",
    "see_decays": "See the chart of decays above.",
    "see_modes": "See the chart of modes and the decay map below.",
    "see_response": "See the frequency response below.",
    "axis_octave": "octave band [Hz]",
    "axis_decay": "decay T20 [s]",
    "axis_mid": "how long sound lingers: mean T20 of 500 Hz and 1 kHz [s]",
    "axis_delay": "after the direct sound [ms]",
    "axis_relative": "level, 1 to 8 kHz [dB re direct sound]",
    "fig_limit": "limit: {db} dB within {ms} ms",
    "fig_named": "from a surface",
    "fig_unnamed": "from no known surface",
    "alt_reflections": (
        "Level over time after the direct sound from {source} to {microphone}, with arrivals: "
        "{values}."
    ),
    "cap_reflections": (
        "What arrives after the direct sound from {source} to {microphone}, 1 to 8 kHz, "
        "corrected for the loudspeaker. Numbers as in the table and the drawings below."
    ),
    "reflections_title": "Early reflections and where they come from",
    "head_number": "No.",
    "head_delay": "Delay [ms]",
    "head_level": "Level [dB]",
    "head_surface": "Surface, and where on it",
    "note_reflections": (
        "Level relative to the direct sound, good to 1 dB where nothing else arrives within half "
        "a millisecond. Delays are matched to image sources of first and second order; those "
        "within 0.3 ms of one another are named together. Places on a wall are good to a hand's "
        "breadth."
    ),
    "cap_paths": "First-order reflections off the walls, numbered, from above.",
    "cap_points": "Where to hold the mirror: {face}.",
    "flutter_found": "Flutter: {text}.",
    "alt_decays": (
        "Chart of the decay T20 per octave band against the limits of the target: {values}."
    ),
    "alt_change": "Bar chart of the decay T20 per octave band before and after the work: {values}.",
    "alt_mid": (
        "Two bars: the mid-band decay before, {before} s, and after, {after} s; promised "
        "{promised} s."
    ),
    "alt_options": (
        "Bars on a line of seconds: the room today {today} s; {options}. The target is {target} s."
    ),
    "alt_plan": "Floor plan of {room}, {sizes}, with {things}.",
    "alt_elevation": "{face}, seen from inside, {sizes}, with {things}.",
    "alt_piece": "{name} ({size}, {left} from the left, {bottom} from the bottom)",
    "wall_named": "{name} wall",
    "no_pieces": "nothing hung",
    "cap_decays": (
        "Decay T20 in each octave band. Dots: measured, with the 95 % range. Grey: the target "
        "range ({use})."
    ),
    "cap_change": (
        "Decay T20 in each octave band before (hatched) and after (grey). Dashed lines: what was "
        "promised."
    ),
    "cap_mid": "Shorter is drier: sound dies away sooner.",
    "cap_options": (
        "The hatched bar is your room as we measured it. The grey bars are the ranges in which "
        "we expect it after the work. The pale strip is the target range ({use})."
    ),
    "cap_plan": (
        "Floor plan, seen from above. Triangles: where the test sound was played. Circles: where "
        "it was recorded; the filled one is the seat that matters. Dashed: on the ceiling."
    ),
    "cap_plan_pieces": "Floor plan, seen from above. Grey: on the walls. Dashed: on the ceiling.",
    "cap_elevation": (
        "{face}, seen from inside the room. Distances from the left corner and from the floor, to "
        "the edges of the pieces."
    ),
    "cap_ceiling": (
        "{face}, drawn as on the floor plan, from above. Looking up, left and right are swapped. "
        "Distances from the {left} and {front} walls."
    ),
    "cap_marks": "×: where sound from that source bounces to the seat.",
    "cap_framing": "Dash-dotted: studs or joists.",
    "corner_with": "corner with {wall}",
    "cap_face_flat": "{face}, drawn from above. Distances from the corner at the bottom left.",
    # measurement report
    "measurement_title": "Measurement report",
    "measurement_sub": "{title}, visit {visit} the work, {date}",
    "in_short": "In short",
    "outcome": "Outcome",
    "found_title": "What is wrong, and what cures it",
    "evidence": "Evidence: {text}",
    "threshold": "Threshold: {text}",
    "remedies": "What helps, free measures first:",
    "per_octave": "Decay in each octave band",
    "head_band": "Band",
    "head_t20": "T20 [s]",
    "head_95": "95 % [s]",
    "head_t30": "T30 [s]",
    "head_edt": "EDT [s]",
    "head_c50": "C50 [dB]",
    "head_c80": "C80 [dB]",
    "head_d50": "D50",
    "head_ts": "Ts [ms]",
    "head_n": "Pairs",
    "head_limits": "Should be [s]",
    "head_verdict": "Verdict",
    "short_within": "As it should be",
    "short_too long": "Sound lingers too long",
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
    "head_place": "Position",
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
    "not_had": "Values we could not measure, and why",
    "lacks": "What a higher grade would need",
    "each_pair": "T20 at each pair of positions",
    "head_pair": "Pair",
    "note_pairs": "In seconds. Pair: test sound, microphone.",
    # proposal
    "proposal_title": "Proposal",
    "proposal_sub": "{title}, for {client}",
    "you_told": "What you told us",
    "we_found": "What we found",
    "good_is": "What we are aiming for",
    "good_says": "For this use ({use}): {limits} s between {low} and {high}. {source}",
    "options_title": "Your options",
    "head_option": "Option",
    "head_pieces": "What hangs",
    "head_range": "Expected [s]",
    "head_reaches": "Reaches the target",
    "head_price": "Price",
    "head_weeks": "Weeks",
    "head_heard": "You notice",
    "note_octaves": (
        "Seconds in each octave: expected value, and the range that holds nine results in ten."
    ),
    "head_reflection": "Reflection",
    "note_bounces": (
        "First reflections at the seat: source, surface, delay after the direct sound; level "
        "against the direct sound at the loudest of 1, 2 and 4 kHz [dB]. In brackets: the piece "
        "in its path."
    ),
    "alt_looks": (
        "The walls unfolded side by side, and the ceiling, with the pieces of each plan. {plans}."
    ),
    "cap_looks": "How it looks, from inside (the ceiling from above). Dotted: doors and windows.",
    "alt_gains": "Chart of the mean decay after each further piece. {plans}",
    "cap_gains": (
        "What each further piece brings, the most effective first. Hollow: all further pieces "
        "together change it by less than 5 %, which nobody hears (ISO 3382-1 says so of EDT; "
        "extended here)."
    ),
    "axis_pieces": "pieces hung, in order of benefit",
    "axis_mean": "mean T20 [s]",
    "gain_all": (
        "{title}: {count} pieces bring the mean decay to {last}; even the last ones together are "
        "audible."
    ),
    "gain_until": (
        "{title}: {count} pieces bring the mean decay to {last}; nobody hears in it what those "
        "from piece {first} on add. They serve other octaves, reflections or flutter, or make "
        "the result surer."
    ),
    "acc_tolerance_lead": "Tolerance.",
    "acc_tolerance": (
        "For the mean, ±{pct} % of the expected value: from the range of the prediction and "
        "{pairs} source-microphone pairs{grade}."
    ),
    "acc_grade": " ({grade} grade after ISO 3382-2)",
    "checks_title": "To check on site before drilling",
    "checks_say": (
        "Warnings from the drawn plan. Nothing here is an approval: local code, the fire authority "
        "and licensed practice decide."
    ),
    "note_options": (
        "Expected: mean T20 of 500 Hz and 1 kHz after the work, with the range that holds nine "
        "results in ten. You notice: after so many pieces, in order of benefit, all others "
        "together change it by less than 5 %. Weeks: from acceptance to the second visit. Prices "
        "with tax."
    ),
    "free_first": "Try these first: they cost nothing",
    "proposed": "What we propose: {title}",
    "wall": "Where",
    "why_here": "Why here",
    "drawings": "Drawings",
    "drawings_say": "Sizes and distances in {units}. Walls are named as on the floor plan.",
    "units_imperial": "feet and inches",
    "units_metric": "metres and millimetres",
    "not_included": "What is not included",
    "exclusions": (
        "Sound coming through walls, floors or windows: absorbers do not stop it.|Noise of "
        "ventilation and equipment.|Electrical work, moved outlets or lamps, permits.|Repair of "
        "walls and paint beyond our own screw holes."
    ),
    "no_certificate": (
        "A fire class or a structural certificate: where the law asks for one, the authority or a "
        "licensed engineer gives it."
    ),
    "assumed": "What we assume",
    "acceptance": "How we show that the promise is kept",
    "acc_value": "Value.",
    "acc_value_says": (
        "After the work the decay T20, averaged over {pairs} source-microphone pairs at the stored "
        "positions, lies within the limits in the table."
    ),
    "acc_method": "Method.",
    "acc_method_says": (
        "The same equipment, sweep and positions as before the work, after ISO 3382-2, octave "
        "bands."
    ),
    "acc_conditions": "Conditions.",
    "acc_conditions_say": "The promise holds on these conditions:",
    "acc_decision": "Decision.",
    "acc_decision_says": (
        "Met if every average lies inside its limits by more than the measurement uncertainty; not "
        "met if one lies outside by more than it. In between, the measurement is repeated once "
        "with twice the pairs, whose average then decides. Bands not in the table are information "
        "only."
    ),
    "acc_remedy": "Remedy.",
    "acc_remedy_says": (
        "If it is not met, we add or move pieces at our cost until it is, or refund in proportion "
        "to what is lacking, as you choose. Furniture or surfaces changed after the work are not "
        "covered."
    ),
    "head_promise": "Promised [s]",
    "no_promise": "No value can be promised for this option; it is sold as work, not as a result.",
    "short": "What this option does not reach",
    "price": "Price",
    "head_item": "Item",
    "head_amount": "Amount",
    "net": "Sum",
    "tax": "Tax, {pct} %",
    "total": "Total",
    "schedule": "We agree the dates when you accept.",
    "payment": (
        "{deposit} on acceptance; the rest when the acceptance measurement is signed. This offer "
        "stands for {days} days."
    ),
    "care": "Care",
    "care_says": (
        "Vacuum fabric with a soft brush. Do not paint absorbers: paint closes their pores. Keep "
        "them dry. Leave furniture and curtains as they were when you judge the result."
    ),
    "accept": "Acceptance",
    "accept_says": (
        "We accept this proposal: the option, the price, and how the promise is shown to be kept."
    ),
    "sign_client": "for the client: name and signature",
    "sign_shop": "for the shop: name and signature",
    # shop and install sheets
    "shop_title": "Shop and install sheets",
    "shop_sub": "{title}: {plan}",
    "shop_only": "For the shop only: these pages show costs.",
    "first": "Before anything else",
    "first_items": (
        "Eyes, ears, lungs: glasses, hearing protection, dust extraction and a respirator for wood "
        "dust and for mineral wool; gloves and sleeves for the wool.|Follow the saw maker's "
        "manual; guards on; no work alone at the saw when tired.|Two people for anything over 50 "
        "lb (23 kg), on a ladder or overhead.|Nothing here certifies a load, an anchor or a fire "
        "class: local code and licensed practice come first."
    ),
    "buy": "Buy list",
    "head_need": "Needed",
    "head_waste": "With waste",
    "head_packs": "Packs",
    "head_pack": "Pack",
    "head_cost": "Cost",
    "head_left": "Left",
    "cuts": "Cut list",
    "head_part": "Part",
    "head_stock": "From",
    "head_count": "Pieces",
    "head_length": "Length",
    "head_width": "Width",
    "head_note": "Note",
    "steps": "Steps",
    "caution": "Caution",
    "piece_facts": "{count} × {piece}: {names}. Each {weight}; {hours} h for all of them.",
    "row_map": "Row map",
    "row_map_says": (
        "Seen from the FRONT, top row first. {unit}; 0 is no block. Whoever lays the blocks from "
        "behind sees it mirrored: turn the map, not the panel."
    ),
    "steps_inches": "Heights in inches",
    "steps_numbers": "Heights by number: {steps}",
    "head_row": "Row",
    "head_done": "Done",
    "head_blocks": "Heights, left to right",
    "head_row_counts": "Blocks {steps}",
    "counts": "Blocks to cut: {counts}.",
    "hang": "Hanging lines",
    "hang_says": (
        "Left: from the wall's left corner, seen from inside, to the piece's left edge. Top: from "
        "the floor to its top edge. Cleat: from the floor to the bottom edge of the wall cleat. "
        "Studs: centres, from the left corner; find and probe each one before drilling."
    ),
    "hang_ceiling_says": (
        "Left and far edge as on the floor plan, from above: looking up, left and right are "
        "swapped. Joists: find and probe each one before drilling."
    ),
    "head_piece": "Piece",
    "head_size": "Size",
    "head_left_edge": "Left",
    "head_top": "Top",
    "head_far": "Far edge",
    "head_cleat": "Cleat",
    "head_studs": "Studs",
    "head_joists": "Joists",
    "day": "The day",
    "day_items": (
        "Protect the floor; photographs of every wall as found.|Look for cables and pipes: the "
        "strip a foot (30 cm) straight above, below and beside every outlet, switch and radiator "
        "counts as live.|Mark lines; check every one against the drawing before the first "
        "hole.|All cleats, level within 1/16 in (1.5 mm) over a row.|Pull-test one cleat before "
        "the pieces go up.|Pieces; shim, plumb, lock.|Photographs with a tape in the "
        "picture.|Measure again at the stored positions, doors and ventilation as noted.|Sign-off, "
        "and the rest of the wood back to stock."
    ),
    "totals": "In all: {weight}; {build} h in the shop, {install} h on site.",
    # certificate
    "certificate_title": "Before and after",
    "certificate_sub": "{title}, {client}, measured {before} and {after}",
    "kept": "Kept",
    "not kept": "Not kept",
    "undecided": "Undecided",
    "not promised": "Nothing was promised",
    "word_kept": "kept",
    "word_not kept": "not kept",
    "word_undecided": "undecided",
    "word_not promised": "not promised",
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
    # the job
    "ready": "ready",
    "not_yet": "not yet",
    "missing": "missing: {what}",
    "missing_as_before": "missing: what {stage} needs",
    "to_note": "note: {what}",
    "job_is_made": "{file} is made: {volume}, {use}.",
    "fill_in": "Fill in the rest, its comments explain it; then: roomcheck check {folder}",
    # the promise held
    "compare_anyway": "To judge all the same, and have the result say so: --compare-anyway",
    "verify_all": "Notes, clarity, reflections and standing waves, before and after: --all",
    "learned_from": (
        "Learned from: {jobs}. Kept in {path}; to undo: --unlearn. Other jobs use it from now on."
    ),
    "unlearned": "What {job} taught was taken out of {path}.",
    "nothing_learned": "{job} had taught nothing to {path}.",
    "the_numbers": "What was promised, and what we measured",
    "head_what": "",
    "visit_before": "Before",
    "visit_after": "After",
    "head_sti": "STI",
    "head_rating": "That is",
    "note_sti": "Speech transmission index, 0 to 1 (IEC 60268-16).",
    "noise_title": "Background noise",
    "head_noise": "With",
    "head_dba": "A-weighted",
    "head_nc": "NC",
    "head_nr": "NR",
    "head_louder": "Loudest octave",
    "db_absolute": "dB(A)",
    "db_relative": "dB(A) re full scale",
    "note_noise": "Energy average over each recording. NC and NR need a calibrated level.",
    "surfaces_title": "First reflections",
    "head_bounce": "Surface (from, to)",
    "head_after_ms": "Delay [ms]",
    "head_before_db": "Before [dB]",
    "head_after_db": "After [dB]",
    "not_out": "none left",
    "note_surfaces": (
        "The loudest first reflection of each surface within 20 ms, relative to the direct "
        "sound, 1 to 8 kHz. None left: nothing stands out there any more."
    ),
    "modes_title": "Standing waves",
    "head_wave": "Frequency",
    "head_mode_box": "Standing wave",
    "head_sure": "Certain",
    "note_modes_change": (
        "Time to decay by 60 dB. Certain: the change is more than two standard uncertainties."
    ),
    "speech_title": "Speech transmission index",
    "head_was": "Before",
    "head_now": "After",
    "note_speech_change": "0 to 1 (IEC 60268-16); a change of about 0.03 is just noticeable.",
    "evenness_title": "Unevenness of the response",
    "note_evenness": (
        "Standard deviation of the level about its one-octave trend, from 100 Hz to 4 kHz where "
        "it is clear of the noise; less is more even."
    ),
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
    # listening
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
    # on the terminal
    "files_in": "{count} files written, in {folder}",
    "not_made": "Not made yet",
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
    # lacking
    "lack_before": "measurement report: no recordings of the visit before the work",
    "lack_after": "measurement report of the visit after the work: no recordings of it yet",
    "lack_proposal": (
        "proposal: needs plans with their prices, and those need the visit before the work"
    ),
    "lack_shop": "shop and install sheets: need a plan with its build sheet",
    "lack_listening": "files to listen to: need a recording of either visit",
    "lack_certificate": "certificate: needs the signed agreement and a measurement after the work",
}


ENGLISH.update(SHOP)


def say(key: str, **values: object) -> str:
    """A text of the documents.

    Raises
    ------
    KeyError
        No such text.

    >>> say("scale", scale="1:50")
    'Scale 1:50 when printed at 100 %.'
    """
    text = ENGLISH[key]
    return text.format(**values) if values else text


def items(key: str) -> tuple[str, ...]:
    """A text that is a list."""
    return tuple(ENGLISH[key].split("|"))
