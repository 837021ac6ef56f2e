"""Sound files in and out, and the files beside them."""
