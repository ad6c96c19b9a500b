"""Timbers laid flat on a strake beside a line: stringers, battens, ribbands inside, rubbing rails outside."""

from __future__ import annotations

import numpy as np

from patterns.design.timber_models import (
    BesideSpec,
    DeckBattenSpec,
    RibbandSpec,
    RubbingRailSpec,
    RunningSpec,
    StripSpec,
)
from patterns.errors import PatternsError
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, cross
from patterns.hull.splines import through
from patterns.hull.surfaces import Curve
from patterns.timbers.corners import square_to
from patterns.timbers.laying import deck_skin, laid_section, line_points, run_on, strake_skin
from patterns.timbers.run import CLOSE, End, Run
from patterns.timbers.skins import Feet, Skin
from patterns.wood.ends import HullEnd

__all__ = ["beside_line", "deck_batten_run", "strip_run"]

STRIDE = (
    40.0  # mm gone across the planking at a time; a bend of 300 mm radius loses 0.03 mm of girth a stride
)
PAST = 60.0  # mm; a timber is carried on straight so far past the last place that could be found for it
GIRTHS = 9  # points across a strake by which its girth is measured
ROUNDS = 4
LEAST_PLACES = 8  # of a deck batten, `CLOSE` mm apart
SPARSE = 4  # of the places along a line, at which the girth is measured; a cubic joins them


def strip_run(hull: Hull, spec: RunningSpec, ends: tuple[End, End]) -> Run:
    """One timber between two ends.

    Raises:
        PatternsError: it lies past the strake's other edge.
    """
    strake = next(s for s in hull.strakes if s.name == spec.against)
    outside = isinstance(spec, RubbingRailSpec)
    if isinstance(spec, RubbingRailSpec):
        skin = Skin(pieces=tuple(strake.patches), inset=strake.inset - strake.planking)
        middle: float | None = spec.below + 0.5 * spec.along
    else:
        assert isinstance(spec, BesideSpec)
        skin = strake_skin(strake).deeper(spec.inset if isinstance(spec, RibbandSpec) else 0.0)
        middle = spec.distance
    upward = 1.0 if spec.follows == strake.lower else -1.0
    line = line_points(_curve(hull, spec.follows))[2 if hull.stems[1] else 0 : -2]
    if middle is not None:
        track = _as_far_as(ends[1], beside_line(_run_ahead(line, middle), skin, middle * upward))
    else:
        assert isinstance(spec, BesideSpec)
        assert spec.part is not None
        part = spec.part if upward > 0.0 else 1.0 - spec.part
        track = _at_part(hull, strake, skin, line, part)
    _check_lies(skin, track, ends, spec)
    edge = beside_line(track, skin, -0.5 * spec.along)
    rails: FloatArray = laid_section(
        edge, skin, across=spec.along, deep=-spec.off if outside else spec.off, upward=1.0
    )
    _check_reaches(rails, ends)
    return Run(
        name=spec.name,
        kind=getattr(spec, "kind"),  # noqa: B009 (every one of them has its own literal)
        mirrored=True,
        rails=run_on(rails),
        ends=ends,
        lies_on=(spec.against, "", "", ""),
        across=spec.along,
        deep=spec.off,
        laminations=spec.laminations,
        stock=spec.stock,
        let_in=isinstance(spec, StripSpec),
    )


def deck_batten_run(hull: Hull, spec: DeckBattenSpec, ends: tuple[End, End]) -> Run:
    """One timber under the deck between two ends.

    Raises:
        PatternsError: the deck is not so wide all along, or it has no end.
    """
    skin, deck = deck_skin(hull), hull.deck
    x = np.arange(deck.end, deck.start, -CLOSE)
    # At a stem the deck runs out to a point, and has no width for it.
    half = deck.shape(x, np.ones_like(x))[0][:, 1]
    x = x[half > spec.half_breadth]
    if len(x) < LEAST_PLACES:
        raise PatternsError(
            f"the deck has no half-breadth of {spec.half_breadth:g} mm; make half_breadth less"
        )
    half = half[half > spec.half_breadth]
    middle = deck.shape(x, spec.half_breadth / half)[0]
    feet = skin.feet(middle)
    track = np.column_stack([middle[:, :2], feet.points[:, 2]])
    for end, last, key in ((ends[0], track[0], "to"), (ends[1], track[-1], "from")):
        if end.over(last) < 0.0 or end.lands in (HullEnd.STEM, HullEnd.STERNPOST):
            raise PatternsError(
                f"the deck has a half-breadth of {spec.half_breadth:g} mm from {x[-1]:.0f} to {x[0]:.0f} mm aft; "
                f'give "{key}" within that'
            )
    edge = beside_line(track, skin, -0.5 * spec.along)
    return Run(
        name=spec.name,
        kind=spec.kind,
        mirrored=True,
        rails=run_on(laid_section(edge, skin, across=spec.along, deep=spec.off, upward=1.0)),
        ends=ends,
        lies_on=("deck", "", "", ""),
        across=spec.along,
        deep=spec.off,
        laminations=spec.laminations,
        stock=spec.stock,
    )


def _run_ahead(line: FloatArray, distance: float) -> FloatArray:
    """A line run on straight at its fore end, so that a timber can be laid beside all of it.

    Square to a line that rises forward, a place beside its fore end lies abaft that.
    """
    ahead = line[-1] - line[-2]
    more = np.arange(1, int(max(2.0 * distance - PAST, 0.0) / CLOSE) + 1)[:, None] * CLOSE
    return np.vstack([line, line[-1] + more * ahead / np.linalg.norm(ahead)])


