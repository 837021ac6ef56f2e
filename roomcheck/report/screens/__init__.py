"""Blocks that only the terminal shows, a module a command."""
