"""Drawings and jobs for the tests of pages; shapes invented, given by formulas."""

from __future__ import annotations

import math

import numpy as np

from tiling.drawing import Disc, Distance, Drawing, FloatArray, Note, Path, Stroke
from tiling.job import Job, Piece
from tiling.paper import Page, parse_paper
from tiling.planning.card import Card

SAW = Stroke(width=0.7)
CENTRE = Stroke(width=0.25, dash=(12.0, 2.0, 2.0, 2.0))
A4 = Page(paper=parse_paper("A4"))


def oval(wide: float, tall: float, count: int = 3000) -> FloatArray:
    """Points of an ellipse with the half axes given, mm."""
    angle = np.linspace(0.0, 2.0 * math.pi, count, endpoint=False)
    return np.column_stack([wide * np.cos(angle), tall * np.sin(angle)])


def ring(name: str = "ring", wide: float = 420.0, tall: float = 330.0) -> Piece:
    """An oval ring with a dashed centreline, a register hole and words: about sixteen A4 pages."""
    outer, inner = oval(wide, tall), oval(wide - 60.0, tall - 60.0)
    drawing = Drawing(
        paths=(
            Path(points=outer, stroke=SAW, closed=True),
            Path(points=inner, stroke=Stroke(width=0.25), closed=True),
            Path(points=np.array([[0.0, -tall], [0.0, tall]]), stroke=CENTRE),
            Path(
                points=np.array([[20.0, tall - 40], [23.0, tall - 30], [17.0, tall - 30]]), stroke=SAW,
                closed=True, filled=True,
            ),
        ),
        discs=(Disc(centre=(wide - 30.0, 0.0), radius=4.0, filled=False),),
        notes=(
            Note(text=name.upper(), target=(0.0, tall - 30.0), height=5.0, reach=250.0, rank=0),
            Note(text="78° under\n(saw tilt 12°)", target=(wide, 0.0), towards=(-1.0, 0.0), leader=True),
            Note(text="register hole 8 mm", target=(wide - 30.0, 0.0), leader=True),
        ),
        distances=(Distance(name="across", start=(-wide, 0.0), end=(wide, 0.0)),),
    )  # fmt: skip
    return Piece(
        made_from="formula",
        name=name,
        card=Card(quantity="1", rows=(("Stock", "18 mm plywood"),)),
        drawing=drawing,
    )


def plate(name: str = "knee", wide: float = 90.0, tall: float = 70.0) -> Piece:
    """A rectangle that one page holds."""
    corners = np.array([[0.0, 0.0], [wide, 0.0], [wide, tall], [0.0, tall]])
    drawing = Drawing(
        paths=(Path(points=corners, stroke=SAW, closed=True),),
        notes=(Note(text=name, target=(0.5 * wide, 0.5 * tall)),),
    )
    return Piece(made_from="formula", name=name, card=Card(quantity="2"), drawing=drawing)


def small_job(*, page: Page = A4, title: str = "Practice boat", pieces: tuple[Piece, ...] = ()) -> Job:
    """A job of a ring and a plate."""
    return Job(
        title=title,
        mark="K7Q2P",
        pieces=pieces or (ring(), plate()),
        page=page,
        cautions=("Blades: guards on, hands clear.",),
        first_piece="knee",
    )
