"""Papers that are generated from the code; ``python -m tests.docs`` writes them, and a test checks them."""
