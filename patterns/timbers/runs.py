"""All timbers of a design that run fore and aft, each between its own two ends."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from patterns.design.models import Design, KeelSpec, LaidSpec
from patterns.design.timber_models import RibbandSpec, RubbingRailSpec, RunningSpec
from patterns.errors import PatternsError
from patterns.hull.hull import Hull
from patterns.hull.planes import Plane, centre_plane
from patterns.timbers.laying import cornered_run, keel_run
from patterns.timbers.run import End, Run
from patterns.timbers.strips import strip_run

__all__ = ["runs_of"]


def runs_of(design: Design, hull: Hull, across: Callable[[str], Plane]) -> tuple[Run, ...]:
    """All timbers in the order of the file.

    Args:
        across: the plane across the boat at a place as the design says it.
    Raises:
        PatternsError: one cannot be laid; the message names it.
    """
    runs = []
    inside = _panel_end(design, hull), _stem_end(design)
    for timber in design.wanted:
        if not isinstance(timber, KeelSpec | LaidSpec | RunningSpec):
            continue
        try:
            if isinstance(timber, KeelSpec):
                runs.append(keel_run(hull, timber, inside[0], foot=design.bow.foot))
            elif isinstance(timber, LaidSpec):
                runs.append(cornered_run(hull, timber, inside))
            else:
                outside = isinstance(timber, RubbingRailSpec | RibbandSpec)
                free = (_transom_end(hull), _rabbet_end(hull, timber)) if outside else inside
                runs.append(strip_run(hull, timber, _cut_short(timber, free, across)))
        except PatternsError as error:
            raise PatternsError(f"the {timber.name}: {error}") from error
    return tuple(runs)


def _panel_end(design: Design, hull: Hull) -> End:
    """What stops the timbers inside aft: the inside of the transom's panel."""
    return End(plane=hull.transom.moved(-design.stern.panel), out=1.0, against="the transom's panel")


def _stem_end(design: Design) -> End:
    """What stops them forward: the stem's side."""
    return End(plane=centre_plane(0.5 * design.bow.sided), out=1.0, against="the stem's side")


def _transom_end(hull: Hull) -> End:
    return End(plane=hull.transom, out=1.0, against="flush with the transom's after face")


def _rabbet_end(hull: Hull, timber: RunningSpec) -> End:
    """The plane across the boat through the rabbet line where a line of the hull ends on it."""
    curve = hull.profile if timber.follows == hull.keel else hull.lines[timber.follows]
    fore = curve.at(np.array(curve.start))
    rough = np.linspace(hull.profile.start, hull.profile.end, 801)
    nearest = int(np.hypot(*(hull.profile.at(rough)[:, [0, 2]] - fore[[0, 2]]).T).argmin())
    along = hull.profile.at(rough[nearest], 1)[[0, 2]]
    along = along / np.hypot(*along) * np.copysign(1.0, along[1])  # up the stem
    plane = Plane(
        origin=np.array([fore[0], 0.0, fore[2]]),
        u=np.array([0.0, 1.0, 0.0]),
        v=np.array([along[0], 0.0, along[1]]),
    )
    return End(plane=plane, out=-1.0, against="the rabbet line")


def _cut_short(timber: RunningSpec, ends: tuple[End, End], across: Callable[[str], Plane]) -> tuple[End, End]:
    """The ends that the design gives, where it gives them."""
    aft, fore = ends
    if timber.to is not None:
        aft = End(plane=across(timber.to), out=1.0, against=timber.to)
    if timber.start is not None:
        fore = End(plane=across(timber.start), out=-1.0, against=timber.start)
    return aft, fore
