"""What the key of a model says: how its pieces are cut and put together."""

from __future__ import annotations

__all__ = ["CAUTION", "HOW", "JOINED"]

HOW = {
    "lifts": (
        "A half model of boards, the starboard side. Lift 1 is the lowest. Each is drawn from above; its long "
        "straight edge is the boat's middle plane, and stations are numbered from the bow.",
        "Saw along the heavy line, square to the board. The dashed lines are the hull at the board's two faces. "
        "Draw the stations on the edges, and glue the stack: straight edges flush, stations in line.",
        "Plane and sand to the lines between the boards: where two faces meet, the dashed line is the hull. The "
        "uppermost boards stand above the sheer: cut them down to it last.",
        "For a whole model cut a second set, turned over.",
    ),
    "slots": (
        "A slotted model: one middle board and a section for each station. Cut along the heavy lines; the slots "
        "are as wide as the board is thick, so try one before you cut the rest.",
        "Push each section down over the middle board at the station of its name, square to it. No edge is outside "
        "of the hull at either face of its board. Plank it with strips of card or veneer.",
    ),
    "parts": (
        "The boat's own parts at a small scale. Cut along the heavy lines; bevels are left to a file. A piece of "
        "which two are needed is turned over for the other side.",
        "Set the frames upright on their stations, add keel and stem, bend the strips of the table below around "
        "them, then lay on the flat planks. Choose card or veneer near the thickness that the table gives.",
    ),
}
JOINED = (
    "A piece that is longer than a page is in parts, A, B and so on: cut each along its dash-dotted line and tape "
    "them edge to edge."
)
CAUTION = (
    "A model is for learning. Knives: a mat below, a steel rule with a guard, cut away from your hand. Glue and "
    "dust: clear air. With children an adult is at the bench."
)
