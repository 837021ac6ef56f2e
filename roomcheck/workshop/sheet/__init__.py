"""The whole build sheet of a job, and what to buy."""
