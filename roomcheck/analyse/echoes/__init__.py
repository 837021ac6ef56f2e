"""Reflections and flutter."""
