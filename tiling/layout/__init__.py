"""Which pages carry a drawing: where ink is, the search for few pages, their grid and seams."""
