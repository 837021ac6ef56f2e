"""Proof: what becomes of rooms that were typed wrongly, and of those typed rightly."""

from __future__ import annotations

from pathlib import Path

import mistakes
from ranges import UNSEEN

TITLE = "A room typed wrongly: noticed, and for the right reason"
JOURNAL = "mistakes.json"
"""Kept by `python benchmarks/mistakes.py` with `--journal docs/figures/mistakes.json`."""
HEAD = (
    "| mistake | number | noticed | a cause named | the right surface, or an opening, among them | "
    "its material too | one cause alone |"
)

LIMIT = (
    "What hides a mistake: one surface typed soft where it is hard makes, between mirrors, a decay as "
    "long as was measured. What the early decay beside T20 says of the scattering is weighed by Bayes' "
    "theorem, where it may also be one that the model does not mean: an early decay that fits no "
    "scattering says nothing of it, and hides no mistake (decided with all these rooms in view). An "
    "earlier predictor with a fixed share of doubt in place of that noticed 80 % of the mistakes in 122 "
    "of the first 140 rooms and 72 % in the 40 others, without early decays 68 % and 60 %. Limits tried "
    "with the predictor of today, noticed in the first 140 rooms and in the 40 others, and "
    "accused of all 180 though typed rightly: odds of five and six 84 %, 92 and 90 %, and 1; seven 83 "
    "%, 90 % and 1; eight 82 %, 88 % and none; ten 81 %, 88 % and none. An observer who knew scattering "
    "and mistake would notice 98 % of 103 of these by T20 alone at one false accusation in a hundred "
    "(the shift by Eyring's formula over the doubt of all octaves together)."
)


def write(figures: Path) -> str | None:
    """Of the rooms kept in the journal, as markdown; no figure."""
    journal = mistakes.Journal.read(figures / JOURNAL)
    if not journal.rooms:
        return None
    found = journal.mistakes
    kinds = sorted({each.kind for each in found})
    no_door = "" if "opening" in kinds else "No door of those tried moved that much. "
    lines = [
        (
            f"{len(journal.rooms)} of the traced rooms of the ranges (`benchmarks/mistakes.py`), "
            "each typed with one mistake: another material of the table on one wall, all walls, "
            "the floor or the ceiling, or an open door forgotten. One counts where it moves two "
            "octaves by twice the doubt that tables and model leave before anything is measured. "
            f"{no_door}Of the same rooms typed rightly {journal.accused} of {len(journal.rooms)} are called "
            "unexplained. One or two causes are named, or none; shares are of the column before."
        ),
        "",
        HEAD,
        "|---|---:|---:|---:|---:|---:|---:|",
        _line("all", found),
        *_halves(journal),
        *(_line(kind, [each for each in found if each.kind == kind]) for kind in kinds),
        "",
        LIMIT,
    ]
    return "\n".join(lines)


def _halves(journal: mistakes.Journal) -> list[str]:
    """The rooms that judgements were made on, and the others that nothing was tuned on."""
    named = (("in the first rooms", False), ("in the others, that no limit was set by", True))
    lines = []
    for name, unseen in named:
        rooms = {s: r for s, r in journal.rooms.items() if (int(s) >= UNSEEN) == unseen}
        half = mistakes.Journal(path=None, rooms=rooms)
        if rooms:
            accused = f"{name} ({half.accused} of {len(rooms)} accused typed rightly)"
            lines.append(_line(accused, half.mistakes))
    return lines


def _line(name: str, found: list[mistakes.Noticed]) -> str:
    seen = [each for each in found if each.accused]
    said = [each for each in seen if each.said]
    cells = (
        f"{len(found)}",
        _pct(len(seen), len(found)),
        _pct(len(said), len(seen)),
        _pct(sum(each.right for each in said), len(said)),
        _pct(sum(each.exact for each in said), len(said)),
        _pct(sum(each.alone for each in said), len(said)),
    )
    return f"| {name} | {' | '.join(cells)} |"


def _pct(part: int, of: int) -> str:
    return f"{part / of:.0%}" if of else "–"
