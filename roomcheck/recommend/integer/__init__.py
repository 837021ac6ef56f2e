"""The integer program: what it is made of, and its solution. Nothing here knows of rooms."""
