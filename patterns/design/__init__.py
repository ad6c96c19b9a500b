"""The design file: its tables and keys, read and checked."""
