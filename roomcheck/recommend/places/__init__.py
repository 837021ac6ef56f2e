"""Where pieces could hang."""
