"""What verified jobs say together."""
