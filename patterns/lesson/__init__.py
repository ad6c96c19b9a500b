"""What a class needs: patterns in sets with a name on every page, a sheet to loft by hand, and its answers."""
