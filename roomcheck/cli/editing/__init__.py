"""Commands that look things up and change single values of a job."""
