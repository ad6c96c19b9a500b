"""What printed pages carry: strips, rulers, match marks, maps, first pages, records."""
