"""What a person typed, as frozen values."""
