"""What stem and transom say of a line's end, beside the line's own run.

An end is held by one neighbour only, so that a slip there shows weakly by itself.  But a line ends on the
stem's rabbet, half the stem's siding out, or on the transom's plane with all the other lines.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.blame import Hint
from patterns.fairing.evenness import NOISE
from patterns.fairing.paths import FairedPath

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["breadth_hints", "height_hints"]

SIDED = 2.0  # mm by which a stem's half siding may differ from end to end
LAID = 1.0  # mm by which the faired profile line itself may be off
STEEPEST = 12.0  # rise over run of an end's face beyond which its place says nothing of the height
SAMPLES = 400  # places on the profile line at which its heights are looked up


def breadth_hints(design: Design, *, first: bool, tolerance: float) -> list[Hint]:
    """The half siding at the bow, where the line has a half-breadth there (``first``)."""
    if not first or design.fore_end.kind != "stem":
        return []
    return [Hint(index=0, value=0.5 * design.bow.sided, unsure=float(np.hypot(SIDED, tolerance * NOISE)))]


def height_hints(
    offsets: Offsets, design: Design, line: str, *, path: FairedPath, tolerance: float, count: int
) -> list[Hint]:
    """The heights that profile line and transom give a line at its typed ends.

    Args:
        path: the faired profile line.
        tolerance: how far a good offset may be off, mm.
        count: how many heights the line has.
    """
    hints = []
    for index, end, label in ((0, design.fore_end, "bow"), (count - 1, design.after_end, "stern")):
        row = offsets.lines[line]
        i = row.column(label)
        if not (np.isfinite(row.x[i]) and np.isfinite(row.z[i])):
            continue
        x, z = float(row.x[i]), float(row.z[i])
        if end.kind == "stem":
            found = _on_path(path, x, z, tolerance)
        elif label == "stern":
            found = _on_transom(offsets, design, line, x, tolerance)
        else:
            found = None
        if found is not None:
            hints.append(Hint(index=index, value=found[0], unsure=found[1]))
    return hints


def _on_path(path: FairedPath, x: float, z: float, tolerance: float) -> tuple[float, float] | None:
    """The profile line's height at a distance aft, where it is nearest to the typed one, and how sure it is."""
    t = np.linspace(float(path.t[0]), float(path.t[-1]), SAMPLES)
    over = path.x(t) - x
    crossing = np.nonzero(np.diff(np.sign(over)) != 0)[0]
    if not len(crossing):
        return None
    share = over[crossing] / (over[crossing] - over[crossing + 1])
    at = t[crossing] + share * (t[crossing + 1] - t[crossing])
    near = float(at[np.abs(path.z(at) - z).argmin()])
    run = abs(float(path.x(near, 1)))
    rise = abs(float(path.z(near, 1)))
    if rise > STEEPEST * run:
        return None
    return float(path.z(near)), float(np.hypot(LAID, rise / run * np.hypot(LAID, tolerance * NOISE)))


def _on_transom(
    offsets: Offsets, design: Design, line: str, x: float, tolerance: float
) -> tuple[float, float] | None:
    """The height at which the transom's plane, as the other lines have it, lies so far aft."""
    rake, radius = design.stern.rake, design.stern.radius
    if rake is None or radius is not None or abs(np.tan(rake)) * STEEPEST < 1.0:
        return None
    others = []
    for name, row in offsets.lines.items():
        i = row.column("stern")
        if name != line and np.isfinite(row.x[i]) and np.isfinite(row.z[i]):
            others.append(float(row.x[i] - row.z[i] * np.tan(rake)))
    if not others:
        return None
    one = tolerance * NOISE * np.hypot(1.0, np.tan(rake))
    own = float(np.hypot(tolerance * NOISE, one / np.sqrt(len(others))) / abs(np.tan(rake)))
    return float((x - np.median(others)) / np.tan(rake)), own
