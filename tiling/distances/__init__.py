"""Long distances over taped pages, by which the taping is checked."""
