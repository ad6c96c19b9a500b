"""One strake of planking as a value, and the lines in which planes cut it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.hull.clinker import Laps, Planked
from patterns.hull.curved import Curved, hollow
from patterns.hull.cuts import Trace, cut_across, cut_along, joined
from patterns.hull.girth import Girth
from patterns.hull.girth_cuts import along_girth
from patterns.hull.planes import Plane
from patterns.hull.surfaces import Curve, Ruled, Surface

__all__ = ["STERN", "Strake", "past_end"]

ACROSS = np.linspace(0.0, 1.0, 81)
STERN = 250.0  # mm by which a strake is run past its after end
BEYOND = 80.0  # mm by which a strake is run past its edges, so that inside corners are found


def past_end(surface: Surface, plane: Plane, *, fore: bool) -> float:
    """How far a surface is run past its fore or its after end, mm.

    A face that is curved out of the boat there lies farther out inboard than at its sides.
    """
    if not isinstance(plane, Curved) or (plane.radius < 0.0) is not fore:
        return STERN
    corner, _, _ = surface.shape(np.array([surface.start if fore else surface.end]), np.array([1.0]))
    return STERN + float(hollow(corner[0, 1], abs(plane.radius)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Strake:
    """One strake between two neighbouring lines.

    Attributes:
        lower, upper: the names of its lines.
        planking: thickness, mm.
        inset: from the surface of the lines inward to the inside of planking, mm.
        patches: its pieces from aft forward: between its two lines, then between the profile line, which
            takes the lower line's place forward of its end, and the upper line; at a sternpost the same aft.
        main: which of the pieces lies between its two lines.
        stems: whether a stem stands at its fore and at its after end; where none does it is run on so far that a
            leaning transom is reached by every ruling.
        laps: how the strake above laps over this one's upper edge, where they are clinker planks.
        edges: of a clinker plank, the curves of its lower edge (None on the profile line) and of its upper one.
    """

    name: str
    lower: str
    upper: str
    planking: float
    inset: float
    patches: tuple[Ruled, ...]
    main: int = 0
    stems: tuple[bool, bool] = (True, False)
    laps: Laps | None = None
    edges: tuple[Curve | None, Curve] | None = None

    def planked(self, profile: Curve) -> Planked:
        """What of it is needed to lap another plank on it."""
        return Planked(
            patches=self.patches,
            main=self.main,
            garboard=self.edges is None or self.edges[0] is None,
            profile=profile,
            planking=self.planking,
            stems=self.stems,
        )

    def outs(self, i: int, gap: float, plane: Plane) -> tuple[float, float]:
        """How far a piece is run past its fore and its after end; ``gap`` closes gaps between two of them."""
        first, last = i == 0, i == len(self.patches) - 1
        fore = past_end(self.patches[i], plane, fore=True) if last and not self.stems[0] else 0.0
        after = past_end(self.patches[i], plane, fore=False) if first and not self.stems[1] else 0.0
        return max(fore, gap if i >= self.main else 0.0), max(after, gap if i <= self.main else 0.0)

    def across(self, plane: Plane, *, inset: float) -> Trace | None:
        """The trace in which a plane athwartships cuts the strake's surface, moved inward by ``inset``.

        It runs past both edges of the strake; None where the plane passes clear of it.
        """
        width = self.width_near(plane)
        if width is None:
            return None
        beyond = float(np.clip(BEYOND / width, 0.08, 2.0))
        r = np.concatenate([
            np.linspace(-beyond, 0.0, 9)[:-1], ACROSS, np.linspace(1.0, 1.0 + beyond, 9)[1:]
        ])  # fmt: skip
        # Away from the middle piece, where nothing else gives a place, they are run on only so far that no gap
        # opens between two of them when the surface is moved.
        found: list[Trace] = []
        for gap in (0.0, inset):
            given = [trace.r for trace in found]
            rest = np.setdiff1d(r, np.concatenate(given)) if given else r
            for i in sorted(range(len(self.patches)), key=lambda i: abs(i - self.main)):
                patch, out = self.patches[i], self.outs(i, gap, plane)
                trace = cut_across(patch, plane, inset=inset, r=rest, run_out=out) if len(rest) else None
                if trace is not None:
                    found.append(trace)
        return joined(found)

    def width_near(self, plane: Plane) -> float | None:
        """The strake's width where the plane cuts its middle, mm; None where it does not cut it."""
        for i, patch in enumerate(self.patches):
            # Forward of its forefoot a round bilge has but the upper part of its girth.
            r, out = np.linspace(0.0, 1.0, 17 if isinstance(patch, Girth) else 3), self.outs(i, 0.0, plane)
            trace = cut_across(patch, plane, inset=0.0, r=r, run_out=out)
            if trace is not None and len(trace) > 1:
                width = float(np.hypot(*(trace.uv[-1] - trace.uv[0])) / (trace.r[-1] - trace.r[0]))
                if width > 1.0:
                    return width
        return None

    def along(self, plane: Plane, *, inset: float, r_range: tuple[float, float]) -> Trace | None:
        """The trace in which a plane that runs along the strake cuts it, from aft forward."""
        found = []
        for patch in self.patches:
            if isinstance(patch, Girth):
                trace = along_girth(patch, plane, inset=inset, r_range=r_range)
            else:
                p = np.linspace(patch.end, patch.start, 481)
                trace = cut_along(patch, plane, inset=inset, p=p, r_range=r_range)
            if trace is not None:
                found.append(trace)
        if not found:
            return None
        return Trace(
            uv=np.concatenate([trace.uv for trace in found]),
            normal=np.concatenate([trace.normal for trace in found]),
            r=np.concatenate([trace.r for trace in found]),
        )
