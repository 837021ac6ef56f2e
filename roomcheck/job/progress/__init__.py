"""What is done in the shop and found on site, kept in files of their own beside the job's."""
