"""A visit: the takes of all positions."""
