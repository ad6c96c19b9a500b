"""The fair edge by the model: each stretch as fine points, and how well it is known between every two points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.flat.polylines import normals_left
from patterns.hull.planes import FloatArray
from patterns.repair.measuring.judge import Verdict
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.spots import HEAD_END, HEEL_END, Spot
from patterns.repair.measuring.weigh import remedied
from patterns.repair.outline import EdgeStretch
from patterns.repair.places import Side

__all__ = ["SURELY", "KnownSpan", "curves_of", "known_spans"]

SPACING = 4.0  # mm between the points of a curved stretch
FEWEST = 24  # and not fewer than this
SURELY = 1.96  # standard deviations to either side within which the edge lies 95 times in 100
BETWEEN = 7  # places between two points at which the band is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSpan:
    """How well the edge is known from one measured point to the next on one stretch.

    Attributes:
        first, last: the points' names.
        half_width: of the band in which the edge lies 95 times in 100, where it is widest, mm.
        length: of the span, mm.
    """

    frame: str
    side: Side
    stretch: str
    first: str
    last: str
    half_width: float
    length: float


def curves_of(model: Model, frame: str, side: Side) -> list[EdgeStretch]:
    """The stretches of a side from the heel up; their bevels are not known yet."""
    found = []
    for name, spots in _stretches(model, frame, side):
        low, high = model.span(frame, side, name)
        base = model.rows.bases[model.latents(frame, side, name, np.zeros(1))[0].key]
        many = max(FEWEST, int(base.length * (high - low) / SPACING)) + 1
        if len(spots) == 2 or name in model.frames.straight:
            many = 2
        points, _ = model.edge(frame, side, name, np.linspace(low, high, many))
        blank = np.full(many, np.nan)
        found.append(
            EdgeStretch(name=name, points=points, out=-normals_left(points), slope=blank, hollow=blank)
        )
    return found


def _stretches(model: Model, frame: str, side: Side) -> Iterator[tuple[str, list[int]]]:
    """Each stretch of a side with the indices of its spots."""
    spots = model.frames.spots
    own = [i for i, spot in enumerate(spots) if spot.frame == frame and spot.side == side]
    names = dict.fromkeys(
        name for i in own for name in spots[i].stretches if name not in (HEEL_END, HEAD_END)
    )
    for name in names:
        yield name, [i for i in own if name in spots[i].stretches]


def known_spans(verdict: Verdict, frame: str, side: Side) -> list[KnownSpan]:
    """How well a side's edge is known from point to point, over all that may be true of its readings."""
    worlds = _worlds(verdict)
    main, found = verdict.model, []
    for name, spots in _stretches(main, frame, side):
        key = main.latents(frame, side, name, np.zeros(1))[0].key
        for i, j in pairwise(spots):
            low, high = (_share(main, k, key) for k in (i, j))
            shares = np.linspace(low, high, BETWEEN)
            found.append(
                KnownSpan(
                    frame=frame,
                    side=side,
                    stretch=name,
                    first=_name(main.frames.spots, i),
                    last=_name(main.frames.spots, j),
                    half_width=SURELY * float(_spread(main, worlds, (frame, side, name), shares).max()),
                    length=main.rows.bases[key].length * abs(high - low),
                )
            )
    return found


def _name(spots: Sequence[Spot], i: int) -> str:
    return spots[i].measured.name


def _share(model: Model, i: int, key: tuple[str, str, str]) -> float:
    first, spot = model.rows.first[i], model.frames.spots[i]
    own = model.rows.latents[first : first + len(spot.stretches)]
    return next(latent.share for latent in own if latent.key == key)


def _worlds(verdict: Verdict) -> list[tuple[float, Model]]:
    """What may be true, each with its probability: with rivals every one of them, else what was found."""
    if not verdict.asked:
        return [(1.0, verdict.model)]
    last = verdict.named[-1]
    faults = [last.fault, *last.rivals]
    odds = np.exp(np.array([fault.log_odds for fault in faults]) - last.fault.log_odds)
    model, found = verdict.model, []
    for weight, fault in zip(odds / odds.sum(), faults, strict=True):
        open_sizes = [*model.accepted, *([fault] if fault.columns.size else [])]
        found.append((float(weight), Model(remedied(model.frames, fault), open_sizes)))
    return found


def _spread(
    drawn: Model, worlds: Sequence[tuple[float, Model]], name: tuple[str, Side, str], shares: FloatArray
) -> FloatArray:
    """How far the edge may lie from the one that is drawn, (n,), mm: root of the mean square over all worlds."""
    line = drawn.edge(*name, shares)[0]
    way = np.gradient(line, axis=0)
    out = np.stack([way[:, 1], -way[:, 0]], axis=-1) / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    total = np.zeros(len(shares))
    for weight, model in worlds:
        places, spread = model.edge(*name, shares)
        total += weight * (spread**2 + np.sum((places - line) * out, axis=1) ** 2)
    return np.sqrt(total)
