"""One line faired in each of its two views, its ends held by the profile line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.batten import Ends, Faired, fair, straight
from patterns.fairing.curves import FairCurve, Profile
from patterns.fairing.ends import blunt_from
from patterns.fairing.evenness import NOISE
from patterns.fairing.held_ends import HeldEnd, TypedView, end_of, typed_view
from patterns.fairing.level import level_end, level_heights
from patterns.fairing.paths import FairedPath
from patterns.fairing.suspects import written_to
from patterns.hull.planes import FloatArray

if TYPE_CHECKING:
    from patterns.design.file import Design, LineSpec
    from patterns.table.offsets import LineOffsets, Offsets

__all__ = ["Curve", "LineBreadths", "LineHeights", "fair_breadths", "fair_heights"]

Curve = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, kw_only=True, eq=False)
class LineHeights:
    """A line's heights.

    Attributes:
        typed: as the table gives them.
        faired: the batten through them.
        held: the ends on the profile line, by 0 for the fore one and -1 for the after one.
        level: they are the keel's own.
        step: how far a good figure may be off, mm.
    """

    typed: TypedView
    faired: Faired
    held: Mapping[int, HeldEnd]
    level: bool
    step: float

    @cached_property
    def curve(self) -> FairCurve:
        """Heights over the distance aft, from end to end."""
        z: FairCurve = self.faired.curve
        z = z.starting(self.held[0].x) if 0 in self.held else z
        return z.ending(self.held[-1].x) if -1 in self.held else z

    @cached_property
    def ended(self) -> TypedView:
        """The cells with the ends where they are held."""
        ended = replace(self.typed, x=self.typed.x.copy(), y=self.typed.y.copy())
        for i, end in self.held.items():
            ended.x[i], ended.y[i] = end.x, end.z
        return ended


@dataclass(frozen=True, kw_only=True, eq=False)
class LineBreadths:
    """A line's half-breadths.

    Attributes:
        typed: as the table gives them.
        view: the points that were faired: the ends on the profile line are where its half siding holds them.
        faired: the batten through them.
        own: those of the held ends, by 0 and -1, that the table has a half-breadth for.
        root_from: the distance aft from whose root the batten was laid where the bow is blunt, mm, else None.
        step: how far a good figure may be off, mm.
    """

    typed: TypedView
    view: TypedView
    faired: Faired
    own: frozenset[int]
    root_from: float | None
    step: float

    def curve(self, x: FloatArray) -> FloatArray:
        """Half-breadths over the distance aft."""
        start = self.root_from
        return self.faired.curve(x if start is None else np.sqrt(np.maximum(x - start, 0.0)))


def _fair(view: TypedView, spec: LineSpec, tolerance: FloatArray, ends: Ends) -> Faired:
    if spec.straight:
        return straight(view.x, view.y, tolerance=tolerance, knuckles=view.knuckles)
    return fair(view.x, view.y, tolerance=tolerance, ends=ends, knuckles=view.knuckles)


def fair_heights(
    row: LineOffsets, spec: LineSpec, *, offsets: Offsets, profile: Profile, path: FairedPath, design: Design
) -> LineHeights:
    """Fair a line's heights and end them on the profile line; see `make_line`."""
    allow, ends = design.fairing.allow, design.fairing.ends
    high = typed_view(row, row.z, spec)
    stems = [i for i, end in ((0, design.fore_end), (-1, design.after_end)) if end.kind == "stem"]
    level = row.name == offsets.level
    landed: dict[int, float] = {}
    if level:
        landed = {i: level_end(profile, path, float(high.x[i]), float(high.y[i])) for i in stems}
        run = [landed.get(i, float(profile.t_at_x(high.x[i]))) for i in (0, -1)]
        heights = level_heights(profile, high.x, high.y, start=run[0], end=run[1])
    else:
        heights = _fair(high, spec, np.full(len(high.x), allow), ends)
    held = {
        i: end_of(row, high, heights, profile=profile, path=path, allow=allow, aft=i == -1, t=landed.get(i))
        for i in stems
    }
    if not level and any(abs(float(heights.curve(end.x)) - end.z) > 1e-6 for end in held.values()):
        heights = _to_end(high, held, spec, allow=allow, ends=ends)
    step = max(allow, 0.5 * written_to(high.y, offsets.notation))
    return LineHeights(typed=high, faired=heights, held=held, level=level, step=step)


def _to_end(
    high: TypedView, at: Mapping[int, HeldEnd], spec: LineSpec, *, allow: float, ends: Ends
) -> Faired:
    """The heights bent to the ends, where the line's own run does not cross the profile line clearly."""
    tolerance, x, y = np.full(len(high.x), allow), high.x.copy(), high.y.copy()
    for i, end in at.items():
        tolerance[i], x[i], y[i] = 0.0, end.x, end.z
    return _fair(replace(high, x=x, y=y), spec, tolerance, ends)


def fair_breadths(
    row: LineOffsets, spec: LineSpec, high: LineHeights, *, offsets: Offsets, design: Design
) -> LineBreadths:
    """Fair a line's half-breadths, whose ends on the profile line its half siding holds."""
    allow, ends, held = design.fairing.allow, design.fairing.ends, high.held
    broad = typed_view(row, row.y, spec)
    step = max(allow, 0.5 * written_to(broad.y, offsets.notation))
    own = frozenset(i for i in held if broad.columns[i] == high.typed.columns[i])
    view = _held(broad, held, own)
    tolerance = np.full(len(view.x), allow)
    tolerance[list(held)] = 0.0
    forward = start = None
    if 0 in held and not spec.straight and not view.knuckles:
        forward = blunt_from(view.x, view.y, noise=step * NOISE)
    laid = view
    if forward is not None:
        start = float(view.x[0]) - forward
        laid = replace(view, x=np.sqrt(view.x - start))
    return LineBreadths(
        typed=broad, view=view, faired=_fair(laid, spec, tolerance, ends), own=own, root_from=start, step=step
    )


def _held(broad: TypedView, held: Mapping[int, HeldEnd], own: frozenset[int]) -> TypedView:
    """The half-breadths with the ends that the profile line holds; those that the table has not are added."""
    at, half, columns, knuckles = broad.x, broad.y, broad.columns, broad.knuckles
    if 0 in held and 0 not in own:
        at, half, columns = np.append(np.nan, at), np.append(np.nan, half), (-1, *columns)
        knuckles = tuple(k + 1 for k in knuckles)
    if -1 in held and -1 not in own:
        at, half, columns = np.append(at, np.nan), np.append(half, np.nan), (*columns, -1)
    at, half = at.copy(), half.copy()
    for i, end in held.items():
        at[i], half[i] = end.x, end.y
    return TypedView(x=at, y=half, columns=columns, knuckles=knuckles)
