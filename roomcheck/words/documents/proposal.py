"""Words of the proposal."""

from __future__ import annotations

PROPOSAL: dict[str, str] = {
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
}
