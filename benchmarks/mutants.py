"""How many small changes of the source the tests notice, stage by stage.

    python benchmarks/mutants.py                          10 mutants of every stage
    python benchmarks/mutants.py verify measure --count 30
    python benchmarks/mutants.py verify --only verify/promise.py

A mutant is one comparison, sum, constant, condition or choice of the larger turned round. It is killed where a
test that names its module fails; `open` where these ran out of processor time before any failed. Survivors are to be
looked at one by one: some change nothing that matters, and that is said below, in `EQUIVALENT`.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import re
import resource
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
PACKAGE = TOP / "roomcheck"
STAGES = ("standards", "materials", "job", "measure", "analyse", "judge", "predict", "recommend", "workshop", "quote", "verify")  # fmt: skip
SEED, COUNT, CPU_S = 14, 10, 60
WANTED = 0.85

EQUIVALENT: dict[str, str] = {}
"""Survivors that change nothing, by "module:line old -> new", each with why."""

COMPARE = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is}  # fmt: skip
ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
CHOICE = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One changed place of a module."""

    path: Path
    line: int
    old: str
    new: str
    source: str

    def __str__(self) -> str:
        where = self.path.relative_to(PACKAGE).as_posix()
        return f"{where}:{self.line} {_short(self.old)} -> {_short(self.new)}"


def _short(text: str) -> str:
    return text if len(text) <= 70 else f"{text[:67]}…"


def mutants_of(path: Path) -> Iterator[Callable[[], Mutant]]:
    """Every mutant of a module, made when it is asked for."""
    tree = ast.parse(path.read_text("utf-8"))
    for number, node in enumerate(ast.walk(tree)):
        for way in range(len(_changed(node))):
            yield lambda number=number, way=way: _mutant(path, tree, number, way)


def _mutant(path: Path, tree: ast.Module, number: int, way: int) -> Mutant:
    changed = copy.deepcopy(tree)
    node = list(ast.walk(changed))[number]
    old = ast.unparse(node)
    line = node.lineno
    new = _changed(node)[way]
    for field in node._fields:
        setattr(node, field, getattr(new, field))
    return Mutant(
        path, line, old, ast.unparse(node), ast.unparse(ast.fix_missing_locations(changed))
    )


