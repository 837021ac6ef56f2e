"""Kills, full disks, two at once, strangers' files: what becomes of a job's folder.

Each part is a module `benchmarks/faults_*.py` with a `TITLE` and `run(share, seed) -> Tally`: `share`
scales its number of cases, so that a small part of each runs in the tests. Every case runs in a forked
process of its own.

    python benchmarks/faults.py                      every part, all cases
    python benchmarks/faults.py kills --share 0.05   a twentieth of one part
    python benchmarks/faults.py crash --page         and write its figures into docs/validation.md
    python benchmarks/faults.py --list               what there is

Exits 1 where a case went wrong, and says which.
"""

from __future__ import annotations

import argparse
import importlib
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).resolve().parent
sys.path[:0] = [path for path in (str(HERE), str(HERE.parent)) if path not in sys.path]

SEED = 14
MOST_SHOWN = 40


@dataclass(kw_only=True)
class Tally:
    """What a part of the campaign found."""

    title: str
    cases: dict[str, int] = field(default_factory=dict)
    """How many of each sort."""
    faults: list[str] = field(default_factory=list)
    """One line for every case that went wrong, with what is needed to run it again."""
    remarks: list[str] = field(default_factory=list)
    """Sentences for the page."""

    def count(self, sort: str, fault: str | None = None) -> None:
        """Count a case; `fault` says what was wrong with it."""
        self.cases[sort] = self.cases.get(sort, 0) + 1
        if fault is not None:
            self.faults.append(f"{sort}: {fault}")

    @property
    def total(self) -> int:
        return sum(self.cases.values())

    def markdown(self) -> str:
        """The part as a section of a page."""
        lines = [f"### {self.title}", "", f"{self.total} cases, {len(self.faults)} went wrong.", ""]
        lines += ["| what | cases |", "|---|---|"]
        lines += [f"| {sort} | {count} |" for sort, count in self.cases.items()]
        lines += ["", *self.remarks] if self.remarks else []
        lines += ["", *(f"- {fault}" for fault in self.faults[:MOST_SHOWN])] if self.faults else []
        return "\n".join(lines) + "\n"


def names() -> list[str]:
    """Every part there is."""
    return sorted(path.stem.removeprefix("faults_") for path in HERE.glob("faults_*.py"))


def part(name: str) -> ModuleType:
    """The module of a part."""
    return importlib.import_module(f"faults_{name}")


def run(name: str, share: float = 1.0, seed: int = SEED) -> Tally:
    """Run a part."""
    tally: Tally = part(name).run(share, seed)
    return tally


def write_page(tally: Tally, share: float, seed: int) -> None:
    """Put one part's figures into its section of docs/validation.md; the other parts stay."""
    import datetime

    import validation
    from sections.faults import TITLE

    page = validation.PAGE
    sections = validation.sections_of(page.read_text(encoding="utf-8")) if page.is_file() else {}
    head, *parts = sections.get("faults", f"## {TITLE}\n\n").split("### ")
    today = datetime.datetime.now(tz=datetime.UTC).date().isoformat()
    said = f"*{today}; {validation.versions()}; seed {seed}, share {share:g} of the cases*"
    title, _, rest = tally.markdown().removeprefix("### ").partition("\n")
    others = [part for part in parts if part.partition("\n")[0] != title]
    known = sorted([*others, f"{title}\n\n{said}\n{rest}\n"])
    sections["faults"] = (
        "### ".join([head, *(f"{part.rstrip()}\n\n" for part in known)]).rstrip() + "\n"
    )
    page.write_text(validation.page_of(sections), encoding="utf-8")


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("part", nargs="*", help="default: all")
    parser.add_argument("--share", type=float, default=1.0, help="of the cases (default: 1)")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument(
        "--page", action="store_true", help="put the figures into docs/validation.md"
    )
    parser.add_argument("--list", action="store_true", help="what there is")
    args = parser.parse_args()
    if args.list:
        for name in names():
            print(f"{name}: {part(name).TITLE}")
        return 0
    wrong = 0
    for name in args.part or names():
        began_s = time.monotonic()
        tally = run(name, args.share, args.seed)
        wrong += len(tally.faults)
        print(tally.markdown())
        if args.page:
            write_page(tally, args.share, args.seed)
        print(f"({name}: {time.monotonic() - began_s:.0f} s)", file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    # The parts import this module by its name: they must find this one, not a second.
    sys.modules.setdefault("faults", sys.modules["__main__"])
    sys.exit(main())
