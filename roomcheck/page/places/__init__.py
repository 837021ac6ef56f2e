"""The places of a job, one module each: values for a template, and forms turned into changes."""