def _changed(node: ast.AST) -> list[ast.AST]:  # noqa: PLR0911 - one line a kind of change
    """The node with one thing turned round, in every way there is."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in COMPARE:
            return [ast.Compare(node.left, [COMPARE[type(op)]()], node.comparators)]
        case ast.BinOp() if type(node.op) in ARITHMETIC and not _text(node):
            return [ast.BinOp(node.left, ARITHMETIC[type(node.op)](), node.right)]
        case ast.BoolOp():
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            return [ast.BoolOp(other, node.values)]
        case ast.Call(func=ast.Name(id=name)) if name in CHOICE:
            return [ast.Call(ast.Name(CHOICE[name], ast.Load()), node.args, node.keywords)]
        case ast.Constant(value=bool()):
            return [ast.Constant(not node.value)]
        case ast.Constant(value=int()):
            return [ast.Constant(node.value + 1)]
        case ast.Constant(value=float()) if node.value:
            return [ast.Constant(node.value * 1.1)]
        case ast.If() | ast.IfExp():
            never = ast.BoolOp(ast.And(), [node.test, ast.Constant(False)])
            kind = type(node)
            return [kind(never, node.body, node.orelse)]
    return []


def _text(node: ast.BinOp) -> bool:
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )


def tests_of(path: Path, stage: str) -> list[str]:
    """Test files that name the module or something it defines, those of its own stage first."""
    module = ".".join(path.relative_to(TOP).with_suffix("").parts)
    defined = [
        n.name
        for n in ast.parse(path.read_text("utf-8")).body
        if isinstance(n, ast.FunctionDef | ast.ClassDef) and not n.name.startswith("_")
    ]
    named = re.compile(rf"\b{re.escape(module)}\b")
    words = re.compile(rf"\b({'|'.join(map(re.escape, defined)) or 'nothing at all'})\b")
    found: list[tuple[int, int, str]] = []
    for test in sorted((TOP / "tests").rglob("test_*.py")):
        text = test.read_text("utf-8")
        hits = 100 * len(named.findall(text)) + len(words.findall(text))
        own = test.parent.name == stage
        if hits:
            found.append((0 if own else 1, -hits, str(test.relative_to(TOP))))
    return [name for _, _, name in sorted(found)[:4]] or [f"tests/{stage}"]


def outcome(mutant: Mutant, tests: list[str], cpu_s: int) -> str:
    """killed, survived or open; each in a fork with a copy of the package of its own."""
    with tempfile.TemporaryDirectory(prefix="roomcheck-mutant-") as place:
        shutil.copytree(
            PACKAGE, Path(place) / "roomcheck", ignore=shutil.ignore_patterns("__pycache__")
        )
        (Path(place) / mutant.path.relative_to(TOP)).write_text(mutant.source, "utf-8")
        pid = os.fork()
        if pid == 0:
            _test(Path(place), tests, cpu_s)
        _, status = os.waitpid(pid, 0)
    code = os.waitstatus_to_exitcode(status)
    if code < 0:
        return "open"
    return {0: "survived", 5: "survived"}.get(code, "killed")


def _test(place: Path, tests: list[str], cpu_s: int) -> None:
    """Be the child: never returns."""
    code = 3
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s + 1))
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        os.environ["PYTHONPATH"] = os.pathsep.join([str(place), str(TOP / "benchmarks")])
        sys.path[:0] = [str(place)]
        sys.dont_write_bytecode = True
        os.chdir(TOP)
        import pytest

        code = int(
            pytest.main(
                ["-x", "-q", "-p", "no:cacheprovider", "-o", "pythonpath=benchmarks", *tests]
            )
        )
    finally:
        os._exit(code)


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("stage", nargs="*", default=STAGES, help="default: all")
    parser.add_argument(
        "--count", type=int, default=COUNT, help="mutants of each stage (default: %(default)s)"
    )
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument(
        "--cpu", type=int, default=CPU_S, help="seconds for the tests of one (default: %(default)s)"
    )
    parser.add_argument("--only", help="modules whose path holds this")
    args = parser.parse_args()
    # What is slow to import and none of ours is there before the forks.
    import matplotlib.figure  # noqa: F401
    import numpy  # noqa: F401
    import pytest  # noqa: F401
    import scipy.optimize
    import scipy.signal
    import scipy.stats  # noqa: F401

    low = 0
    for stage in args.stage:
        score = _stage(stage, args)
        low += score < WANTED
    return 1 if low else 0


def _stage(stage: str, args: argparse.Namespace) -> float:
    """Score of a stage; its survivors are printed."""
    paths = [
        p
        for p in sorted((PACKAGE / stage).rglob("*.py"))
        if p.name != "__init__.py" and (not args.only or args.only in str(p))
    ]
    makers = [make for path in paths for make in mutants_of(path)]
    chosen = random.Random(f"{args.seed} {stage}").sample(makers, min(args.count, len(makers)))
    counts = {"killed": 0, "survived": 0, "open": 0, "equivalent": 0}
    for make in chosen:
        mutant = make()
        how = outcome(mutant, tests_of(mutant.path, stage), args.cpu)
        if how != "killed" and str(mutant) in EQUIVALENT:
            how = "equivalent"
        counts[how] += 1
        if how in ("survived", "open"):
            print(f"  {how}: {mutant}", flush=True)
    counted = sum(counts.values()) - counts["equivalent"]
    score = counts["killed"] / counted if counted else 1.0
    print(f"{stage}: {100 * score:.0f} % of {counted} killed {counts}", flush=True)
    return score


if __name__ == "__main__":
    sys.exit(main())
