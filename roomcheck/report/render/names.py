"""What documents are called, to be read without making any."""

from __future__ import annotations

PROPOSAL = "proposal"
QUOTE = "quote"
CERTIFICATE = "before-and-after"
SHOP_SHEETS = "shop-and-install"
WALL_SHEETS = "wall-sheets"
NOTHING_TO_HANG, NOT_MENDED = UNSOLD = ("nothing-to-hang", "what-would-help")
MEASURED_BEFORE, MEASURED_AFTER = "measurement-before", "measurement-after"

DOCUMENTS = (
    *(MEASURED_BEFORE, PROPOSAL, QUOTE, SHOP_SHEETS, MEASURED_AFTER, CERTIFICATE),
    *(WALL_SHEETS, *UNSOLD),
)
"""All that any job can have."""
