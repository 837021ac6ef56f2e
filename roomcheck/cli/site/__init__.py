"""Commands used in the room."""
