"""How many small changes of the source the tests notice, stage by stage.

    python benchmarks/mutants.py                          30 mutants of every stage
    python benchmarks/mutants.py verify measure --count 50
    python benchmarks/mutants.py verify --only verify/promise.py
    python benchmarks/mutants.py --kept FOLDER --minutes 19
                                                          as far as that goes; the next run goes on from there

A mutant is one comparison, sum, constant, condition or choice of the larger turned round. Each is a fork that runs
files of the stage that name its function, then the tests of the stage that run it, the quickest first, then files of
other stages that name the module. It is killed where one fails; `open` where the processor time ran out before any failed. Survivors are to be
looked at one by one: some change nothing that matters, and that is said below, in `EQUIVALENT`.
"""

from __future__ import annotations

import argparse
import ast
import functools
import hashlib
import json
import os
import re
import resource
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import reached

TOP = Path(__file__).resolve().parents[1]
PACKAGE = TOP / "roomcheck"
STAGES = ("standards", "materials", "job", "measure", "analyse", "judge", "predict", "recommend", "workshop", "quote", "verify")  # fmt: skip
SEED, COUNT = 14, 30
CPU_S, WIDE_CPU_S = 25.0, 40
"""For the tests of the stage, and for those of others. [s]"""
NAMED, NAMED_CPU_S = 3, 15
"""Files of tests that are tried first, and for how long. [s]"""
WANTED = 0.85

NO_EQUAL = "two computed numbers are never equal to the last bit"
EQUIVALENT: dict[str, str] = {
    "job/usual.py 5.0 -> 5.5": "what is usual is a range of our own; a tenth more says the same",
    "standards/targets/uses.py 0.5 -> 0.55": "how alike a name must be to be offered; the nearest are offered all the same",
    "workshop/parts/pieces.py 200 -> 201": "a gusset a millimetre larger holds the same",
    "recommend/plan/gains.py 6 -> 7": "microseconds of a decay, rounded off",
    "predict/rays/transport.py 200 -> 201": "samples of a line that is fitted",
    "predict/rays/images.py face.normal[axis] > 0 -> face.normal[axis] >= 0": "the largest part of a unit vector is not 0",
    "measure/checks/arrivals.py likeness > TWICE -> likeness >= TWICE": NO_EQUAL,
    "judge/findings/speech.py mean_pct - COVERAGE * u_pct > iso.CURVATURE_LIMIT_PCT -> mean_pct - COVERAGE * u_pct >= iso.CURVATURE_LIMIT_PCT": NO_EQUAL,
    "judge/findings/early.py reflection.level_db - 2 * LEVEL_U_DB > limit.level_db -> reflection.level_db - 2 * LEVEL_U_DB >= limit.level_db": NO_EQUAL,
    "analyse/band/no_decay.py 4 -> 5": "fewer than eight blocks show nothing either way",
    "job/logo/png.py 1 -> 2": "bytes that are unpacked at a time",
    "materials/table/handbooks.py False -> True": "of a row of seats only the numbers are used",
    "measure/checks/find_sweep.py audio.frames <= MOST_FRAMES -> audio.frames < MOST_FRAMES": "a record of just so many frames gives the same whole or cut",
    "measure/checks/arrivals.py peaks[best] ** 2 >= 0.15 * np.sum(h ** 2) -> peaks[best] ** 2 > 0.15 * np.sum(h ** 2)": NO_EQUAL,
    "verify/decide.py max(mean.n, 2) + 1 -> max(mean.n, 2) - 1": "it then tries numbers of pairs that are known not to decide first",
}  # fmt: skip
"""Survivors that change nothing, by "module old -> new", each with why."""

