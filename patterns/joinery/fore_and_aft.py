"""Where timbers fore and aft under the deck lie: their faces, and what they cross and end at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import CarlingSpec, End, KingPlankSpec, SupportSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import parallel
from patterns.hull.cuts import Trace, cut_along
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.hull.spaces import Beyond, cut_of, flipped
from patterns.joinery.deck_timbers import aft_of
from patterns.joinery.hosts import FacePlate, Host, host_called, hosts_under_the_deck, on_deck, shoulder_of
from patterns.wood.labels import Deck, Free, Label

__all__ = [
    "Lengthwise",
    "LengthwiseSpec",
    "deck_along",
    "fore_and_aft_plane",
    "lengthwise_called",
    "lengthwise_specs",
]

LengthwiseSpec = CarlingSpec | KingPlankSpec | SupportSpec

RUN_ON = 150.0  # mm by which a fore-and-aft cut of the deck runs past the two ends that are asked for
APART = 4.0  # mm between the places at which it is cut
STRAIGHT = 101  # points along a straight top
COVERED = 0.995  # of an end; so much of it on a gusset lies wholly on it
BARE = 0.005  # of an end; less on a gusset is none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lengthwise:
    """A carling, king plank or support where it lies.

    Attributes:
        faces: the inboard face (a king plank's port one) and the other one.
        tops: its top on the two faces, from forward aft.
        top: what that lies on.
        least: the lower of the two at each place along, (n, 2).
        under: its underside, square to its faces, (n, 2), from forward aft.
        hosts: all it crosses, from forward aft; the first and the last are those it ends at.
        near: the faces that its two ends come to.
        ends: the planes to which they are cut.
    """

    spec: LengthwiseSpec
    faces: tuple[Plane, Plane]
    tops: tuple[Trace, Trace]
    top: Label
    least: FloatArray
    under: FloatArray
    hosts: tuple[Host, ...]
    near: tuple[Plane, Plane]
    ends: tuple[Plane, Plane]

    @property
    def slab(self) -> tuple[Beyond, Beyond]:
        """The space between its two faces; their normals point inboard."""
        return flipped(aft_of(self.faces[0])), aft_of(self.faces[1])

    @property
    def lid(self) -> tuple[Beyond, ...]:
        """The space below its top, where that is not the deck's underside: its notch is closed there."""
        if isinstance(self.top, Deck):
            return ()
        line = self.faces[0].space(self.tops[0].uv)
        return (Beyond(at=line[0], normal=-self.tops[0].normal[0]),)

    def end_at(self, host: Host) -> tuple[int, End] | None:
        """Which end lies on a piece (0 fore, 1 after), and how; None where it crosses that."""
        for which, end in ((0, self.hosts[0]), (1, self.hosts[-1])):
            if host is end:
                return which, self.spec.end_kind(which)
        return None

    def bed_through(self, fore: Plane, after: Plane) -> Beyond:
        """The space above the plane of its own underside between two planes."""
        plane = self.faces[0]
        points = plane.space(self.under)
        ends = []
        for face in (fore, after):
            over = face.height_over(points)
            ends.append(np.array([np.interp(0.0, over, points[:, k]) for k in range(3)]))
        up = cross(ends[1] - ends[0], plane.normal)
        up = up if up[2] > 0.0 else -up
        return Beyond(at=ends[0], normal=up / np.linalg.norm(up))

    def bed_at(self, depth: float, up: FloatArray, fore: Plane, after: Plane) -> Beyond:
        """The space above a plane square to a direction, so far below the lowest of its top between two planes."""
        corners = []
        for face, top in zip(self.faces, self.tops, strict=True):
            points = face.space(top.uv)
            for plane in (fore, after):
                over = plane.height_over(points)
                corners.append([np.interp(0.0, over, points[:, k]) for k in range(3)])
        low = min(corners, key=lambda corner: float(np.array(corner) @ up))
        return Beyond(at=np.array(low) - depth * up, normal=up)

    def share_on(self, cover: FacePlate) -> float:
        """How much of its section a plate covers where it comes to it, as a part of it."""
        plane = cover.plane
        bed = self.bed_through(plane, plane.moved(-cover.thickness if not cover.after else cover.thickness))
        top = self.bed_at(0.0, plane.v, plane, plane)
        section = cut_of(plane, (*self.slab, bed, flipped(top)))
        return float(overlays.intersection(section, cover.area).area) / section.area if section.area else 0.0

    def plates_of(self, host: Host) -> tuple[float, float]:
        """How thick the plates are forward and aft of a piece that reach into its way, mm."""
        before, behind = (
            max(
                (c.thickness for c in host.covers if c.after is after and self.share_on(c) > BARE),
                default=0.0,
            )
            for after in (False, True)
        )
        return before, behind


def fore_and_aft_plane(fore: FloatArray, after: FloatArray) -> Plane:
    """The upright plane through two points, (3,); u runs aft along it from the first, v is the height.

    Its normal points inboard.
    """
    run = np.array([after[0] - fore[0], after[1] - fore[1], 0.0])
    return Plane(
        origin=np.array([fore[0], fore[1], 0.0]), u=run / np.linalg.norm(run), v=np.array([0.0, 0.0, 1.0])
    )


def deck_along(boat: Boat, plane: Plane, low: float, high: float) -> Trace:
    """The deck's underside on a plane that runs fore and aft, from forward aft, past the two distances aft.

    Raises:
        PatternsError: the plane passes clear of the deck there.
    """
    count = int((high - low + 2.0 * RUN_ON) / APART) + 2
    p = np.linspace(low - RUN_ON, high + RUN_ON, count)
    p = p[(p > boat.hull.deck.start) & (p < boat.hull.deck.end + RUN_ON)]
    trace = cut_along(boat.hull.deck, plane, inset=boat.hull.deck_inset, p=p, r_range=(0.0, 1.3))
    reach = [float(plane.flat(np.array([x, plane.origin[1], 0.0]))[0]) for x in (low, high)]
    if trace is None or trace.uv[0, 0] > reach[0] or trace.uv[-1, 0] < reach[1]:
        raise PatternsError("the deck does not reach over it from end to end")
    return trace


def _ported(trace: Trace) -> Trace:
    """The same trace on the port side."""
    return Trace(uv=trace.uv, normal=trace.normal * np.array([1.0, -1.0, 1.0]), r=trace.r)


def _underside(least: FloatArray, moulded: float, *, straight: bool, low: float, high: float) -> FloatArray:
    """A carling's underside below its lower top edge, (n, 2); straight, it is parallel to the chord."""
    if not straight:
        return parallel(least, -moulded)
    ends = np.interp([low, high], *least.T)
    slope = (ends[1] - ends[0]) / (high - low)
    inside = least[(least[:, 0] >= low) & (least[:, 0] <= high)]
    inside = np.vstack([[low, ends[0]], inside, [high, ends[1]]])
    start = float((inside[:, 1] - slope * inside[:, 0]).min()) - moulded * float(np.hypot(1.0, slope))
    u = least[[0, -1], 0]
    return np.stack([u, start + slope * u], axis=-1)


def lengthwise_specs(boat: Boat) -> list[LengthwiseSpec]:
    """All of the design that lies fore and aft between two pieces."""
    design = boat.design
    return [*design.all(CarlingSpec), *design.all(KingPlankSpec), *design.all(SupportSpec)]


@lru_cache(maxsize=128)
def lengthwise_called(boat: Boat, name: str) -> Lengthwise:
    """A carling, king plank or support by its name.

    Raises:
        PatternsError: a piece that it ends at cannot be placed, or the deck does not reach over it.
    """
    spec = next(spec for spec in lengthwise_specs(boat) if spec.name == name)
    fore, after = (host_called(boat, host) for host in spec.between)
    planes = _near(boat, spec, fore, 0), _near(boat, spec, after, 1)
    points = [
        _at(boat, spec, host, plane, k)
        for k, (host, plane) in enumerate(zip((fore, after), planes, strict=True))
    ]
    if points[1][0] <= points[0][0]:
        raise PatternsError(f"{after.name} does not lie aft of {fore.name}; name its pieces from forward aft")
    plane = fore_and_aft_plane(*points)
    reach = [_reach(spec, host, k) for k, host in enumerate((fore, after))]
    low, high = points[0][0] - reach[0], points[1][0] + reach[1]
    faces, tops, top = _faces(boat, spec, plane, points, low, high)
    u = tops[0].uv[:, 0]
    least = np.stack([u, np.minimum(tops[0].uv[:, 1], np.interp(u, *tops[1].uv.T))], axis=-1)
    straight = (
        spec.underside == "straight" if isinstance(spec, CarlingSpec) else isinstance(spec, SupportSpec)
    )
    under = _underside(
        least, spec.moulded, straight=straight, low=low - plane.origin[0], high=high - plane.origin[0]
    )
    whole = 0.5 * (points[0][1] + points[1][1])
    between = _between(boat, fore, after, whole) if isinstance(top, Deck) else []
    laid = Lengthwise(
        spec=spec,
        faces=faces,
        tops=tops,
        top=top,
        least=least,
        under=under,
        hosts=(fore, *between, after),
        near=planes,
        ends=planes,
    )
    return replace(laid, ends=(_end(laid, 0), _end(laid, 1)))


def _near(boat: Boat, spec: LengthwiseSpec, host: Host, which: int) -> Plane:
    """The face that it comes to at an end."""
    if host.hook is not None:
        return shoulder_of(boat, host.hook, 0.5 * spec.sided)
    return host.near(which)


def _at(boat: Boat, spec: LengthwiseSpec, host: Host, face: Plane, which: int) -> FloatArray:
    """Where the upper edge of its moulded face comes to a piece, (3,)."""
    if isinstance(spec, KingPlankSpec):
        return on_deck(boat, host.name, face, 0.5 * spec.sided)
    if isinstance(spec, SupportSpec) and spec.heights is not None:
        return face.space(np.array([spec.half_breadth[which], face.up_at_height(spec.heights[which])]))
    return on_deck(boat, host.name, face, spec.half_breadth[which])


def _reach(spec: LengthwiseSpec, host: Host, which: int) -> float:
    """How far it may run on past the face that it comes to, mm."""
    if host.hook is not None:
        return 2.0 * (spec.end_depth[which] if spec.end_depth is not None else 0.0) + spec.sided
    thick = float(abs(host.fore.height_over(host.after.origin)))
    return thick + max((cover.thickness for cover in host.covers), default=0.0)


def _faces(
    boat: Boat, spec: LengthwiseSpec, plane: Plane, points: Sequence[FloatArray], low: float, high: float
) -> tuple[tuple[Plane, Plane], tuple[Trace, Trace], Label]:
    """Its two faces, its top on each of them, and what that lies on."""
    outer = plane.moved(-spec.sided)
    if isinstance(spec, SupportSpec) and spec.heights is not None:
        ends = plane.flat(np.array(points))
        way = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
        line = np.linspace(ends[0] - RUN_ON * way, ends[1] + RUN_ON * way, STRAIGHT)
        up = -way[1] * plane.u + way[0] * plane.v
        top = Trace(uv=line, normal=np.tile(up, (STRAIGHT, 1)), r=np.linspace(0.0, 1.0, STRAIGHT))
        return (plane, outer), (top, top), Free()
    if isinstance(spec, KingPlankSpec):  # the deck is known to starboard; the port face mirrors it
        top = deck_along(boat, plane, low, high)
        return (plane.moved(spec.sided), plane), (_ported(top), top), Deck()
    return (plane, outer), (deck_along(boat, plane, low, high), deck_along(boat, outer, low, high)), Deck()


def _end(laid: Lengthwise, which: int) -> Plane:
    """The plane to which an end is cut.

    Raises:
        PatternsError: it would lie partly on a gusset, there is none to be notched, or a housing goes through.
    """
    host, way = (laid.hosts[0], -1.0) if which == 0 else (laid.hosts[-1], 1.0)
    kind, near = laid.spec.end_kind(which), laid.near[which]
    before, behind = laid.plates_of(host)
    match kind:
        case "half lapped":
            return host.fore.moved(-before) if which == 0 else host.after.moved(behind)
        case "housed":
            depth = laid.spec.end_depth[which] if laid.spec.end_depth is not None else 0.0
            room = float(abs(host.fore.height_over(host.after.origin)))
            if depth >= room:
                raise PatternsError(
                    f"its end_depth of {depth:g} mm goes through {host.name}; make it less than {room:.0f} mm"
                )
            if host.hook is not None:
                return host.after.moved(-depth)
            return near.moved(way * depth)
        case "butted":
            return near.moved(-way * _covered(laid, host, after=which == 0))
        case _:
            if not (behind if which == 0 else before):
                side = "after" if which == 0 else "forward"
                raise PatternsError(
                    f"no gusset on the {side} face of {host.name} lies in the way of its end, which is to be "
                    'notched for it; write "butted" for that end, or change half_breadth or the gusset\'s arm'
                )
            return near


def _covered(laid: Lengthwise, host: Host, *, after: bool) -> float:
    """How thick the plate is that an end wholly lies on, mm; 0 where there is none.

    Raises:
        PatternsError: it lies partly on one.
    """
    for cover in host.covers:
        share = laid.share_on(cover) if cover.after is after else 0.0
        if share > COVERED:
            return cover.thickness
        if share > BARE:
            raise PatternsError(
                f'its end lies partly on the {cover.name} of {host.name}; write "notched" for that end, or '
                "change its half_breadth or the gusset's arm"
            )
    return 0.0


def _between(boat: Boat, fore: Host, after: Host, half_breadth: float) -> list[Host]:
    """The pieces under the deck that stand between two others, from forward aft."""
    found: list[tuple[float, Host]] = []
    for host in hosts_under_the_deck(boat):
        if host.name in (fore.name, after.name):
            continue
        deck = boat.hull.deck_underside(host.fore, reach=1.0)
        if deck is None or half_breadth >= deck.uv[-1, 0]:
            continue
        point = host.fore.space(np.array([half_breadth, np.interp(half_breadth, *deck.uv.T)]))
        if fore.after.height_over(point) > 0.0 > after.fore.height_over(point):
            found.append((float(point[0]), host))
    return [host for _, host in sorted(found, key=lambda each: each[0])]
