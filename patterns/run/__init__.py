"""One run from a design folder: what is found in it, and what is made of it."""
