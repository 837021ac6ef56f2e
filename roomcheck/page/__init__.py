"""The job in a browser: what the commands do, for people who never open a terminal.

`command` is what the command line finds here; everything else waits until a page is asked for.
"""
