"""Commands that put a job away and bring it back."""