COMPARE = {ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,)}  # fmt: skip
ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
CHOICE = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a module can be changed, and which way."""

    path: Path
    number: int
    """Of the node, as `ast.walk` comes by."""
    way: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """One changed place of a module."""

    path: Path
    line: int
    function: str | None
    """Qualified name of the function around it; None: it is outside of all."""
    old: str
    new: str
    source: str

    @property
    def module(self) -> str:
        return self.path.relative_to(PACKAGE).as_posix()

    @property
    def change(self) -> str:
        """What `EQUIVALENT` names it by."""
        return f"{self.module} {_short(self.old)} -> {_short(self.new)}"

    def __str__(self) -> str:
        return f"{self.module}:{self.line} {_short(self.old)} -> {_short(self.new)}"


def _short(text: str) -> str:
    return text if len(text) <= 70 else f"{text[:67]}…"


def places_of(path: Path) -> Iterator[Place]:
    """Every place of a module that can be changed."""
    tree = ast.parse(path.read_text("utf-8"))
    untouched = _of_no_effect(tree)
    for number, node in enumerate(ast.walk(tree)):
        if node not in untouched:
            for way in range(len(_changed(node))):
                yield Place(path=path, number=number, way=way)


def _of_no_effect(tree: ast.Module) -> set[ast.AST]:
    """What is not run, or tells Python alone how to keep a value: annotations, what a class or function is
    decorated with, imports for types."""
    roots: list[ast.AST | None] = []
    for node in ast.walk(tree):
        match node:
            case ast.ClassDef():
                roots += node.decorator_list
            case ast.FunctionDef():
                roots += [*node.decorator_list, node.returns]
            case ast.arg() | ast.AnnAssign():
                roots.append(node.annotation)
            case (
                ast.If(test=ast.Name(id="TYPE_CHECKING"))
                | ast.Subscript(value=ast.Name(id="Literal"))
            ):
                roots.append(node)
    return {inner for root in roots if root is not None for inner in ast.walk(root)}


def mutant_at(place: Place) -> Mutant:
    """The module changed at a place."""
    tree = ast.parse(place.path.read_text("utf-8"))
    node = list(ast.walk(tree))[place.number]
    line, old, function = node.lineno, ast.unparse(node), _function_around(tree, node.lineno)
    new = _changed(node)[place.way]
    for field in node._fields:
        setattr(node, field, getattr(new, field))
    return Mutant(
        path=place.path,
        line=line,
        function=function,
        old=old,
        new=ast.unparse(node),
        source=ast.unparse(ast.fix_missing_locations(tree)),
    )


def _function_around(tree: ast.Module, line: int) -> str | None:
    """Qualified name of the innermost function around a line, its decorators included."""
    name, found, inner = "", None, list(tree.body)
    while inner:
        node = inner.pop()
        if not isinstance(node, ast.FunctionDef | ast.ClassDef):
            inner += [one for one in ast.iter_child_nodes(node) if isinstance(one, ast.stmt)]
        elif _first_line(node) <= line <= (node.end_lineno or 0):
            name, inner = f"{name}{node.name}", list(node.body)
            if isinstance(node, ast.FunctionDef):
                found = name
            name += ".<locals>." if isinstance(node, ast.FunctionDef) else "."
    return found


def _first_line(node: ast.FunctionDef | ast.ClassDef) -> int:
    return min([node.lineno, *(one.lineno for one in node.decorator_list)])


def _changed(node: ast.AST) -> list[ast.AST]:  # noqa: PLR0911 - one line a kind of change
    """The node with one thing turned round, in every way there is."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in COMPARE:
            return [
                ast.Compare(node.left, [other()], node.comparators) for other in COMPARE[type(op)]
            ]
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


def near_tests(mutant: Mutant, tests: list[reached.Test]) -> list[str]:
    """Tests of the stage that run the changed function, or the module where it is outside of all, the quickest
    first, as many as the processor time allows."""
    names, spent_s = [], 0.0
    for test in sorted(tests, key=lambda test: test.cpu_s):
        modules = {module for module, _ in test.functions}
        runs = (
            mutant.module in modules
            if mutant.function is None
            else (mutant.module, mutant.function) in test.functions
        )
        if runs and (not names or spent_s + test.cpu_s < CPU_S):
            names.append(test.name)
            spent_s += test.cpu_s
    return names


