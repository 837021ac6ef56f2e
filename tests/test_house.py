"""The house: data flows one way, through doors, in rooms of their own, and facts decide."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import roomcheck

PACKAGE = Path(roomcheck.__file__).parent
TOP = PACKAGE.parent
SHARED_WORDS = (
    "units",
    "errors",
    "signs",
    "typed",
    "facts",
    "geometry",
    "mirrors",
    "plain",
    "doors",
    "parts",
)
STAGES = (
    "standards",
    "materials",
    "job",
    "measure",
    "analyse",
    "judge",
    "predict",
    "recommend",
    "workshop",
    "quote",
    "verify",
    "scene",
    "words",
    "report",
    "chain",
    "demo",
    "cli",
    "page",
)
SHELF = "standards"
"""Its modules are doors themselves: each is one published document, named where it is used."""

FULL = 12
"""Files a folder holds at most, its `__init__` apart."""

ONLY_IN = {
    "pyroomacoustics": "predict",
    "matplotlib": "report",
    "typst": "report",
    "sounddevice": "measure",
    "av": "measure",
}
SLOW = (
    "scipy", "matplotlib", "pyroomacoustics", "soundfile", "sounddevice", "typst", "rich", "tomlkit",
    "starlette", "uvicorn", "jinja2",
)  # fmt: skip

OUTSIDE = ("measure", "job", "words", "report", "chain", "demo", "cli", "page")
"""Stages that meet the outside world or serve it: a clock may be read there."""

TEXT_READERS = (
    "job/read",
    "job/logo",
    "job/progress",
    "job/store",
    "job/toml",
    "job/write",
    "measure/files",
    "measure/card",
)
"""Rooms whose work is to read texts: what people typed, and the files of other programs."""

TEXT_METHODS = {
    "lower", "casefold", "upper", "startswith", "endswith", "partition", "rpartition",
    "removeprefix", "removesuffix", "isdigit",
}  # fmt: skip
TEXT_FIELDS = {
    "title", "sentence", "text", "name", "item", "build", "reason", "reasons", "face", "stock",
    "note", "notes", "label", "material", "piece", "use",
}  # fmt: skip

TEXTS_READ = {
    "materials/table/handbooks.py": "a material by its name, as a person typed it",
    "measure/photo/kept.py": "a place on a wall as a person typed it; endings of files",
    "measure/photo/read.py": "endings of files",
    "measure/visit/takes.py": "names and endings of files",
    "measure/visit/noise.py": "names and endings of files",
    "workshop/parts/piece_text.py": "a piece that a person typed in a few words",
}
"""Modules that look into a text for a reason, and which."""


def _files() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def _stage(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _where(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _imports(path: Path) -> Iterator[str]:
    """Every module that a file imports, anywhere in it, and every name out of one."""
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: relative import"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _module(name: str) -> Path | None:
    """The file or folder behind a dotted name of the package; None for a name inside a module."""
    path = PACKAGE.joinpath(*name.split(".")[1:])
    if path.with_suffix(".py").is_file():
        return path.with_suffix(".py")
    return path if path.is_dir() else None


def _imported_modules(path: Path) -> set[Path]:
    """Modules of the package that a file imports."""
    names = [name for name in _imports(path) if name.startswith("roomcheck.")]
    return {module for name in names if (module := _module(name)) is not None}


def test_every_part_of_the_package_is_a_stage_of_the_list():
    parts = {_stage(path) for path in _files()} - {"__init__", "__main__"}
    assert parts == {*STAGES, *SHARED_WORDS}


def test_a_stage_imports_only_from_above():
    wrong = []
    for path in _files():
        stage = _stage(path)
        if stage in ("__init__", "__main__"):  # the front doors enter no room until asked
            continue
        above = {*SHARED_WORDS, stage}
        above |= set(STAGES[: STAGES.index(stage)]) if stage in STAGES else set()
        for module in _imported_modules(path):
            if _stage(module) not in (*above, "__init__"):
                wrong.append(f"{_where(path)} imports {_where(module)}, which stands below it")
    assert not wrong


def test_neither_the_page_nor_the_command_line_knows_the_other():
    for path in _files():
        stage, other = _stage(path), {"page": "cli", "cli": "page"}.get(_stage(path), "")
        stages = {_stage(module) for module in _imported_modules(path)}
        assert other not in stages, f"{_where(path)} of {stage} imports {other}"


def test_a_stage_is_entered_by_its_door():
    wrong = []
    for path in _files():
        for module in _imported_modules(path):
            inside = module.relative_to(PACKAGE).parts
            through = len(inside) > 1 and inside[0] not in (_stage(path), SHELF)
            if through and inside[-1] != "__init__.py":
                wrong.append(f"{_where(path)} imports {_where(module)} past the door")
    assert not wrong


def test_rooms_of_a_stage_import_one_way():
    """Between the folders of one stage no import goes back, even by way of a third."""
    for stage in STAGES:
        arrows: dict[str, set[str]] = {}
        for path in (PACKAGE / stage).rglob("*.py"):
            room = _room(path)
            modules = _imported_modules(path) - _modules_for_types(path)
            targets = {_room(module) for module in modules if _stage(module) == stage}
            arrows.setdefault(room, set()).update(targets - {room, ""})
        arrows.pop("", None)  # the door imports every room
        assert not _circle(arrows), f"{stage}: rooms import each other: {_circle(arrows)}"


def _modules_for_types(path: Path) -> set[Path]:
    """What a file imports for annotations alone."""
    names = set()
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            names |= {n.module for n in node.body if isinstance(n, ast.ImportFrom) and n.module}
    return {module for name in names if (module := _module(name)) is not None}


def _room(path: Path) -> str:
    """The folder of a stage that a file lies in; the file itself where it lies beside the door."""
    inside = path.relative_to(PACKAGE).parts[1:]
    if not inside or inside == ("__init__.py",):
        return ""
    return inside[0].removesuffix(".py")


def _circle(arrows: dict[str, set[str]]) -> list[str]:
    """What is left of a graph when everything that imports nothing left is taken away again."""
    left = {room: set(targets) for room, targets in arrows.items()}
    while True:
        free = [room for room, targets in left.items() if not targets & set(left)]
        if not free:
            return sorted(left)
        for room in free:
            del left[room]


def test_no_folder_is_too_full():
    folders = {path.parent for path in _files()}
    full = {
        _where(folder): sum(path.name != "__init__.py" for path in folder.glob("*.py"))
        for folder in folders
    }
    assert not {name: number for name, number in full.items() if number > FULL}


def test_heavy_packages_stay_in_their_stage():
    wrong = []
    for path in _files():
        for name in _imports(path):
            home = ONLY_IN.get(name.split(".")[0])
            if home not in (None, _stage(path)):
                wrong.append(f"{_where(path)} imports {name}, which belongs to {home}")
    assert not wrong


def test_no_clock_between_the_edges():
    wrong = []
    for path in _files():
        clocks = {name.split(".")[0] for name in _imports(path)} & {"time", "datetime", "random"}
        dates = clocks == {"datetime"}  # dates that people typed are compared, no clock is read
        if clocks and not dates and _stage(path) not in OUTSIDE:
            wrong.append(f"{_where(path)} imports {clocks}")
    assert not wrong


def test_nothing_below_the_words_looks_into_a_text():
    """Kinds and numbers decide: no sentence, name or title is searched, cut or compared in part."""
    wrong = []
    for path in _files():
        stage, where = _stage(path), _where(path)
        below = stage in STAGES[1 : STAGES.index("words")]
        if not below or where.startswith(TEXT_READERS) or where in TEXTS_READ:
            continue
        for node in ast.walk(_tree(path)):
            if _reads_text(node):
                wrong.append(f"{where}:{node.lineno} {ast.unparse(node)[:70]}")
    assert not wrong


def _reads_text(node: ast.AST) -> bool:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        owner = node.func.value
        if isinstance(owner, ast.Name) and owner.id == "re":
            return True
        return node.func.attr in TEXT_METHODS and ast.unparse(owner) != "sys.platform"
    if not isinstance(node, ast.Compare) or not isinstance(node.left, ast.Constant):
        return False
    holder = node.comparators[0]
    named = isinstance(holder, ast.Attribute) and holder.attr in TEXT_FIELDS
    made = isinstance(holder, ast.Call) and ast.unparse(holder.func) in ("str", "repr")
    inside = isinstance(node.ops[0], ast.In | ast.NotIn) and isinstance(node.left.value, str)
    return inside and (named or made)


@pytest.mark.parametrize(
    "stage",
    [s for s in STAGES if s not in ("standards", "materials", "chain", "cli", "page")],
)
def test_a_stage_hands_out_one_verb_of_its_own_name(stage):
    names = {"job": "load_job", "workshop": "build", "words": "sentence"}
    text = (PACKAGE / stage / "__init__.py").read_text(encoding="utf-8")
    assert f'"{names.get(stage, stage)}"' in text


def test_every_test_file_is_collected(request):
    """Folders of some names are passed over by pytest's defaults; none of ours may be."""
    run = [
        sys.executable,
        "-m",
        "pytest",
        "--collect-only",
        "-q",
        "tests",
        "-p",
        "no:cacheprovider",
    ]
    run += ["--ignore=tests/measure/test_portaudio.py"]
    done = subprocess.run(run, capture_output=True, text=True, cwd=TOP, check=False)
    collected = {line.partition("::")[0] for line in done.stdout.splitlines() if "::" in line}
    there = {path.relative_to(TOP).as_posix() for path in (TOP / "tests").rglob("test_*.py")}
    assert there - collected <= {"tests/measure/test_portaudio.py"}
    skipped = request.config.getini("norecursedirs")
    folders = {path.name for path in PACKAGE.rglob("*") if path.is_dir()} - {"__pycache__"}
    assert not folders & set(skipped)


