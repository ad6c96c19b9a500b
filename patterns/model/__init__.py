"""Models from a design: lifts of a half model, a slotted model, the boat's own parts at a small scale."""