def named_tests(mutant: Mutant, stage: str) -> list[str]:
    """Files of the stage's tests that name the module, or the changed function itself, the
    likeliest first: where one of them fails, nobody need look which tests run what."""
    function = (mutant.function or mutant.path.stem).rpartition(".")[2]
    words = [re.compile(rf"\b{re.escape(word)}\b") for word in (function, mutant.path.stem)]
    found = []
    for test in (TOP / "tests" / stage).rglob("test_*.py"):
        text = test.read_text("utf-8")
        hits = [len(word.findall(text)) for word in words]
        if any(hits):
            found.append((-hits[0], -hits[1], str(test.relative_to(TOP))))
    return [name for *_, name in sorted(found)[:NAMED]]


def wide_tests(mutant: Mutant, stage: str) -> list[str]:
    """Test files of other stages that name the module or something it defines, the likeliest first; for what is
    outside of all functions, and so is run by no test, those of the stage before them."""
    words = re.compile(rf"\b({'|'.join(map(re.escape, _names_of(mutant.path)))})\b")
    own, others = [], []
    for test in sorted((TOP / "tests").rglob("test_*.py")):
        hits = len(words.findall(test.read_text("utf-8")))
        if hits and test.parent.name not in SLOW:
            place = own if test.parent.name == stage else others
            place.append((-hits, str(test.relative_to(TOP))))
    if mutant.function is not None:
        own = []
    return [name for _, name in (*sorted(own)[:3], *sorted(others)[:5])]


def _names_of(path: Path) -> list[str]:
    """A module, whole and by its last name, and what it defines for others."""
    module = ".".join(path.relative_to(TOP).with_suffix("").parts)
    names = [module, path.stem]
    for node in ast.parse(path.read_text("utf-8")).body:
        match node:
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                names.append(name)
            case ast.Assign(targets=targets):
                inner = (one for target in targets for one in ast.walk(target))
                names += [one.id for one in inner if isinstance(one, ast.Name)]
    return [name for name in names if not name.startswith("_")]


SLOW = ("page", "demo")
"""Folders of tests that take minutes."""


@functools.cache
def _imported() -> None:
    """What is slow to import and none of ours is there before the forks."""
    import matplotlib.figure  # noqa: F401
    import numpy  # noqa: F401
    import pytest  # noqa: F401
    import scipy.optimize
    import scipy.signal
    import scipy.stats  # noqa: F401


def outcome(mutant: Mutant, stage: str, tests: Callable[[], list[reached.Test]]) -> str:
    """killed, survived or open; which tests run what is asked for where those that name the
    function do not fail."""
    found = "survived"
    _imported()
    with tempfile.TemporaryDirectory(prefix="roomcheck-mutant-", dir=TOP.parent) as place:
        package = Path(place) / "roomcheck"
        shutil.copytree(PACKAGE, package, copy_function=os.link)
        changed = package / mutant.module
        changed.unlink()
        for compiled in changed.parent.glob(f"__pycache__/{changed.stem}.*"):
            compiled.unlink()
        changed.write_text(mutant.source, "utf-8")
        named = named_tests(mutant, stage)
        if named and _in_fork(Path(place), named, NAMED_CPU_S) == "killed":
            return "killed"
        for names, cpu_s in (
            (near_tests(mutant, tests()), round(2 * CPU_S)),
            (wide_tests(mutant, stage), WIDE_CPU_S),
        ):
            if names and found == "survived":
                found = _in_fork(Path(place), names, cpu_s)
    return found


def _in_fork(place: Path, tests: list[str], cpu_s: int) -> str:
    pid = os.fork()
    if pid == 0:
        _test(place, tests, cpu_s)
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

        words = ["-x", "-q", "-p", "no:cacheprovider", "-o", "pythonpath=benchmarks"]
        code = int(pytest.main([*words, *tests]))
    finally:
        os._exit(code)


