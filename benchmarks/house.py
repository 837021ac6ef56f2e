"""The house in counts: how large, how dense, how well documented; one column a commit.

    python benchmarks/house.py              the working tree
    python benchmarks/house.py REV [REV …]  these commits first, the working tree last

Counts are a direction, not a gate. Cyclomatic complexity is radon's (`pip install radon`), which also
counts comprehensions and boolean operators.
"""

from __future__ import annotations

import ast
import io
import subprocess
import sys
import tarfile
import tempfile
import tokenize
from collections.abc import Iterator
from pathlib import Path
from statistics import mean, median, quantiles

TOP = Path(__file__).resolve().parents[1]
COMPREHENSIONS = (ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
SHELVES = ("standards",)
"""Stages whose modules are doors themselves: one module a published document."""


def main(revisions: list[str]) -> None:
    columns = {revision: counts(checkout(revision)) for revision in revisions}
    columns["this tree"] = counts(TOP)
    width = max(len(row) for row in columns["this tree"])
    print(" " * width, *(f"{name[:12]:>12}" for name in columns))
    for row in columns["this tree"]:
        print(f"{row:<{width}}", *(f"{column[row]:>12}" for column in columns.values()))


def counts(top: Path) -> dict[str, str]:
    """Count one checkout; name of the count to its value as text."""
    package = top / "roomcheck"
    files = sorted(package.rglob("*.py"))
    trees = {file: ast.parse(file.read_text("utf-8")) for file in files}
    sources = {file: file.read_text("utf-8") for file in files}
    lines = _code_lines(sources, trees)
    code = [line for inside in lines.values() for line in inside]
    functions = [node for tree in trees.values() for node in ast.walk(tree)]
    functions = [node for node in functions if isinstance(node, FUNCTIONS)]
    sizes = sorted(_body_lines(node) for node in functions)
    nodes = [node for tree in trees.values() for node in ast.walk(tree)]
    per_thousand = 1000 / len(code)
    complexities = _complexities(sources)
    folders = {folder: len(list(folder.glob("*.py"))) - 1 for folder in {f.parent for f in files}}
    names = [
        node.id for node in nodes if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
    ]
    return {
        "files": f"{len(files)}",
        "lines": f"{sum(len(source.splitlines()) for source in sources.values()):,}",
        "code lines (no docstring, blank, comment, import)": f"{len(code):,}",
        "statements": f"{sum(isinstance(node, ast.stmt) for node in nodes):,}",
        "code line, mean characters": f"{mean(len(line) for line in code):.1f}",
        "comprehensions a 1,000 code lines": f"{_number(nodes, *COMPREHENSIONS) * per_thousand:.0f}",
        "conditional expressions a 1,000": f"{_number(nodes, ast.IfExp) * per_thousand:.0f}",
        "boolean operators a 1,000": f"{_number(nodes, ast.BoolOp) * per_thousand:.0f}",
        "functions": f"{len(functions):,}",
        "function lines, median": f"{median(sizes):.0f}",
        "function lines, 90th percentile": f"{quantiles(sizes, n=10)[-1]:.0f}",
        "function lines, longest": f"{sizes[-1]}",
        "functions over 30 lines": f"{sum(size > 30 for size in sizes)}",
        "complexity above 10 (radon)": complexities,
        "comment-only lines": f"{_comments(sources)}",
        "'Attributes' blocks in docstrings": f"{_attributes(trees)}",
        "public functions with Parameters": _documented(trees, "Parameters"),
        "fullest folder, files": f"{max(folders.values())}",
        "folders over 12 files": f"{sum(number > 12 for number in folders.values())}",
        "imports past a stage's door": f"{sum(1 for _ in past_doors(package, trees))}",
        "local names found, at, said, one, told": f"{_dialect(names)}",
        "texts of three words and more below the words": f"{_prose(package, trees)}",
    }


def past_doors(package: Path, trees: dict[Path, ast.Module]) -> Iterator[str]:
    """Imports of another stage's inner module."""
    for file, tree in trees.items():
        own = file.relative_to(package).parts[0]
        for node in ast.walk(tree):
            if not isinstance(node, ast.ImportFrom) or not node.module:
                continue
            parts = node.module.split(".")
            inner = len(parts) > 2 and parts[0] == "roomcheck"
            if inner and parts[1] not in (own, *SHELVES):
                yield f"{file.relative_to(package)} imports {node.module}"


def checkout(revision: str) -> Path:
    """Lay a commit down in a folder of its own, which stays for this run."""
    archive = subprocess.run(
        ["git", "-C", str(TOP), "archive", revision, "roomcheck"], capture_output=True, check=True
    )
    folder = Path(tempfile.mkdtemp(prefix="house-"))
    with tarfile.open(fileobj=io.BytesIO(archive.stdout)) as packed:
        packed.extractall(folder, filter="data")
    return folder


def _code_lines(sources: dict[Path, str], trees: dict[Path, ast.Module]) -> dict[Path, list[str]]:
    lines = {}
    for file, source in sources.items():
        left_out = set()
        for node in ast.walk(trees[file]):
            docstring = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
            if docstring or isinstance(node, ast.Import | ast.ImportFrom):
                left_out |= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
        numbered = enumerate(source.splitlines(), 1)
        kept = [line for number, line in numbered if number not in left_out and line.strip()]
        lines[file] = [line for line in kept if not line.lstrip().startswith("#")]
    return lines


def _body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function below its docstring."""
    body = function.body
    first = body[0]
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and len(body) > 1:
        first = body[1]
    return (function.end_lineno or first.lineno) - first.lineno + 1


def _complexities(sources: dict[Path, str]) -> str:
    try:
        from radon.complexity import cc_visit
    except ImportError:
        return "no radon"
    blocks = [block for source in sources.values() for block in cc_visit(source)]
    functions = [block for block in blocks if type(block).__name__ == "Function"]
    return f"{sum(block.complexity > 10 for block in functions)}"


def _comments(sources: dict[Path, str]) -> int:
    number = 0
    for source in sources.values():
        for token in tokenize.generate_tokens(io.StringIO(source).readline):
            number += token.type == tokenize.COMMENT and token.line.lstrip().startswith("#")
    return number


def _documented(trees: dict[Path, ast.Module], part: str) -> str:
    public = []
    for tree in trees.values():
        for node in tree.body:
            if isinstance(node, FUNCTIONS) and not node.name.startswith("_"):
                public.append(ast.get_docstring(node) or "")
    heading = f"{part}\n"
    return f"{100 * mean(heading in docstring for docstring in public):.0f} %"


def _attributes(trees: dict[Path, ast.Module]) -> int:
    classes = [n for tree in trees.values() for n in ast.walk(tree) if isinstance(n, ast.ClassDef)]
    return sum("Attributes\n" in (ast.get_docstring(node) or "") for node in classes)


def _number(nodes: list[ast.AST], *kinds: type[ast.AST]) -> int:
    return sum(isinstance(node, kinds) for node in nodes)


def _dialect(names: list[str]) -> int:
    return sum(name in ("found", "at", "said", "one", "told") for name in names)


def _prose(package: Path, trees: dict[Path, ast.Module]) -> int:
    """Literal texts of three words and more outside docstrings, errors, words, report, cli, demo."""
    number = 0
    above = ("words", "report", "cli", "page", "demo", "standards", "materials")
    for file, tree in trees.items():
        if file.relative_to(package).parts[0] in above:
            continue
        skipped = set()
        for node in ast.walk(tree):
            error = isinstance(node, ast.ClassDef) and any(
                "Error" in ast.unparse(base) for base in node.bases
            )
            if error or isinstance(node, ast.Raise | ast.Expr):
                skipped |= {id(inner) for inner in ast.walk(node)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                number += id(node) not in skipped and len(node.value.split()) >= 3
    return number


if __name__ == "__main__":
    main(sys.argv[1:])
