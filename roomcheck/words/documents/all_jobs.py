"""Words of what the shop's owner sees of all jobs."""

from __future__ import annotations

ALL_JOBS: dict[str, str] = {
    "over_pieces": "Pieces to build",
    "over_pieces_say": (
        "Of all jobs that are signed and not measured again yet: {count}; {build} h in the shop, "
        "{install} h on site."
    ),
    "over_none": "No signed job waits for its pieces.",
    "over_unknown": (
        "Not planned yet, so on neither list: {jobs}. Its build sheet is made with its documents, "
        "and made again when its files have changed."
    ),
    "over_buy": "One buy list",
    "over_buy_say": "Packs of every job by itself, added up: {cost}.",
    "over_buy_together": (
        "For {jobs} as one: {cost}; every job by itself would take {apart}. Net amounts by job; "
        "packs, waste and the rack are counted once."
    ),
    "over_buy_begun": (
        "Bought and cut by its own sheet already, so on no list here: {jobs}. What it still needs "
        "stands on its shop page."
    ),
    "over_rack": (
        "{jobs} each count on all offcuts that lie on the rack. Cut each offcut once, and buy what "
        "the others then lack."
    ),
    "over_cut": "One cutting plan",
    "over_cut_say": (
        "Every part is marked with its job: write the job on it as it comes off the saw. Offcuts "
        "of the rack are used once, before anything new is cut."
    ),
    "over_stops": "Settings of the stop",
    "over_bars": "Bars",
    "over_sheets": "Sheets and core boards",
    "over_rolls": "Off the roll",
    "over_part": "{count} × {size} {job}",
    "over_left": "Back on the rack",
    "over_weeks": "This week, and after it",
    "over_weeks_say": (
        "Jobs in the order of their promised days, {hours} bench hours a week, hours that are "
        "noted taken off. {week} h of building begin this week."
    ),
    "head_week": "Week",
    "head_hours_left": "Hours left",
    "over_this_week": "this week",
    "over_next_week": "in week {week}",
    "over_foretold": "Predictions against second measurements",
    "over_foretold_say": (
        "{inside} of {of} measured octaves lie in the range that was predicted when the plan was "
        "signed."
    ),
    "head_predicted": "Predicted",
    "head_range_s": "Range",
    "head_off": "Off",
    "head_inside": "In the range",
    "over_unpriced": "Not on this list for {job}, because its shop.toml has no price: {items}.",
    "over_refused_title": "Must not be hung as planned",
    "over_refused": "{job}: {names}. Its hanging sheet says why.",
    "over_jobs": "For",
    "over_job": "{count} for {job}",
    "over_record": "Promises against second measurements",
    "over_record_say": (
        "Promises as a whole: {kept} kept, {not_kept} not kept, {undecided} undecided. Single "
        "values: {values_kept} of {values} kept, {values_not_kept} not kept, {values_undecided} "
        "undecided."
    ),
    "over_record_none": "No promise has been held against a second measurement yet.",
    "over_record_unknown": (
        "Measured again, and not held against the promise yet: {jobs}. Setting its documents does "
        "it."
    ),
    "over_anyway": "Compared although the visits differed: {jobs}.",
    "head_job": "Job",
}
