"""PDF files: written page by page, with a record of what each page paints."""
