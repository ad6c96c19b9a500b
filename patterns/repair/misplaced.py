"""A nail that stands elsewhere than the design file says: three distances disagree at one point after another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.optimize import least_squares

from patterns.design.parts import DESIGN_FILE
from patterns.errors import Problem
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.repair.fixing import Fixed, fix
from patterns.repair.places import Nail, Places, Side
from patterns.repair.points import MeasuredPoint
from patterns.repair.told import value_words

__all__ = ["misplaced_nails"]

MANY = 4  # points with three distances by which a nail's place can be told
BETTER = 0.3  # part of their disagreement that may be left when the nail is moved
FAR = 4.0  # mm from which a nail is misplaced
ALIKE = 1.5  # times what the best nail leaves, up to which another may be the cause as well


def misplaced_nails(
    points: Sequence[MeasuredPoint], places: Places, *, agree: float, notation: Notation
) -> Problem | None:
    """The nail that would have to stand elsewhere for the distances of one side to agree; None where there is none.

    Args:
        points: of one side.
        agree: by how much good distances may disagree, mm.
    """
    three = [point for point in points if point.method == "nails" and len(point.values) == 3]
    if len(three) < MANY or _left(three, places) <= agree:
        return None
    found = []
    for name in dict.fromkeys(source for point in three for source in point.sources):
        own = [point for point in three if name in point.sources]
        before = _left(own, places)
        if len(own) < MANY or before <= agree:
            continue
        move = _move(own, places, name)
        after = _left(three, _moved(places, name, own[0].side, move))
        if after < min(BETTER * before, agree) and np.hypot(*move) > FAR:
            found.append((after, name, move))
    if not found:
        return None
    found.sort(key=lambda one: one[0])
    side = three[0].side
    likely = [one for one in found if one[0] <= ALIKE * found[0][0] + 0.1][:2]
    words = [_words(places, name, side, move, notation) for _, name, move in likely]
    return Problem(
        f'{DESIGN_FILE}, nail "{likely[0][1]}"',
        f"the three distances of the {side} side disagree at one point after another; all agree if {words[0]}",
        f"or if {words[1]}" if len(words) > 1 else "measure its place again",
        code="nail-misplaced",
    )


def _moved(places: Places, name: str, side: Side, move: FloatArray) -> Places:
    nail = places.nails[name]
    out = float(move[0]) if side == "starboard" else -float(move[0])
    return replace(
        places, nails={**places.nails, name: Nail(name=name, y=nail.y + out, z=nail.z + float(move[1]))}
    )


def _checks(points: Sequence[MeasuredPoint], places: Places) -> FloatArray:
    """By how much every distance disagrees with its point's place, mm; far where a point has none."""
    found = []
    for point in points:
        fixed = fix(point, places)
        found.append(fixed.check if isinstance(fixed, Fixed) and fixed.check is not None else np.full(3, 1e3))
    return np.concatenate(found)


def _left(points: Sequence[MeasuredPoint], places: Places) -> float:
    """The disagreement of the distances, root mean square, mm."""
    return float(np.sqrt(np.square(_checks(points, places)).mean()))


def _move(points: Sequence[MeasuredPoint], places: Places, name: str) -> FloatArray:
    """How far a nail would have to be moved, (2,): out and up, mm."""
    side = points[0].side
    fit = least_squares(lambda move: _checks(points, _moved(places, name, side, move)), np.zeros(2))
    return np.asarray(fit.x)


def _words(places: Places, name: str, side: Side, move: FloatArray, notation: Notation) -> str:
    out, up = places.nails[name].at(side) + move
    ways = [
        f"{abs(value):.0f} mm {words[0] if value > 0 else words[1]}"
        for value, words in zip(move, (("farther out", "farther in"), ("higher", "lower")), strict=True)
        if abs(value) >= 1.0
    ]
    stands = f"out {value_words(round(out), notation)}, up {value_words(round(up), notation)}"
    return f"nail {name} stood {' and '.join(ways)}, about {stands}"
