"""What printed pages carry: strips, rulers, match marks, cards, first pages, records."""
