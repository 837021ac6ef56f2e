"""What the commands show: blocks for the terminal alone."""
