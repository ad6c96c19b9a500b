"""Words: the typeface, how wide they are, how they are broken into lines."""
