"""What the places stand on: keys, events, long work, the folder of jobs."""
