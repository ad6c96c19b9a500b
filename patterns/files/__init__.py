"""Files written beside their final place, and moved there whole."""