def _as_far_as(end: End, track: FloatArray) -> FloatArray:
    """A track from aft forward up to its fore end and a little past it, while its places follow one another."""
    steps = np.linalg.norm(np.diff(track, axis=0), axis=1)
    even = (steps < 2.0 * CLOSE) & (steps > 0.3 * CLOSE)  # false too where there is no place at all
    stop = np.nonzero((end.over(track[1:]) > PAST) | ~even)[0]
    stop = stop[stop > len(track) // 2]
    return track if len(stop) == 0 else track[: int(stop[0]) + 1]


def _check_reaches(rails: FloatArray, ends: tuple[End, End]) -> None:
    """See that both ends can be reached.

    Raises:
        PatternsError: one cannot; the message says from where.
    """
    for end, last, key, way in ((ends[0], rails[0], "to", "aft"), (ends[1], rails[-1], "from", "forward")):
        if end.over(last).min() < -PAST:
            raise PatternsError(
                f"beside its line it can be laid as far {way} as {last[:, 0].mean():.0f} mm aft, not to its end; "
                f'give "{key}"'
            )


def _curve(hull: Hull, name: str) -> Curve:
    return hull.profile if name == hull.keel else hull.lines[name]


def beside_line(line: FloatArray, skin: Skin, distance: float) -> FloatArray:
    """The line on a skin that runs at a distance beside another, (m, 3).

    The distance is a girth, measured on the skin in the planes square to the line; up the strake is positive.
    """
    along = square_to(line)
    feet = skin.feet(line)
    at: FloatArray = line + np.einsum("ij,ij->i", feet.points - line, feet.normals)[:, None] * feet.normals
    count = max(int(np.ceil(abs(distance) / STRIDE)), 1)
    sense = None
    for _ in range(count):
        up = _square_up(along, feet)
        if sense is None:
            beside = skin.feet(feet.points + 5.0 * up, feet)
            sense = float(np.copysign(1.0, np.median(np.sign(beside.r - feet.r))))
        # The way that the skin runs half a stride on is that of the stride's chord.
        stride = distance / count * sense
        up = _square_up(along, skin.feet(at + 0.5 * stride * up, feet))
        at = at + stride * up
        for _ in range(2):
            feet = skin.feet(at, feet)
            at = at + np.einsum("ij,ij->i", feet.points - at, feet.normals)[:, None] * feet.normals
    return at


def _square_up(along: FloatArray, feet: Feet) -> FloatArray:
    """Unit directions on the skin, square to a run; none (nan) off the surface's end."""
    up = cross(along, feet.normals)
    size = np.linalg.norm(up, axis=1, keepdims=True)
    unit: FloatArray = up / np.where(size > 1e-9, size, np.nan)
    return unit


def _at_part(hull: Hull, strake: Strake, skin: Skin, line: FloatArray, part: float) -> FloatArray:
    """The line at a part of the strake's girth from its lower edge, in planes square to x, at a line's places."""
    lower, upper = _curve(hull, strake.lower), _curve(hull, strake.upper)
    first = max(float(curve.at(np.array(curve.start))[0]) for curve in (lower, upper))
    x = line[:, 0]
    x = x[x > first + 1.0]
    every = x
    x = np.linspace(x[0], x[-1], max(len(x) // SPARSE, 4))
    low, high = lower.at(lower.t_at_x(x)), upper.at(upper.t_at_x(x))
    f = np.linspace(0.0, 1.0, GIRTHS)
    points = (low[:, None] + f[:, None] * (high - low)[:, None]).reshape(-1, 3)
    at_x, feet = points[:, 0].copy(), None
    for _ in range(ROUNDS):
        feet = skin.feet(points, feet)
        points = np.column_stack([at_x, feet.points[:, 1:]])
    across = points.reshape(-1, GIRTHS, 3)
    steps = np.linalg.norm(np.diff(across, axis=1), axis=-1)
    girth = np.concatenate([np.zeros((len(steps), 1)), np.cumsum(steps, axis=1)], axis=1)
    wanted = part * girth[:, -1:]
    j = np.clip((girth <= wanted).sum(axis=1) - 1, 0, GIRTHS - 2)
    row = np.arange(len(j))
    share = (wanted[:, 0] - girth[row, j]) / np.maximum(girth[row, j + 1] - girth[row, j], 1e-12)
    track = across[row, j] + share[:, None] * (across[row, j + 1] - across[row, j])
    return beside_line(through(-x, track, -every), skin, 0.0)


def _check_lies(skin: Skin, track: FloatArray, ends: tuple[End, End], spec: RunningSpec) -> None:
    # At the bow a strake runs out to a point, and which edge is near means nothing there.
    within = (ends[0].over(track) <= 0.0) & (ends[1].over(track) <= (0.0 if spec.start else -2.0 * PAST))
    if not within.any():
        raise PatternsError('nothing is left of it between its ends; look at "from" and "to"')
    feet = skin.feet(track[within])
    off = (feet.r < 0.0) | (feet.r > 1.0)
    if off.any():
        x = float(track[within][off][0, 0])
        raise PatternsError(
            f"its middle lies past the other edge of the {spec.against} at {x:.0f} mm aft; "
            'say "from" and "to", or lay it nearer to its line'
        )
