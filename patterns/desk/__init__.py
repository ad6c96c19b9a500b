"""The desk: a design folder in the user's own browser, served on this machine alone."""
