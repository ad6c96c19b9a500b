"""Where words and names of pages are placed on a drawing."""