class Kept:
    """What earlier runs found, by mutant and by what its module and its stage's tests are."""

    def __init__(self, folder: Path, stage: str) -> None:
        self.path = folder / f"{stage}.jsonl"
        lines = self.path.read_text("utf-8").splitlines() if self.path.exists() else []
        self.known = {one["key"]: one["how"] for one in map(json.loads, lines)}

    def of(self, mutant: Mutant) -> str | None:
        return self.known.get(self._key(mutant))

    def keep(self, mutant: Mutant, how: str) -> None:
        self.known[self._key(mutant)] = how
        self.path.parent.mkdir(parents=True, exist_ok=True)
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps({"key": self._key(mutant), "how": how}) + "\n")

    @staticmethod
    def _key(mutant: Mutant) -> str:
        return f"{mutant} {hashlib.sha256(mutant.source.encode()).hexdigest()[:12]}"


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("stage", nargs="*", default=STAGES, help="default: all")
    parser.add_argument(
        "--count", type=int, default=COUNT, help="mutants of each stage (default: %(default)s)"
    )
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only", help="modules whose path holds this")
    parser.add_argument("--kept", type=Path, metavar="FOLDER", help="go on from what lies there")
    parser.add_argument("--minutes", type=float, default=1e9, help="end after so long")
    parser.add_argument(
        "--again", action="store_true", help="try those that survived before once more"
    )
    args = parser.parse_args()
    until_s = time.monotonic() + 60 * args.minutes
    low = 0
    with tempfile.TemporaryDirectory() as place:
        for stage in args.stage:
            score = score_of(
                stage,
                args.count,
                args.kept or Path(place),
                seed=args.seed,
                only=args.only,
                until_s=until_s,
                again=args.again,
            )
            low += score.share < WANTED
    return 1 if low else 0


def chosen(stage: str, count: int, seed: int, only: str | None) -> list[Place]:
    """Places of a stage, drawn so that a change of one module leaves those of the others."""
    places = [
        place
        for path in sorted((PACKAGE / stage).rglob("*.py"))
        if path.name != "__init__.py" and (not only or only in str(path))
        for place in places_of(path)
    ]

    def lot(place: Place) -> bytes:
        name = place.path.relative_to(PACKAGE).as_posix()
        return hashlib.sha256(f"{seed} {name} {place.number} {place.way}".encode()).digest()

    return sorted(places, key=lot)[:count]


@dataclass(kw_only=True)
class Score:
    """What became of a stage's mutants."""

    stage: str
    counts: dict[str, int]
    survivors: list[str]

    @property
    def tried(self) -> int:
        """Those that change something."""
        return self.counts["killed"] + self.counts["survived"] + self.counts["open"]

    @property
    def share(self) -> float:
        return self.counts["killed"] / self.tried if self.tried else 1.0


def score_of(
    stage: str,
    count: int,
    folder: Path,
    *,
    seed: int = SEED,
    only: str | None = None,
    until_s: float = float("inf"),
    again: bool = False,
) -> Score:
    """Try a stage's mutants, or what lies in the folder of them; survivors are printed."""
    kept = Kept(folder, stage)
    counts = {"killed": 0, "survived": 0, "open": 0, "equivalent": 0, "not run": 0}
    score = Score(stage=stage, counts=counts, survivors=[])
    tests = functools.cache(
        lambda: reached.tests_in(f"tests/{stage}", folder / f"{stage}.tests.json")
    )
    for place in chosen(stage, count, seed, only):
        mutant = mutant_at(place)
        how = kept.of(mutant)
        late = time.monotonic() > until_s
        if (how is None or (again and how != "killed")) and not late:
            how = outcome(mutant, stage, tests)
            kept.keep(mutant, how)
        how = how or "not run"
        if how != "killed" and mutant.change in EQUIVALENT:
            how = "equivalent"
        counts[how] += 1
        if how in ("survived", "open"):
            score.survivors.append(str(mutant))
            print(f"  {how}: {mutant}", flush=True)
    print(f"{stage}: {100 * score.share:.0f} % of {score.tried} killed {counts}", flush=True)
    return score


if __name__ == "__main__":
    sys.exit(main())
