"""A job as one file, and back."""
