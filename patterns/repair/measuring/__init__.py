"""One measuring model for a whole frame: edges, what was measured from, and readings in one linear Gaussian fit."""
