"""The hull's surfaces and where planes cut them."""
