"""The table of offsets: read, checked, held as a value."""
