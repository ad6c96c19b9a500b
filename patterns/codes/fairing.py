"""Codes of what fairing finds, and of what the faired hull shows."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "crown-impossible": "The deck's crown is too high for the boat's breadth.",
        "edge-distance-below-limit": "A hole lies nearer to an edge than the design allows.",
        "line-end-off-profile": "A line ends far off the faired profile line.",
        "line-end-within-stations": "A line meets the profile line before its last station.",
        "piece-not-made": "A piece cannot be made from its keys and the hull.",
        "piece-shape-failed": "The figures of a piece lead to no shape.",
        "spacing-below-limit": "A hole lies nearer to the next one than the design allows.",
        "suspect-offset": "An offset does not fit the fair line through its neighbours.",
        "timber-not-laid": "A long timber cannot be laid on the hull.",
        "waterline-above-sheer": "The designed waterline is above the sheer.",
        "waterline-below-hull": "The designed waterline is below the hull.",
        "wild-line": "A line runs out of the boat when it is faired.",
        "wood-left-below-limit": "A notch leaves less wood than the design allows.",
    },
    Severity.DOUBT: {
        "flat-chine": "Two surfaces meet so flatly that no corner fixes where a timber lies.",
        "hull-not-closed": "The hull's surfaces do not close below the waterline.",
        "hydrostatics-differ": "The faired hull does not have a figure that the plan gives.",
        "hydrostatics-failed": "The hull could not be floated at the designed waterline.",
        "keel-band": "The profile line is not well known between two of its points.",
        "keel-corner": "The profile line seems to turn sharply where no knuckle is declared.",
        "line-band": "A line is not well known between two of its offsets.",
        "off-straight": "An offset is off a line that is declared straight.",
        "offset-beyond-allowed": "Fairing moves an offset farther than the design allows.",
        "prismatic-unlikely": "The hull's prismatic coefficient is one that boats hardly have.",
        "row-end-beyond-rabbet": "A row has an end at a height that the stem's rabbet does not reach.",
        "row-end-off-rabbet": "A row's end is off the stem's rabbet.",
        "row-end-off-sheer": "A buttock's end is off the sheer.",
        "row-end-off-siding": "A row's offset at the stem is not the rabbet's.",
        "row-end-off-transom": "A row's end is off the transom.",
        "station-breadths": "All half-breadths of a station are too large or too small.",
        "station-heights": "All heights of a station are too large or too small.",
        "station-position": "A station's distance aft is wrong for the lines that cross it.",
        "station-spacing": "A station breaks an otherwise even spacing.",
        "land-gapes": "A clinker lap opens at its upper edge, where the section is hollow.",
        "land-thin": "A clinker plank is planed nearly through at its land.",
        "row-off-its-level": "A row of a round bilge fits the surface at another level than the design gives.",
        "sheet-twisted": "A strake of sheet has more twist than a sheet takes.",
        "stations-exchanged": "Figures of two stations seem exchanged.",
        "surface-band": "The surface is not well known between two stations.",
        "surface-sparse": "The stations have few offsets for a round bilge.",
    },
    Severity.HINT: {
        "line-end-moved": "A line meets the faired profile line at some distance from its typed end.",
    },
}
