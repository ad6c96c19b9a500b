"""A picture for the board or projector: crosses on stations, one of them wrong; a batten with it and without."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import CubicSpline

from tiling.drawing import Disc, Drawing, Note, Path, Stroke

__all__ = ["BOARD_STEPS", "board_picture"]

BOARD_STEPS = (
    "Each number of the table is an offset. Plot it as a cross on its station.",
    "Bend a batten through the crosses. A weight holds it at each one.",
    "Sight along it. A bump or a hollow shows that a cross is wrong.",
    "Lift one weight at a time. Which one lets the batten spring fair?",
    "Leave that cross. Draw the fair line, and read it off at every station.",
)
HEIGHT = 95.0  # mm
WORDS = 4.5
HALF = 2.5  # mm, half the size of a cross
STATION, FAIR, BENT = Stroke(width=0.25), Stroke(width=1.0), Stroke(width=0.5, dash=(4.0, 2.0))
CROSS = Stroke(width=0.5)
WRONG, OFF = 3, 11.0  # which cross is wrong, and by how much, mm
HEIGHTS = (20.0, 46.0, 63.0, 71.0, 70.0, 61.0, 46.0)  # an invented line, mm


def board_picture(wide: float) -> Drawing:
    """The picture, so many mm wide, its lower left corner about the origin."""
    x = np.linspace(6.0, wide - 6.0, len(HEIGHTS))
    fair = np.array(HEIGHTS)
    seen = fair.copy()
    seen[WRONG] -= OFF
    dense = np.linspace(x[0], x[-1], 200)
    paths = [Path(points=np.array([[at, 0.0], [at, HEIGHT - 12.0]]), stroke=STATION) for at in x]
    paths.append(Path(points=np.array([[x[0], 0.0], [x[-1], 0.0]]), stroke=STATION))
    paths.append(Path(points=np.column_stack([dense, CubicSpline(x, fair)(dense)]), stroke=FAIR))
    paths.append(Path(points=np.column_stack([dense, CubicSpline(x, seen)(dense)]), stroke=BENT))
    paths.append(Path(points=np.array([[x[1], 0.0], [x[1], seen[1]]]), stroke=FAIR))  # one offset
    for at, high in zip(x, seen, strict=True):
        paths += [
            Path(points=np.array([[at - HALF, high - way], [at + HALF, high + way]]), stroke=CROSS)
            for way in (HALF, -HALF)
        ]
    notes = [
        Note(text=str(number), target=(float(at), -1.0), towards=(0.0, -1.0), height=WORDS)
        for number, at in enumerate(x, start=1)
    ]
    wrong = float(x[WRONG])
    notes += [
        Note(
            text="this cross is wrong",
            target=(wrong, float(seen[WRONG]) - 5.0),
            towards=(0.0, -1.0),
            height=WORDS,
        ),
        Note(text="fair batten", target=(wrong, float(fair[WRONG]) + 2.0), towards=(0.0, 1.0), height=WORDS),
        Note(text="stations", target=(0.5 * wide, -9.0), towards=(0.0, -1.0), height=WORDS),
        Note(text="offset", target=(float(x[1]), 22.0), towards=(1.0, 0.0), height=WORDS),
    ]
    return Drawing(
        paths=tuple(paths),
        discs=(Disc(centre=(wrong, float(seen[WRONG])), radius=5.0, filled=False, width=0.5),),
        notes=tuple(notes),
    )
