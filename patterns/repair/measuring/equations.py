"""The equations of a frame: every point's own place is taken out, and what is left says how its readings fit.

A point's readings and its edges give more equations than its place has unknowns; what the place cannot satisfy is
kept.  Each is scaled so that its error has a standard deviation of 1.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.base import BaseCurve, base_curve
from patterns.repair.measuring.lands import Lands
from patterns.repair.measuring.prior import Latent, StretchKey, StretchPrior
from patterns.repair.measuring.spots import (
    HEAD_END,
    HEEL_END,
    QUARTER,
    References,
    Spot,
    placed_spot,
    predicted,
)

__all__ = ["Equations", "Frames", "rows_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frames:
    """What is put into the equations.

    Attributes:
        spots: of all frames.
        refs: what they were measured from.
        error: standard deviation of a reading, mm.
        wood: that of old wood from a fair edge, mm.
        placed: that of the place of what was measured from, mm.
        compared: the sides are nearly alike; else each has its own prior.
        straight: stretches that are straight on purpose.
        moulded: the frame's moulding, mm, beside which its size is judged; 0 where it is not.
    """

    spots: tuple[Spot, ...]
    refs: References
    error: float
    wood: float = 0.2
    placed: float = 0.5
    compared: bool = True
    straight: Collection[str] = ()
    moulded: float = 0.0

    def key(self, spot: Spot, stretch: str) -> StretchKey:
        """The stretch of a spot's frame."""
        return (spot.frame, "" if self.compared else spot.side, stretch)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Equations:
    """The equations  ``left = edge @ f + reading @ errors + noise``.

    Attributes:
        at: (spots, 2), the places that the readings give, mm.
        bases: the base curve of every stretch that has a length.
        stretches: the prior of every stretch.
        latents: where the edge is asked for; `first` has the index of each spot's first one.
        readings: the spot and the place in its values of every reading.
        left: (r,).
        edge: (r, latents), by mm of the edge's distance from its base curve.
        reading: (r, readings), by mm of an error of a reading.
        lands: how many of the last rows are about the steps of lands.
        volume: what taking out the places adds to the logarithm of the evidence.
    """

    at: FloatArray
    bases: Mapping[StretchKey, BaseCurve]
    stretches: dict[StretchKey, StretchPrior]
    latents: tuple[Latent, ...]
    first: tuple[int, ...]
    readings: tuple[tuple[int, int], ...]
    left: FloatArray
    edge: FloatArray
    reading: FloatArray
    lands: int
    volume: float


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """The rows of one spot: what is left, by its readings and by its latents, each from the first on."""

    left: FloatArray
    reading: FloatArray
    first_reading: int
    edge: FloatArray
    first_latent: int


def rows_of(frames: Frames) -> Equations:
    """The equations about the places that the readings give now."""
    at = np.array([placed_spot(spot, frames.refs) for spot in frames.spots])
    bases, stretches = _stretches(frames, at)
    ends: dict[StretchKey, tuple[FloatArray, FloatArray]] = {}
    blocks: list[_Block] = []
    latents: list[Latent] = []
    readings: list[tuple[int, int]] = []
    volume, first = 0.0, []
    for i, spot in enumerate(frames.spots):
        feet = _feet(frames, spot, at[i], bases, ends)
        value, by_place, _ = predicted(spot, frames.refs, at[i])
        own = np.vstack([by_place / frames.error, [normal / frames.wood for _, _, normal in feet]])
        free = np.linalg.qr(own, mode="complete")[0][:, 2:]  # what no place can satisfy
        sign, logarithm = np.linalg.slogdet(own.T @ own)
        volume -= 0.5 * float(logarithm) if sign > 0 else 0.0
        gap = np.concatenate([
            (np.array(spot.values) - value) / frames.error, [-out / frames.wood for _, out, _ in feet]
        ])  # fmt: skip
        m = len(value)
        first.append(len(latents))
        blocks.append(
            _Block(
                free.T @ gap,
                free[:m].T / frames.error,
                len(readings),
                -free[m:].T / frames.wood,
                len(latents),
            )
        )
        readings += [(i, k) for k in range(m)]
        latents += [latent for latent, _, _ in feet]
    lands = Lands(frames.spots, at, bases, latents, first)
    rows = [
        _Block(np.array([left]), np.zeros((1, 0)), 0, factors[None], start)
        for left, factors, start in (*lands.others, *lands.steps)
    ]
    return _put_together(
        [*blocks, *rows],
        Equations(
            at=at,
            bases=bases,
            stretches=stretches,
            latents=tuple(latents),
            first=tuple(first),
            readings=tuple(readings),
            left=np.zeros(0),
            edge=np.zeros((0, 0)),
            reading=np.zeros((0, 0)),
            lands=len(lands.steps),
            volume=volume,
        ),
    )


def _put_together(blocks: Sequence[_Block], rows: Equations) -> Equations:
    left = np.concatenate([block.left for block in blocks])
    edge = np.zeros((len(left), len(rows.latents)))
    reading = np.zeros((len(left), len(rows.readings)))
    a = 0
    for block in blocks:
        b = a + len(block.left)
        reading[a:b, block.first_reading : block.first_reading + block.reading.shape[1]] = block.reading
        edge[a:b, block.first_latent : block.first_latent + block.edge.shape[1]] = block.edge
        a = b
    return replace(rows, left=left, edge=edge, reading=reading)


def _stretches(
    frames: Frames, at: FloatArray
) -> tuple[dict[StretchKey, BaseCurve], dict[StretchKey, StretchPrior]]:
    keys = dict.fromkeys(frames.key(spot, name) for spot in frames.spots for name in spot.stretches)
    bases, priors = {}, {}
    for key in keys:
        straight = key[2] in frames.straight
        base = None
        if key[2] not in (HEEL_END, HEAD_END):
            runs = [
                at[[i for i, s in enumerate(frames.spots) if s.side == side and _on(frames, s, key)]]
                for side in ("port", "starboard")
            ]
            base = base_curve(runs, straight=straight)
        if base is not None:
            bases[key] = base
        priors[key] = StretchPrior.of(base, straight=straight)
    return bases, priors


def _on(frames: Frames, spot: Spot, key: StretchKey) -> bool:
    return any(frames.key(spot, name) == key for name in spot.stretches)


def _feet(
    frames: Frames,
    spot: Spot,
    at: FloatArray,
    bases: Mapping[StretchKey, BaseCurve],
    ends: dict[StretchKey, tuple[FloatArray, FloatArray]],
) -> list[tuple[Latent, float, FloatArray]]:
    """Each edge that a spot lies on: its latent, how far out of the base curve the spot is, and the normal there.

    The edge without length at heel and head is square to the one that ends there.
    """
    sign, found, along = (1.0 if spot.side == "port" else -1.0), [], np.array([1.0, 0.0])
    for name in sorted(spot.stretches, key=lambda name: name in (HEEL_END, HEAD_END)):
        key = frames.key(spot, name)
        base = bases.get(key)
        if base is not None:
            end = None if len(spot.stretches) == 1 else float(name == spot.stretches[0])
            foot = base.foot(at, end)
            along = QUARTER @ foot.normal
            found.append((Latent(key, sign, foot.share), foot.out, foot.normal))
        else:
            normal, first = ends.setdefault(key, (along, at))
            found.append((Latent(key, sign, 0.0), float(normal @ (at - first)), normal))
    return found
