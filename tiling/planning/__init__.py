"""A job of pieces and how each lies on its pages."""
