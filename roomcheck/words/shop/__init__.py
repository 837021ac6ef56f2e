"""The shop's and the installer's sheets, and prices, in words."""
