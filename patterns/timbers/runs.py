"""All timbers of a design that run fore and aft, each between its own two ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from patterns.design.ended_keys import EndedKeys
from patterns.design.models import Design, KeelSpec, LaidSpec, StemEnd, TransomEnd
from patterns.design.timber_models import DeckBattenSpec, RibbandSpec, RubbingRailSpec, RunningSpec
from patterns.errors import PatternsError, TimberError
from patterns.hull.hull import Hull
from patterns.hull.planes import Plane, centre_plane
from patterns.timbers.laying import Tapers, cornered_run, keel_run
from patterns.timbers.run import End, Run
from patterns.timbers.strips import deck_batten_run, strip_run
from patterns.wood.ends import HullEnd

__all__ = ["runs_of"]

Across: TypeAlias = Callable[[str, float], Plane]


def runs_of(design: Design, hull: Hull, across: Across) -> tuple[Run, ...]:
    """All timbers in the order of the file.

    Args:
        across: the plane across the boat at a place as the design says it, to which a timber comes from forward
            (1) or from aft (-1).
    Raises:
        TimberError: one cannot be laid.
    """
    runs = []
    inside = _inside_end(design.after_end, hull), _inside_end(design.fore_end, hull)
    foot, heel = _foot_of(design.fore_end), _foot_of(design.after_end)
    for timber in design.wanted:
        if not isinstance(timber, KeelSpec | LaidSpec | DeckBattenSpec | RunningSpec):
            continue
        try:
            if isinstance(timber, KeelSpec):
                after, fore = inside
                whole = keel_run(hull, timber, after, foot=foot, fore=fore, heel=heel)
                tapers = _tapers(timber, whole, across)
                if tapers[0]:
                    whole = keel_run(hull, timber, after, foot=foot, fore=fore, heel=heel, tapers=tapers)
                runs.append(_shortened(whole, _cut_short(timber, whole.ends, across)))
            elif isinstance(timber, LaidSpec):
                ends = _cut_short(timber, inside, across)
                runs.append(_shortened(replace(cornered_run(hull, timber, ends), ends=inside), ends))
            elif isinstance(timber, DeckBattenSpec):
                runs.append(deck_batten_run(hull, timber, _cut_short(timber, inside, across)))
            else:
                outside = isinstance(timber, RubbingRailSpec | RibbandSpec)
                free = inside
                if outside:
                    free = (
                        _outside_end(design.after_end, hull, timber),
                        _outside_end(design.fore_end, hull, timber),
                    )
                runs.append(strip_run(hull, timber, _cut_short(timber, free, across)))
        except PatternsError as error:
            raise TimberError(timber.name, str(error)) from error
    return tuple(runs)


def _tapers(keel: KeelSpec, whole: Run, across: Across) -> Tapers:
    """Where a keel's breadth changes its way, from forward aft, and its breadth there; nothing without tapers.

    Args:
        whole: the keel without them.
    Raises:
        PatternsError: a taper begins past its end, or the two cross.
    """
    if keel.sided_fore is None and keel.sided_aft is None:
        return (), ()
    aft, fore = (float(ring[1:3, 0].mean()) for ring in whole.corners[[0, -1]])  # of its side, cut aslant
    fore = fore if keel.start is None else float(across(keel.start, -1.0).origin[0])
    aft = aft if keel.to is None else float(across(keel.to, 1.0).origin[0])
    found: list[tuple[float, float]] = []
    if keel.sided_fore is not None and keel.taper_fore is not None:
        found += [(fore, keel.sided_fore), (float(across(keel.taper_fore, -1.0).origin[0]), keel.sided)]
    if keel.sided_aft is not None and keel.taper_aft is not None:
        found += [(float(across(keel.taper_aft, 1.0).origin[0]), keel.sided), (aft, keel.sided_aft)]
    places, breadths = zip(*found, strict=True)
    if any(one >= two for one, two in pairwise((fore - 1.0, *places[1:-1], aft + 1.0))):
        raise PatternsError(
            f"its tapers begin past its ends, at {fore:.0f} and {aft:.0f} mm aft, or past one another; change "
            "taper_fore or taper_aft"
        )
    return places, breadths


def _foot_of(end: StemEnd | TransomEnd) -> float | None:
    """Where a stem's piece ends on the profile line, mm aft; None for a transom."""
    return end.foot if isinstance(end, StemEnd) else None


