"""The profile line by its model, or by the plain batten where the model cannot hold the points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.fairing.batten import Ends
from patterns.fairing.paths import FairedPath, fair_path
from patterns.fairing.profile_model import LEAST_POINTS, Modelled, model_profile, shared_model
from patterns.fairing.profile_path import path_of
from patterns.fairing.profile_shares import shares
from patterns.hull.planes import FloatArray

__all__ = ["ProfileChoice", "choose_profile"]

CORNERED, QUICK = 128.0, 64.0  # tau that a corner makes; that of a line which bends quickly in one place only
LIKELY = 0.3  # probability of such a tau from which the line is looked at again
CORNERS = 3  # points that are tried as corners
SURELY = 6.0  # nats by which a corner must make the figures likelier


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProfileChoice:
    """The faired profile line, and what it was chosen from.

    Attributes:
        path: the line that is used.
        batten: the plain batten through the same points.
        model: the modelled line; None where there are too few points for one.
        even: the same with no part's roughness taken from the points, which is ``model`` itself on most boats.
        modelled: whether ``path`` is the model's.
        corner: the index of a point at which the line seems to turn though no knuckle is declared there.
    """

    path: FairedPath
    batten: FairedPath
    model: Modelled | None
    modelled: bool
    even: Modelled | None = None
    corner: int | None = None


def choose_profile(
    points: FloatArray,
    measured: Sequence[int],
    allow: FloatArray,
    *,
    written: float = 0.0,
    ends: Ends = "free",
    knuckles: Sequence[int] = (),
    straight: tuple[int, int] | None = None,
) -> ProfileChoice:
    """Fair the profile line both ways and choose.

    Args:
        points: shape (n, 2), n >= 2, from the stem's head to the stern, mm.
        measured: for each point 0 where x was measured, 1 where z was.
        allow: shape (n,), how far each figure may be moved, mm.
        written: half the step in which the figures are written, mm; none is taken to be truer.
        ends, knuckles, straight: see `model_profile`.
    """
    off = np.maximum(allow, written)
    own = np.zeros_like(points)
    own[np.arange(len(points)), list(measured)] = allow
    batten = fair_path(points, own, ends=ends, knuckles=tuple(knuckles))
    if len(points) < LEAST_POINTS:
        return ProfileChoice(path=batten, batten=batten, model=None, modelled=False)
    model = model_profile(points, measured, off, ends=ends, knuckles=knuckles, straight=straight)
    corner, even = None, model
    if not model.sound or model.rougher(CORNERED) > LIKELY:
        corner = _corner(model, measured, off, ends, knuckles, straight)
    if corner is None and (not model.sound or model.rougher(QUICK) > LIKELY):
        # How quickly each part bends is now taken from the points, beside a line that is alike all along.
        alike = model_profile(
            points, measured, off, ends=ends, knuckles=knuckles, straight=straight, calm=False
        )
        shared = shared_model(alike, *shares(alike.grid, batten), off, ends)
        model = shared if shared.sound else model
    if corner is not None or not model.sound:
        return ProfileChoice(
            path=batten, batten=batten, model=model, modelled=False, even=even, corner=corner
        )
    path = path_of(model, allow=allow, ends=ends)
    return ProfileChoice(path=path, batten=batten, model=model, modelled=True, even=even)


def _corner(
    model: Modelled,
    measured: Sequence[int],
    allow: FloatArray,
    ends: Ends,
    knuckles: Sequence[int],
    straight: tuple[int, int] | None,
) -> int | None:
    """The point that as a knuckle makes the figures much likelier, if there is one."""
    grid = model.grid
    turn = np.abs(np.diff(grid.heading))
    tried: list[tuple[float, int]] = []
    for i in np.argsort(-turn)[:CORNERS] + 1:
        if int(i) in knuckles:
            continue
        other = model_profile(
            grid.points, measured, allow, ends=ends, knuckles=(*knuckles, int(i)), straight=straight
        )
        if other.sound or not model.sound:
            tried.append((other.evidence - model.evidence, int(i)))
    gain, at = max(tried, default=(0.0, -1))
    return at if gain > SURELY else None
