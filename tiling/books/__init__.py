"""Books of ordinary pages: words, tables, pictures."""
