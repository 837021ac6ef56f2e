"""Writes docs/validation.md: what was checked, against what, and how far off it is.

Each proof is a module of `benchmarks/sections` with a `TITLE` and `write(figures) -> str | None`:
its text as markdown, or None where what it needs (open recordings, another library) is not on the
machine. A section that gives None stays as it was. Figures go into the folder handed over, named
after the section, and are linked as `figures/NAME-….svg`.

    python benchmarks/validation.py                    all sections
    python benchmarks/validation.py truth recordings   these two; the others stay as they are
    python benchmarks/validation.py --list             what there is
"""

from __future__ import annotations

import argparse
import datetime
import importlib
import platform
import re
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

HERE = Path(__file__).resolve().parent
PAGE = HERE.parent / "docs" / "validation.md"
FIRST = ("truth", "recordings")
"""Sections that open the page; the others follow by name, the one on speed last."""

HEAD = """# What was checked, and how far off it is

Written by `python benchmarks/validation.py` (sections: see its `--help`). Each section says when it was run, with what
versions, and what its numbers are held against; one whose open data are not on the machine stays as it was.
Tests hold the limits printed here on fewer draws.
"""


def names() -> list[str]:
    """Every section, in the order of the page."""
    found = sorted(
        path.stem for path in (HERE / "sections").glob("*.py") if not path.stem.startswith("_")
    )
    return sorted(
        found,
        key=lambda name: (
            FIRST.index(name) if name in FIRST else len(FIRST),
            name == "speed",
            name,
        ),
    )


def versions() -> str:
    """The programs that a number can depend on."""
    said = [f"Python {platform.python_version()}"]
    for package in ("roomcheck", "numpy", "scipy", "pyroomacoustics"):
        try:
            said.append(f"{package} {version(package)}")
        except PackageNotFoundError:
            continue
    return ", ".join(said)


def sections_of(page: str) -> dict[str, str]:
    """What stands between the marks of each section."""
    marked = re.findall(r"<!-- begin (\S+) -->\n(.*?)<!-- end \1 -->", page, re.DOTALL)
    return dict(marked)


def page_of(sections: dict[str, str]) -> str:
    """The page of these sections, in their order."""
    known = [name for name in names() if name in sections]
    gone = [name for name in sections if name not in known]
    return HEAD + "".join(
        f"\n<!-- begin {name} -->\n{sections[name]}<!-- end {name} -->\n" for name in known + gone
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("section", nargs="*", help="default: all")
    parser.add_argument("--list", action="store_true", help="name the sections and stop")
    args = parser.parse_args()
    if args.list:
        print("\n".join(names()))
        return
    wrong = sorted(set(args.section) - set(names()))
    if wrong:
        parser.error(f"no section {', '.join(wrong)}; there are {', '.join(names())}")
    sections = sections_of(PAGE.read_text(encoding="utf-8")) if PAGE.is_file() else {}
    figures = PAGE.parent / "figures"
    figures.mkdir(parents=True, exist_ok=True)
    today = datetime.datetime.now(tz=datetime.UTC).date().isoformat()
    for name in args.section or names():
        print(f"{name} …", file=sys.stderr, flush=True)
        module = importlib.import_module(f"sections.{name}")
        text = module.write(figures)
        if text is None:
            print(
                f"{name}: what it needs is not on this machine; it stays as it was", file=sys.stderr
            )
            continue
        sections[name] = f"## {module.TITLE}\n\n*{today}; {versions()}*\n\n{text.strip()}\n"
        # Written after each, so that a long run that is stopped loses nothing.
        PAGE.write_text(page_of(sections), encoding="utf-8")


if __name__ == "__main__":
    main()
