"""The room as areas of absorption, and what is believed about them."""