@pytest.mark.parametrize("arguments", [["--help"], ["check", "--help"]])
def test_help_imports_nothing_slow(arguments):
    run = [sys.executable, "-X", "importtime", "-m", "roomcheck", *arguments]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    imported = {line.rpartition("|")[2].strip().split(".")[0] for line in done.stderr.splitlines()}
    assert "argparse" in imported
    assert not imported & set(SLOW)
    assert "example" in done.stdout or "try it" in done.stdout


def test_every_command_has_help_with_an_example(capsys):
    from roomcheck.cli import COMMANDS, main

    for name in COMMANDS:
        with pytest.raises(SystemExit):
            main([name, "--help"])
        shown = capsys.readouterr().out
        assert f"roomcheck {name}" in shown.partition("example")[2], name
        assert "--json" in shown, name


def test_linear_algebra_is_held_to_one_thread_before_it_is_imported():
    script = (
        "import os, sys; from roomcheck.cli import main\n"
        "assert 'numpy' not in sys.modules\n"
        "try:\n    main(['--version'])\nexcept SystemExit:\n    pass\n"
        "print(os.environ['OPENBLAS_NUM_THREADS'], os.environ['OMP_NUM_THREADS'])"
    )
    own = {key: value for key, value in os.environ.items() if not key.endswith("_NUM_THREADS")}
    for more, expected in (({}, "1 1"), ({"OMP_NUM_THREADS": "3"}, "1 3")):
        done = subprocess.run(
            [sys.executable, "-c", script],
            env=own | more,
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.splitlines()[-1] == expected
