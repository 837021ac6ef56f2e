"""Documents that set limits for rooms."""
