"""The shape of a knee in its own plane, between the real faces of the two members that it ties."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.errors import PatternsError
from patterns.flat.polylines import conic, lengths, meet
from patterns.flat.shapes import area_of, inside_points
from patterns.hull.planes import FloatArray
from patterns.wood.ends import HullEnd, error_about
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed
from patterns.wood.labels import Free, Label, Trim
from patterns.wood.region import Region

__all__ = ["Arm", "KneeShape", "bolts_scribed", "face_from", "knee_shape", "square_to", "unit", "xy"]

PAST = 12.0  # mm by which a bolt's line runs past the wood, so that it can be carried round
FLAT = np.radians(170.0)  # between two faces that meet flatter than this there is no corner to speak of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arm:
    """One arm of a knee.

    Attributes:
        face: from the corner out to the arm's end, (n, 2), mm: the line on which it lands.
        along: unit direction of the arm at its end, away from the corner, (2,).
        inward: unit direction at its end, square to the face, into the knee, (2,).
        toe: the inner corner of its end, (2,).
    """

    face: FloatArray
    along: FloatArray
    inward: FloatArray
    toe: FloatArray

    @property
    def end(self) -> FloatArray:
        """The arm's end on the face, (2,)."""
        end: FloatArray = self.face[-1]
        return end

    def at(self, distance: float) -> FloatArray:
        """The point of the face at a distance from the corner, mm: (2,)."""
        run = lengths(self.face)
        return np.array([np.interp(distance, run, self.face[:, k]) for k in (0, 1)])

    @property
    def middle(self) -> FloatArray:
        """The middle of the face by length, (2,)."""
        return self.at(0.5 * float(lengths(self.face)[-1]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KneeShape:
    """A knee's shape.

    Attributes:
        outline: closed, (n, 2), mm.
        corner: where the two faces meet, (2,).
        arms: the first and the second.
        inner: the inner curve from the second arm's toe to the first one's, (m, 2).
        bisector: unit direction from the corner into the knee, (2,).
        throat: the point of the inner curve on the bisector, (2,).
        angle: between the two faces at the corner, radians.
        grain: unit direction of the grain, from toe to toe (common practice, no source), (2,).
    """

    outline: FloatArray
    corner: FloatArray
    arms: tuple[Arm, Arm]
    inner: FloatArray
    bisector: FloatArray
    throat: FloatArray
    angle: float
    grain: FloatArray

    def region(self, on: tuple[Label, Label]) -> Region:
        """Its area; the edges along the two faces get the labels given.

        Raises:
            PatternsError: its outline crosses itself.
        """
        first, second = ([label] * (len(arm.face) - 1) for label, arm in zip(on, self.arms, strict=True))
        inner = [Free()] * (len(self.inner) - 1)
        try:
            return Region.within(self.outline, [*first, *second, Trim(), *inner, Trim()])
        except ValueError as error:
            raise PatternsError(
                "its inner curve crosses a face that it lands on; make its throat more"
            ) from error


def knee_shape(
    first: FloatArray,
    second: FloatArray,
    *,
    arms: tuple[float, float],
    on: tuple[str | HullEnd, str | HullEnd],
    throat: float,
    toe: float,
) -> KneeShape:
    """The knee between two faces.

    Args:
        first, second: the faces as polylines (n, 2), mm, both from the corner outward; straight or curved.
        arms: the length of each arm along its face, mm.
        on: the members that the faces belong to, in words ("the keel"), or what closes the hull.
        throat: from the corner to the inner curve, along the bisector, mm.
        toe: the width of each arm's end, square to its face, mm.
    Returns:
        Its outline runs from the first arm's end along both faces to the second one's and back by the inner
        curve.
    Raises:
        PatternsError: an arm is longer than its face, the faces hardly turn, or no such throat is to be had.
    """
    corner = first[0]
    faces = [_cut(face, arm, name) for face, arm, name in zip((first, second), arms, on, strict=True)]
    bisector = unit(sum((unit(face[-1] - corner) for face in faces), np.zeros(2)))
    headings = [unit(face[1] - face[0]) for face in faces]
    angle = float(np.arccos(np.clip(headings[0] @ headings[1], -1.0, 1.0)))
    if angle > FLAT:
        words = f"{{}} and {{}} meet at {np.degrees(angle):.0f}°: that is not a corner for a knee to fill"
        raise error_about(words, *on)
    one, two = (_arm(face, bisector, toe) for face in faces)
    inner = _inner_curve((two.toe, one.toe), (two.along, one.along), corner, bisector, throat)
    return KneeShape(
        outline=np.vstack([one.face[::-1], two.face[1:], inner]),
        corner=corner,
        arms=(one, two),
        inner=inner,
        bisector=bisector,
        throat=corner + throat * bisector,
        angle=angle,
        grain=unit(one.end - two.end),
    )


def bolts_scribed(shape: KneeShape, bolts: tuple[Sequence[float], Sequence[float]]) -> list[Scribed]:
    """The bolts' centre lines, square to the faces, a little past the wood.

    Args:
        bolts: their distances from the corner along the first and the second arm, mm.
    Raises:
        PatternsError: a bolt lies beyond its arm's end.
    """
    found: list[Scribed] = []
    wood = area_of(shape.outline)
    for arm, distances in zip(shape.arms, bolts, strict=True):
        long = float(lengths(arm.face)[-1])
        for distance in distances:
            if distance >= long:
                raise PatternsError(
                    f"a bolt {distance:g} mm from the corner lies beyond its arm of {long:g} mm"
                )
            foot, hair = arm.at(distance), min(1.0, 0.5 * distance, 0.5 * (long - distance))
            across = square_to(arm.at(distance + hair) - arm.at(distance - hair), shape.bisector)
            ray = np.array([foot + 0.01 * across, foot + 1e4 * across])
            inside = min(inside_points(wood, [ray]), key=lambda run: float(np.hypot(*(run[0] - foot))))
            found.append(
                Scribed(
                    fact=Fact("knee-bolt", {"along": distance}),
                    points=np.array([foot - PAST * across, inside[-1] + PAST * across]),
                    middle=True,
                )
            )
    return found


def face_from(face: FloatArray, place: float, *, backwards: bool = False) -> FloatArray:
    """A face from a broken index (2.5 is half way from point 2 to point 3) on to its end, or back to its start."""
    i = min(int(place), len(face) - 2)
    corner = face[i] + (place - i) * (face[i + 1] - face[i])
    rest = face[: i + 1][::-1] if backwards else face[i + 1 :]
    line = np.vstack([corner, rest])
    kept: FloatArray = line[np.append(True, np.hypot(*np.diff(line, axis=0).T) > 1e-9)]
    return kept


def _cut(face: FloatArray, arm: float, name: str | HullEnd) -> FloatArray:
    run = lengths(face)
    if arm > run[-1] + 1e-9:
        words = f"its arm of {arm:g} mm is longer than {{}} that it lies on, {run[-1]:.0f} mm from the corner"
        raise error_about(words, name)
    end = np.array([np.interp(arm, run, face[:, k]) for k in (0, 1)])
    kept: FloatArray = np.vstack([face[run < arm - 1e-9], end])
    return kept


def _arm(face: FloatArray, bisector: FloatArray, toe: float) -> Arm:
    along = unit(face[-1] - face[-2])
    inward = square_to(along, bisector)
    return Arm(face=face, along=along, inward=inward, toe=face[-1] + toe * inward)


def _inner_curve(
    toes: tuple[FloatArray, FloatArray],
    arms: tuple[FloatArray, FloatArray],
    corner: FloatArray,
    bisector: FloatArray,
    throat: float,
) -> FloatArray:
    """The curve from toe to toe, parallel to the arms at both and ``throat`` mm from the corner on the bisector.

    So neither arm is anywhere narrower than its toe.

    Raises:
        PatternsError: no such curve; the message gives the throats that there are.
    """
    across = float(arms[0][0] * arms[1][1] - arms[0][1] * arms[1][0])
    gap = toes[1] - toes[0]
    control = toes[0] + arms[0] * float(gap[0] * arms[1][1] - gap[1] * arms[1][0]) / across
    ray = np.array([corner, corner + 1e4 * bisector])

    def depth(weight: float) -> float:
        curve = conic(toes[0], control, toes[1], weight=weight)
        place = meet(curve, ray, near=control)
        if place is None:
            raise PatternsError("its arms are too short for its toes")
        return float(np.hypot(*(ray[0] + (place[1]) * (ray[1] - ray[0]) - corner)))

    low, high = 0.02, 50.0  # a greater weight draws the curve nearer to the corner
    deep, shallow = depth(low), depth(high)
    if not shallow < throat < deep:
        raise PatternsError(
            f"its throat is {throat:g} mm, but its arms and toes leave room only from {np.ceil(shallow):.0f} to "
            f"{np.floor(deep):.0f} mm; give it one between"
        )
    for _ in range(60):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if depth(middle) > throat else (low, middle)
    return conic(toes[0], control, toes[1], weight=low)


def unit(vector: FloatArray) -> FloatArray:
    """The vector at length 1."""
    one: FloatArray = vector / np.hypot(*vector)
    return one


def square_to(along: FloatArray, towards: FloatArray) -> FloatArray:
    """The unit vector (2,) square to one direction, on the side of another."""
    square = unit(np.array([-along[1], along[0]]))
    return square if square @ towards > 0.0 else -square


def xy(point: FloatArray) -> tuple[float, float]:
    """A point as two numbers."""
    return float(point[0]), float(point[1])
