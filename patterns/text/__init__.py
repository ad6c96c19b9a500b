"""All words: templates that turn facts as values into sentences."""
