"""Words of what was noted in the shop and found on site."""

from __future__ import annotations

PROGRESS: dict[str, str] = {
    "hours_title": "Hours, planned and noted",
    "hours_none": "Nothing is noted yet.",
    "head_noted": "Noted",
    "head_planned": "Planned",
    "head_by": "By",
    "head_when": "When",
    "hours_site": "on site",
    "hours_total": "In all",
    "hours_running": "Running: {work}, {piece}, since {since}, {by}.",
    "hours_nobody": "nobody's name",
    "hours_notes": "Every note",
    "hours_taken_back": "taken back",
    "hours_take_up": (
        "One {piece} took {noted} h, planned were {planned} h. Take {noted} h into the shop's file "
        'for the next jobs: roomcheck hours {job} --take-up "{piece}"'
    ),
    "hours_kept_in_shop": "One {piece}: {hours} h from now on, in {file}. This job stays as it is.",
    "hours_why": "noted in {job}, {count} built",
    "hours_unplanned": "no work of the build sheet",
    "behind_title": "Found behind the walls",
    "found_none": "Nothing was found behind the walls that is not as the job has it.",
    "found_moved": "{name} hangs {side} of where the plan drew it, to meet the studs as found.",
    "found_stopped": "No hole for {name} until a licensed person has looked.",
    "found_numbered": "{number}. {face}: {text}",
    "found_here": "Found behind this wall.",
    "found_on_site": "Found on site",
    "set_stop": "Stop at",
    "set_fence": "Fence at",
    "set_roll": "Off the roll",
    "set_strips": "{count} × from sheet {sheets}",
}
