"""The boat as one page for a screen: lines, doubtful offsets, patterns with their bevels, maps of the pages."""
