"""The house: data flows one way through the folders, and heavy packages stay in their rooms."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import roomcheck

PACKAGE = Path(roomcheck.__file__).parent
SHARED_WORDS = ("units", "errors", "facts", "geometry", "mirrors", "plain")
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
    "words",
    "report",
    "chain",
    "demo",
    "cli",
)
ONLY_IN = {
    "pyroomacoustics": "predict",
    "matplotlib": "report",
    "typst": "report",
    "sounddevice": "measure",
    "av": "measure",
}
SLOW = (
    "scipy",
    "matplotlib",
    "pyroomacoustics",
    "soundfile",
    "sounddevice",
    "typst",
    "rich",
    "tomlkit",
)


def _imports(path: Path) -> set[str]:
    """Every module that a file imports, anywhere in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: relative import"
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def _files() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def _stage(path: Path) -> str:
    inside = path.relative_to(PACKAGE).parts
    return inside[0].removesuffix(".py")


def test_every_folder_of_the_package_is_a_stage_of_the_list():
    folders = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert folders == set(STAGES)


@pytest.mark.parametrize("path", _files(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_stage_imports_only_from_above(path):
    stage = _stage(path)
    if stage in ("__init__", "__main__"):  # the front doors name rooms and enter none until asked
        return
    above = (
        set(SHARED_WORDS)
        | (set(STAGES[: STAGES.index(stage)]) if stage in STAGES else set())
        | {stage}
    )
    for name in _imports(path):
        parts = name.split(".")
        if parts[0] == "roomcheck" and len(parts) > 1 and (PACKAGE / parts[1]).is_dir():
            assert parts[1] in above, f"{stage} imports {name}, which stands below it"


@pytest.mark.parametrize("path", _files(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_heavy_packages_stay_in_their_stage(path):
    for name in _imports(path):
        home = ONLY_IN.get(name.split(".")[0])
        assert home in (None, _stage(path)), (
            f"{_stage(path)} imports {name}, which belongs to {home}"
        )


@pytest.mark.parametrize(
    "stage", [stage for stage in STAGES if stage not in ("standards", "materials", "cli")]
)
def test_a_stage_hands_out_one_verb_of_its_own_name(stage):
    names = {"job": "load_job", "workshop": "build", "words": "sentence", "chain": "open_job"}
    text = (PACKAGE / stage / "__init__.py").read_text(encoding="utf-8")
    assert f'"{names.get(stage, stage)}"' in text


@pytest.mark.parametrize("arguments", [["--help"], ["check", "--help"]])
def test_help_imports_nothing_slow(arguments):
    run = [sys.executable, "-X", "importtime", "-m", "roomcheck", *arguments]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    imported = {line.rpartition("|")[2].strip().split(".")[0] for line in done.stderr.splitlines()}
    assert "argparse" in imported
    assert not imported & set(SLOW)
    assert "example" in done.stdout or "try it" in done.stdout


def test_every_command_has_help_with_an_example():
    from roomcheck.cli import COMMANDS

    for name in COMMANDS:
        run = [sys.executable, "-m", "roomcheck", name, "--help"]
        done = subprocess.run(run, capture_output=True, text=True, check=True)
        assert f"roomcheck {name}" in done.stdout.partition("example")[2], name
        assert "--json" in done.stdout, name
