"""The timbers that run fore and aft, and their notches."""