def _inside_end(end: StemEnd | TransomEnd, hull: Hull) -> End:
    """What stops the timbers inside: the inside of a transom's panel, or a stem's side."""
    stern = end.at == "stern"
    if isinstance(end, StemEnd):
        post = HullEnd.STERNPOST if stern else HullEnd.STEM
        return End(plane=centre_plane(0.5 * end.sided), out=1.0, against=f"the {post}'s side", lands=post)
    if stern:
        plane = hull.transom.moved(-end.panel)
        return End(plane=plane, out=1.0, against="the transom's panel", lands=HullEnd.TRANSOM)
    assert hull.bow_transom is not None
    plane = hull.bow_transom.moved(end.panel)
    return End(plane=plane, out=-1.0, against="the bow transom's panel", lands=HullEnd.BOW_TRANSOM)


def _outside_end(end: StemEnd | TransomEnd, hull: Hull, timber: RunningSpec) -> End:
    """What stops the timbers outside: a transom's outer face, or the rabbet line."""
    if isinstance(end, StemEnd):
        return _rabbet_end(hull, timber, stern=end.at == "stern")
    if end.at == "stern":
        return End(plane=hull.transom, out=1.0, against="flush with the transom's after face")
    assert hull.bow_transom is not None
    return End(plane=hull.bow_transom, out=-1.0, against="flush with the bow transom's forward face")


def _rabbet_end(hull: Hull, timber: RunningSpec, *, stern: bool) -> End:
    """The plane across the boat through the rabbet line where a line of the hull ends on it."""
    curve = hull.profile if timber.follows == hull.keel else hull.lines[timber.follows]
    fore = curve.at(np.array(curve.end if stern else curve.start))
    rough = np.linspace(hull.profile.start, hull.profile.end, 801)
    nearest = int(np.hypot(*(hull.profile.at(rough)[:, [0, 2]] - fore[[0, 2]]).T).argmin())
    along = hull.profile.at(rough[nearest], 1)[[0, 2]]
    along = along / np.hypot(*along) * np.copysign(1.0, along[1])  # up the stem
    plane = Plane(
        origin=np.array([fore[0], 0.0, fore[2]]),
        u=np.array([0.0, 1.0, 0.0]),
        v=np.array([along[0], 0.0, along[1]]),
    )
    return End(plane=plane, out=1.0 if stern else -1.0, against="the rabbet line")


def _cut_short(
    timber: EndedKeys, ends: tuple[End, End], across: Callable[[str, float], Plane]
) -> tuple[End, End]:
    """The ends that the design gives, where it gives them."""
    aft, fore = ends
    if timber.to is not None:
        aft = End(plane=across(timber.to, 1.0), out=1.0, against=timber.to)
    if timber.start is not None:
        fore = End(plane=across(timber.start, -1.0), out=-1.0, against=timber.start)
    return aft, fore


def _shortened(whole: Run, ends: tuple[End, End]) -> Run:
    """A timber between the ends that the design gives.

    Raises:
        PatternsError: one of them lies past the place where the timber ends by itself, or nothing is left.
    """
    for own, given, key, ring in zip(whole.ends, ends, ("to", "from"), whole.corners[[0, -1]], strict=True):
        if given is not own and given.over(ring).max() < 0.0:
            raise PatternsError(
                f'it ends by itself at {ring[:, 0].mean():.0f} mm aft, short of its "{key}"; leave that out, or '
                "give a place that it reaches"
            )
    within = (ends[0].over(whole.corners) <= 0.0) & (ends[1].over(whole.corners) <= 0.0)
    if not within.any():
        raise PatternsError('nothing is left of it between its ends; look at "from" and "to"')
    return replace(whole, ends=ends)
