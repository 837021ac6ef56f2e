"""Pieces as parts and steps."""
