"""The verbs of the command line, a file for each group of them; click is used in this room alone."""
