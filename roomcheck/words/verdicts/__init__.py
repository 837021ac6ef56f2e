"""What was judged and verified, in words."""
