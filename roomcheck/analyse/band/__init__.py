"""One band of a response: its power over time, and how its record ends."""
