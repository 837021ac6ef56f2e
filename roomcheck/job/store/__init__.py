"""Several files of a folder as one step, and one writer at a time."""
