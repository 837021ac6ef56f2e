"""Plans and predictions in words."""
