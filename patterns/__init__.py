"""Boats: numbers to true shapes.  Knows the trade, not paper."""
