"""Lining off: where the planks' edges cross a mould, by girth over the outside of planking."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section

__all__ = ["lined_off", "outside_girth"]


def outside_girth(boat: Boat, section: Section) -> tuple[FloatArray, FloatArray]:
    """The girth over the outside of planking from the rabbet to the sheer in a section's plane.

    Returns:
        Girths (n,), mm, rising from 0, and the places abreast of them on the section's own edge, (n, 2).
    """
    plane, rabbet = section.plane, section.marks.get(boat.hull.keel)
    runs: list[FloatArray] = []
    beside: list[FloatArray] = []
    for strake in boat.hull.strakes:
        inner = section.long_traces.get(strake.name)
        outer = strake.across(plane, inset=strake.inset - strake.planking)
        if inner is None or outer is None:
            continue
        low, high = max(float(inner.r.min()), float(outer.r.min()), 0.0), 1.0
        if rabbet is not None and not runs:
            low = max(low, float(outer.r[np.hypot(*(outer.uv - rabbet).T).argmin()]))
        r = np.linspace(low, high, 201)
        runs.append(np.stack([np.interp(r, outer.r, outer.uv[:, k]) for k in (0, 1)], axis=-1))
        beside.append(np.stack([np.interp(r, inner.r, inner.uv[:, k]) for k in (0, 1)], axis=-1))
    if not runs:
        raise PatternsError("no planking crosses it that could be lined off")
    return lengths(np.vstack(runs)), np.vstack(beside)


def lined_off(boat: Boat, section: Section, girths: Sequence[float]) -> FloatArray:
    """The places on a section's edge where the planks' edges cross it, (k, 2), from the rabbet up, sheer left out.

    Args:
        girths: from the rabbet to each plank's upper edge, mm.
    Raises:
        PatternsError: a girth lies beyond the sheer.
    """
    run, edge = outside_girth(boat, section)
    whole = float(run[-1])
    wanted = np.asarray(girths, dtype=float)
    if len(wanted) and (wanted.max() >= whole or np.any(np.diff(wanted) <= 0.0)):
        raise PatternsError(
            f"the planks' girths must rise and stay below the sheer, {whole:.0f} mm up from the rabbet here"
        )
    return np.stack([np.interp(wanted, run, edge[:, k]) for k in (0, 1)], axis=-1)
