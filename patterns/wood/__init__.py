"""Wood as a value: areas with labelled edges, where they lie in the boat, pieces and how they meet."""
