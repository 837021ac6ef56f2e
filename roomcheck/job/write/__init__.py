"""What is written into a job folder: new jobs, changes, lessons, signatures."""
