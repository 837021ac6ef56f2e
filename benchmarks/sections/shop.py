"""The shop half: hangings against statics, pieces that close, what is cut, walls that are read.

python benchmarks/validation.py shop
"""

from __future__ import annotations

import sys
from pathlib import Path

TITLE = "Hanging, building, drawing"


def write(_: Path) -> str | None:
    """The section's text; the campaigns stand in `benchmarks/shop.py`."""
    sys.path.insert(0, str(Path(__file__).parents[1]))
    import shop as campaigns

    return campaigns.whole()
