"""Texts and numbers of the documents."""
