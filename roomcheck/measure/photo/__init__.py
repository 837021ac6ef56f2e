"""A photograph of one wall, and what can be measured on it."""
