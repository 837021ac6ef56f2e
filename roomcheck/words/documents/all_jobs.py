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
    "over_buy_say": (
        "Packs of every job by itself, added up: {cost}. What one cutting plan over all jobs would "
        "save is not planned yet."
    ),
    "over_rack": (
        "{jobs} each count on all offcuts that lie on the rack. Cut each offcut once, and buy what "
        "the others then lack."
    ),
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
