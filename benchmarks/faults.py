"""Kills, full disks, two at once, strangers' files: what becomes of a job's folder.

Each part is a module `benchmarks/faults_*.py` with a `TITLE` and `plan(ground, share, seed) -> Plan`:
`ground` is a folder to lay things out in, `share` scales the number of cases, so that a small part of
each runs in the tests. Every case runs in a forked process of its own.

    python benchmarks/faults.py                      every part, all cases
    python benchmarks/faults.py crash --share 0.05   a twentieth of one part
    python benchmarks/faults.py crash --journal FILE --minutes 19
                                                     as far as that goes; the next run goes on from there
    python benchmarks/faults.py --journal FILE --page
                                                     run what lacks, figures into docs/validation.md
    python benchmarks/faults.py --list               what there is

Exits 1 where a case went wrong, and says which.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).resolve().parent
sys.path[:0] = [path for path in (str(HERE), str(HERE.parent)) if path not in sys.path]

SEED = 14
MOST_SHOWN = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One thing that is tried."""

    sort: str
    name: str
    """With the part and the sort it says which case this is, for the same seed."""
    run: Callable[[], str | None]
    """Returns what was wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a part will try."""

    cases: Sequence[Case]
    remarks: tuple[str, ...]
    """Sentences for the page."""


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
    left: int = 0
    """Cases for which there was no time."""

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
        left = f" Another {self.left} were not run in the time that there was." if self.left else ""
        head = f"{self.total} cases, {len(self.faults)} went wrong.{left}"
        lines = [f"### {self.title}", "", head, ""]
        lines += ["| what | cases |", "|---|---|"]
        lines += [f"| {sort} | {count} |" for sort, count in sorted(self.cases.items())]
        lines += ["", *self.remarks] if self.remarks else []
        lines += ["", *(f"- {fault}" for fault in self.faults[:MOST_SHOWN])] if self.faults else []
        return "\n".join(lines) + "\n"


def names() -> list[str]:
    """Every part there is."""
    return sorted(path.stem.removeprefix("faults_") for path in HERE.glob("faults_*.py"))


def part(name: str) -> ModuleType:
    """The module of a part."""
    return importlib.import_module(f"faults_{name}")


@dataclass(kw_only=True)
class Journal:
    """The cases that earlier runs of the same program have done, so that a campaign can be run in parts.

    A file of one JSON text a line; the first line names the program's sources. In its folder
    the parts keep what they have laid out.
    """

    path: Path
    until_s: float = float("inf")
    """No case begins after this, on the monotonic clock. [s]"""
    done: dict[str, str | None] = field(default_factory=dict)
    """From a case to what was wrong with it."""

    def __post_init__(self) -> None:
        head = {"sources": sources_digest()}
        if not self.path.exists():
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self.path.write_text(json.dumps(head) + "\n", encoding="utf-8")
        first, *lines = self.path.read_text(encoding="utf-8").splitlines()
        if json.loads(first) != head:
            raise SystemExit(f"{self.path}: of other sources of roomcheck; begin another one")
        self.done = {one["case"]: one["fault"] for one in map(json.loads, lines)}

    @property
    def over(self) -> bool:
        return time.monotonic() > self.until_s

    def keep(self, case: str, fault: str | None) -> None:
        self.done[case] = fault
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps({"case": case, "fault": fault}) + "\n")


def sources_digest() -> str:
    """SHA-256 of the program's sources."""
    sha = hashlib.sha256()
    for path in sorted((HERE.parent / "roomcheck").rglob("*.py")):
        sha.update(path.read_bytes())
    return sha.hexdigest()


def run(name: str, share: float = 1.0, seed: int = SEED, journal: Journal | None = None) -> Tally:
    """Run a part, or what a journal lacks of it."""
    module = part(name)
    tally = Tally(title=module.TITLE)
    with tempfile.TemporaryDirectory(prefix=f"roomcheck-{name}-") as place:
        ground = journal.path.with_name(f"{journal.path.name}-{name}") if journal else Path(place)
        ground.mkdir(exist_ok=True)
        plan: Plan = module.plan(ground, share, seed)
        # In any order, so that what is run of them in the time tells of all.
        cases = random.Random(seed).sample(plan.cases, len(plan.cases))
        for case in cases:
            key = f"{name} {seed} {case.sort} {case.name}"
            if journal is not None and key not in journal.done:
                if journal.over:
                    tally.left += 1
                    continue
                journal.keep(key, case.run())
            fault = journal.done[key] if journal else case.run()
            tally.count(case.sort, fault and f"{fault} ({case.name}, seed {seed})")
            if fault:
                print(f"{case.sort}: {tally.faults[-1]}", file=sys.stderr, flush=True)
    tally.remarks += plan.remarks
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
    parser.add_argument("--journal", type=Path, metavar="FILE", help="go on from there")
    parser.add_argument("--minutes", type=float, help="end after so long; needs --journal")
    parser.add_argument("--list", action="store_true", help="what there is")
    args = parser.parse_args()
    if args.list:
        for name in names():
            print(f"{name}: {part(name).TITLE}")
        return 0
    until_s = time.monotonic() + 60 * args.minutes if args.minutes else float("inf")
    journal = Journal(path=args.journal, until_s=until_s) if args.journal else None
    wrong = 0
    for name in args.part or names():
        began_s = time.monotonic()
        tally = run(name, args.share, args.seed, journal)
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
