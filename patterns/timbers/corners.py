"""Where a timber's edge runs: the corner of two insides, steady where they lie nearly in one plane."""

from __future__ import annotations

import numpy as np

from patterns.hull.planes import FloatArray, cross
from patterns.timbers.skins import Feet, Skin

__all__ = [
    "SHARP",
    "WANDER",
    "corner_line",
    "dots",
    "fair_aside",
    "rises",
    "square_to",
    "steady_corner",
    "unit",
]

SHARP = (
    0.2  # sine of the angle between two surfaces, below which their corner does not fix where a timber lies
)
LEAST_PACE = 0.02  # the same along a whole timber, below which they have no corner at all
ROUNDS = 4
MOST_ASIDE = 60.0  # mm from a line's foot
# How far, mm, a timber's line may freely leave its usual distance from the hull's; as much again ever less.
WANDER = 4.0


def square_to(points: FloatArray) -> FloatArray:
    """Unit directions, forward, along a line given from aft forward: (m, 3)."""
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    along = np.gradient(points, run, axis=0, edge_order=2)
    return unit(along)


def unit(vectors: FloatArray) -> FloatArray:
    """Vectors (..., 3) of length 1."""
    found: FloatArray = vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
    return found


def dots(a: FloatArray, b: FloatArray) -> FloatArray:
    """The products of vectors (m, 3), one by one: (m,)."""
    found: FloatArray = np.einsum("ij,ij->i", a, b)
    return found


def rises(skin: Skin, here: Feet, way: FloatArray) -> float:
    """Whether r grows that way from most feet on the skin: 1 or -1."""
    beside = skin.feet(here.points + 5.0 * way, here)
    return float(np.copysign(1.0, np.median(np.sign(beside.r - here.r))))


def corner_line(line: FloatArray, first: Skin, second: Skin) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Where two insides meet abreast of a line (m, 3), given from aft forward.

    Returns:
        The feet of the line on the first, square to it, (m, 3); the way up the first there, square to the line,
        (m, 3); and how far that way the corner lies from the foot, mm, (m,): the true corner where the two meet at
        more than `SHARP`, and where they lie nearer to one plane a steady place between that and the usual one.
    """
    along, near = square_to(line), first.feet(line)
    # Square to the skin only: past its end the nearest point would stand still.
    straight = line + dots(near.points - line, near.normals)[:, None] * near.normals
    up = cross(along, near.normals)
    up = unit(up) * rises(first, near, up)
    at, a, b = straight, near, None
    aside = np.zeros(len(line))
    for _ in range(ROUNDS):
        a, b = first.feet(at, a), second.feet(at, b)
        # In the plane square to the line: along the first's trace, and from there to the second.
        onto = unit(cross(along, a.normals))
        onto = onto * np.sign(dots(onto, up))[:, None]
        at = at + dots(a.normals, a.points - at)[:, None] * a.normals
        pace = dots(b.normals, onto)
        gap = dots(b.normals, b.points - at) + pace * aside
        aside = np.clip(steady_corner(pace, gap), -MOST_ASIDE, MOST_ASIDE)
        at = straight + aside[:, None] * up
    return straight, up, aside


def steady_corner(pace: FloatArray, gap: FloatArray) -> FloatArray:
    """How far along one surface another is met, mm, (m,), steady where the two lie nearly in one plane.

    Where they meet at an angle it is ``gap / pace``.  As the pace goes to nothing that runs off to one side and
    comes back from the other, and a hair in the lines would decide where a timber lies; so below `SHARP` the place
    goes smoothly to the usual one, the one distance that fits all places best.

    Args:
        pace: by how much each mm along the one nears the other: the sine of their angle, signed.
        gap: how far the other lies off where nothing is gone yet, mm.
    """
    usual = float(pace @ gap) / max(float(pace @ pace), len(pace) * LEAST_PACE**2)
    part = np.minimum(np.abs(pace) / SHARP, 1.0)
    # 1 / pace, and below `SHARP` the odd cubic that joins it with the same slope.
    inverse = np.copysign(part * (2.0 - part * part) / SHARP, pace)
    sharp = part >= 1.0
    inverse[sharp] = 1.0 / pace[sharp]
    found: FloatArray = usual + (gap - pace * usual) * inverse
    return found


def fair_aside(aside: FloatArray) -> FloatArray:
    """How far from its line's foot a timber runs, mm, that it may run fair: (m,).

    Where two strakes come to lie in one plane their corner wanders off; the timber runs on beside its line.
    """
    usual = float(np.median(aside))
    off = np.abs(aside - usual)
    kept = np.minimum(off, WANDER) + WANDER * np.tanh(np.maximum(off - WANDER, 0.0) / WANDER)
    fair: FloatArray = usual + np.copysign(kept, aside - usual)
    return fair
