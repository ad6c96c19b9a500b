"""Drawings to pages that prove their scale.  Knows paper, not what is drawn on it."""
