"""Tables on the terminal."""
