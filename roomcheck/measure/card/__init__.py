"""The sound card."""
