"""Tables and figures of docs/validation.md."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from roomcheck.analyse import BandDecay
from roomcheck.words import Reader, sentence


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A markdown table; the first column stands left, the others right."""
    marks = ["---"] + ["---:"] * (len(head) - 1)
    return "\n".join("| " + " | ".join(row) + " |" for row in (head, marks, *rows)) + "\n"


def save(figure: Any, figures: Path, name: str) -> str:
    """Saves a figure as a small SVG that is the same each time, and gives the link to it."""
    import matplotlib.pyplot as plt

    plt.rcParams.update({"svg.hashsalt": name, "svg.fonttype": "none"})
    figure.savefig(figures / f"{name}.svg", bbox_inches="tight", metadata={"Date": None})
    plt.close(figure)
    return f"![](figures/{name}.svg)"


def reason_of(band: BandDecay) -> str:
    """What is said first of a band's numbers, withheld before doubted."""
    return sentence((*band.withheld, *band.warnings)[0], Reader())
