"""One frame made again from measurements taken in the boat, without a table of offsets."""
