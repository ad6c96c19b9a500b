"""All pieces placed in the boat and measured against each other."""
