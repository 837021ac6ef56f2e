"""A made-up job that runs the whole chain on simulated recordings."""

from roomcheck.demo.story_room import DemoNotHere, demo, recordings

__all__ = ["DemoNotHere", "demo", "recordings"]
