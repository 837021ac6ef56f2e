"""Words of the proposal."""

from __future__ import annotations

PROPOSAL: dict[str, str] = {
    "proposal_title": "Proposal",
    "proposal_sub": "{title}, for {client}",
    "you_told": "What you told us",
    "we_found": "What we found",
    "good_is": "What we are aiming for",
    "head_option": "Option",
    "head_pieces": "What hangs",
    "head_range": "Expected [s]",
    "head_reaches": "Reaches the target",
    "head_price": "Price",
    "head_weeks": "Weeks",
    "note_octaves": (
        "Seconds in each octave: expected value, and the range that holds nine results in ten."
    ),
    "head_reflection": "Reflection",
    "note_bounces": (
        "First reflections at the seat: source, surface, delay after the direct sound; level "
        "against the direct sound at the loudest of 1, 2 and 4 kHz [dB]. In brackets: the piece "
        "in its path."
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
    "free_first": "Try these first: they cost nothing",
    "proposed": "What we propose: {title}",
    "wall": "Where",
    "why_here": "Why here",
    "drawings": "Drawings",
    "drawings_say": "Sizes and distances in {units}. Walls are named as on the floor plan.",
    "your_walls": "Your walls with this on them",
    "your_walls_say": (
        "Photographs of your room with the pieces drawn into them, each at its place and in its "
        "size: a picture of a plan. Colours and light are not promised; ask to see a swatch."
    ),
    "cap_your_wall": "{face} with {names}: a picture of a plan.",
    "alt_your_wall": "Photograph of the wall {face} with {names} drawn into it.",
    "units_imperial": "feet and inches",
    "units_metric": "metres and millimetres",
    "not_included": "What is not included",
    "no_certificate": (
        "A fire class or a structural certificate: where the law asks for one, the authority or a "
        "licensed engineer gives it."
    ),
    "assumed": "What we assume",
    "acceptance": "How we show that the promise is kept",
    "acc_value": "Value.",
    "acc_method": "Method.",
    "acc_method_says": (
        "The same equipment, sweep and positions as before the work, after ISO 3382-2, octave "
        "bands."
    ),
    "acc_conditions": "Conditions.",
    "acc_conditions_say": "The promise holds on these conditions:",
    "acc_decision": "Decision.",
    "acc_remedy": "Remedy.",
    "acc_remedy_says": (
        "If it is not met, we add or move pieces at our cost until it is, or refund in proportion "
        "to what is lacking, as you choose. Furniture or surfaces changed after the work are not "
        "covered."
    ),
    "head_promise": "Promised [s]",
    "no_promise": "No value can be promised for this option; it is sold as work, not as a result.",
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
    "options_title": "The options beside each other",
    "short": "What this offer does not reach",
    "offer_number": "Offer",
    "offer_to": "For",
    "offer_valid": "Valid",
    "offer_valid_days": "{days} days from its date",
    "offer_valid_until": "until {day}",
    "offer_day_by_hand": "____________________",
    "no_address": "address not given",
    "as_planned": "as planned",
    "strip_target": "target: {limits}",
    "axis_mean_of": "how long sound lingers [s]: decay T20, {mean}",
    "axis_seconds": "how long sound lingers [s]",
    "not_foreseen_here": "cannot be foreseen",
    "alt_front": (
        "Two bars on a line of seconds: the room today {today} s, as planned {planned}. The target "
        "is {target} s."
    ),
    "alt_hangs": "The room with {pieces}.",
    "cap_unfolded": "What will hang, seen from inside; dotted: doors and windows.",
    "price_with_tax": "{total}, of which {tax} is tax",
    "price_without_tax": "{total}; no tax is charged",
    "looks": "Cloth and colour.",
    "looks_say": (
        "As you chose them. Screens and paper show a colour only roughly: please see a swatch "
        "before you sign."
    ),
    "look_chosen": "{pieces}: {kind} “{name}”",
    "duration": "How long",
    "duration_weeks": "About {weeks} from your yes to the second measurement",
    "duration_agreed": "We agree the dates when you accept",
    "how_sure": "How sure",
    "sure_chance": "{chance} of 100 such rooms reach the whole target",
    "sure_foreseen": "{chance} of 100 such rooms reach the target, as far as it can be foreseen",
    "sure_range": "The range above holds nine results in ten",
    "sure_misses": (
        "This makes the room better, but does not reach the whole target. Page two says what would."
    ),
    "promise": "Our promise",
    "promise_line": "Between {low} and {high} s when we measure again ({mean}), {remedy}.",
    "or_put_right": "or we put it right at our cost",
    "or_remedy": "or we do what the remedy below says",
    "promise_beyond": "It reaches past the target ({where}); the clause on it says how far.",
    "promise_beyond_many": "{count} of its values",
    "beyond_high": "{name} up to {end} s, target {limit} s",
    "beyond_low": "{name} down to {end} s, target {limit} s",
    "acc_beyond": "Past the target.",
    "acc_beyond_says": (
        "The promise is kept even where a value lies past the target: {where}. You accept that by "
        "signing."
    ),
    "how_to_hear": "Hear it",
    "hear_files": "Play the sound files in proposal.html, today and as planned. Start quietly.",
    "hear_none": "We had no recording to make sound files of",
    "not_known": "Not known yet",
    "missing_fire": "fire behaviour is not documented, so the local authority decides first",
    "missing_octaves": "{bands} cannot be foreseen here, so nothing is promised there",
    "missing_weak": "the measurement is weak, so we measure again before we build",
    "missing_noise": "background noise was not measured",
    "fire_unknown": (
        "Fire behaviour of the pieces is not documented. Fabric, core, frame and the piece as "
        "built may each need papers. The fire authority decides first, also how much of a wall may "
        "be covered."
    ),
    "tick_one": "Tick one:",
    "box_proposed": "{title} (as drawn): {pieces}, {expected} s expected, {price}",
    "box_other": "{title}: {pieces}, {expected} s expected, {price}",
    "accept_says": (
        "We accept offer {number} with all its pages: option, price, and how the promise is shown "
        "to be kept."
    ),
    "accepted_by": "Accepted by {name} on {day}",
    "extras": "Not in the price: tick what you want beside it",
    "extra_box": "{name}: {price} more, tax included",
    "sign_client": "client: name and signature",
    "sign_shop": "shop: name and signature",
    "good_says": "For this use ({use}). {source} Each octave is judged by its own limits.",
    "aim_today": "Today [s]",
    "aim_limits": "Wanted [s]",
    "aim_expected": "Expected [s]",
    "note_aim": (
        "Expected: the likely value after the work, and the range that holds nine results in ten. "
        "A dash: not judged there, not foreseen, or not promised."
    ),
    "note_options": (
        "Expected: decay T20 after the work ({mean}), the range that holds nine results in ten. "
        "Weeks: from your yes to the second measurement. Prices with tax."
    ),
    "acc_value_says": (
        "After the work the decay T20 is measured at {pairs} source-microphone pairs, at the "
        "stored positions. Its averages lie within the limits of the table above."
    ),
    "acc_decision_says": (
        "Met if every average lies inside its limits by more than the measurement uncertainty. Not "
        "met if one lies outside by more than it. In between, we measure once more, at {twice} "
        "pairs in place of {pairs}, and their averages decide. Octaves without a promise are "
        "information only."
    ),
    "nothing_title": "Nothing to hang",
    "nothing_word": "Your room is fine",
    "fine_says": (
        "Sound dies away in {value} s; {limits} s is wanted ({mean}). For this use the room needs "
        "nothing of ours."
    ),
    "nothing_sold": (
        "We held the room against what is wanted of a {use}, and it passes. So we offer no work. "
        "If the use changes, the numbers above stay true and can be judged anew."
    ),
    "noticed_title": "What we noticed all the same, and what helps without hanging anything",
    "note_measured": (
        "T20: time to decay by 60 dB, mean over the pairs of positions. 95 %: the value lies "
        "within so much nineteen times in twenty."
    ),
    "alt_today": "A bar on a line of seconds: the room today {today} s. The target is {target} s.",
    "outcome_single_notes": "single notes ring here: not judged",
    "paper_number": "Number",
    "fee": "For the visit",
    "fee_says": "{total}: measuring, judging and this report",
    "fee_with_tax": "{total}, of which {tax} is tax: measuring, judging and this report",
    "fee_none": "nothing is charged.",
    "unmended_title": "What would help this room",
    "unmended_word": "We make no offer",
    "unmended_says": "Nothing that we build and may hang here brings it to the target.",
    "who_mends": "What would, and who does it",
    "head_cure": "What",
    "head_who": "Who",
    "cure_leave": "Permission to fix pieces to {faces}",
    "cure_area": "About {area} more of absorbing area",
    "cure_curtain": "Heavy curtains over glass and doors, drawn when it matters",
    "cure_rug": "A thick rug on felt",
    "cure_dead": "Fewer soft things, or a harder floor",
    "cure_pairs": "More measuring positions, which narrow the range",
    "who_owner": "the owner of the room",
    "who_shop": "we, once there is a place for it",
    "who_curtain": "a curtain maker",
    "who_rug": "a carpet layer",
    "who_us_measuring": "we, on a second visit",
    "quote_title": "Quote {number}",
    "quote_for": "What hangs",
    "quote_rests": (
        "What is promised, on which conditions, and what is not included, stands in the proposal "
        "of the same number."
    ),
}
