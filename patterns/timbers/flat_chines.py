"""Doubts of chine logs where the chine is hardly a corner."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from patterns.design.models import Design, LaidSpec
from patterns.design.parts import DESIGN_FILE
from patterns.errors import PatternsError, Problem
from patterns.hull.hull import Hull
from patterns.hull.planes import cross
from patterns.timbers.laying import corner_surfaces, timber_line

__all__ = ["flat_chine_doubts"]

SPARSE = 8  # of the places of a timber's line, at which the angle is measured
LEAST_SINE = (
    0.05  # of the angle all along, root mean square; below it 1 mm in the lines moves the log by 3 mm
)


def flat_chine_doubts(design: Design, hull: Hull) -> Iterator[Problem]:
    """A doubt for each chine log whose two strakes lie in one plane all along, but for a few degrees."""
    for timber in design.wanted:
        if not (isinstance(timber, LaidSpec) and timber.kind == "chine log"):
            continue
        try:
            sine = _usual_sine(hull, timber)
        except PatternsError:  # it cannot be laid, which is reported with its pieces
            continue
        if sine < LEAST_SINE:
            _, _, beside = corner_surfaces(hull, timber)
            yield Problem(
                f'{DESIGN_FILE}, timber "{timber.name}", key follows',
                f"{timber.against} and {beside} meet at about {np.degrees(np.arcsin(sine)):.0f}° along "
                f"{timber.follows}, so that no corner fixes where the {timber.name} lies",
                'check the lines, or lay a stringer beside the line (kind = "stringer")',
                code="flat-chine",
            )


def _usual_sine(hull: Hull, timber: LaidSpec) -> float:
    """The sine of the angle at which a timber's two surfaces meet along its line, root mean square."""
    first, second, _ = corner_surfaces(hull, timber)
    line = timber_line(hull, timber)[::SPARSE]
    normals = first.feet(line).normals, second.feet(line).normals
    return float(np.sqrt((cross(*normals) ** 2).sum(axis=1).mean()))
