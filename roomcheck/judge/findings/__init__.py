"""Faults that a client would hear, one file a kind."""
