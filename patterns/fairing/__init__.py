"""Fair lines from the offsets, as a batten gives them."""
