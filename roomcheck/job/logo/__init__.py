"""The shop's own logo: a file of strangers, read into the little that is drawn."""
