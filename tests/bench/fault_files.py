"""Finished files of every sort for the seeding of faults: sheets, letter, a roll, a class, a model, a test page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.tiling.samples import A4, SAW, oval, plate, ring, small_job
from tiling.drawing import Disc, Distance, Drawing, Figure, Note, Stroke
from tiling.drawing import Path as Run
from tiling.job import Piece, write_pdf, write_rolls
from tiling.pages.ruler_page import write_ruler_page
from tiling.paper import Page, parse_paper
from tiling.paper.scale import parse_scale
from tiling.planning.card import Card
from tiling.planning.plan import plan_pieces
from tiling.sets import Pack, write_sets

__all__ = ["SORTS", "write_sort"]

SORTS = ("sheets", "letter", "roll", "class", "model", "test page")


def layered(name: str = "layered part") -> Piece:
    """A part with everything that a drawing may hold: layers, spots, holes, a figure, dashes, greys."""
    figure = Figure(
        paths=(
            Run(points=np.array([[0.0, 0.0], [12.0, 0.0], [6.0, 8.0]]), stroke=Stroke(width=0.25), closed=True),
            Run(
                points=np.array([[1.0, 9.0], [4.0, 9.0], [2.5, 11.0]]), stroke=Stroke(width=0.18, grey=0.5),
                closed=True, filled=True,
            ),
        ),
        width=12.0,
        height=12.0,
    )  # fmt: skip
    grid = [
        Run(points=np.array([[x, -120.0], [x, 120.0]]), stroke=Stroke(width=0.13, grey=0.4), layer="grid")
        for x in (-150.0, -50.0, 50.0, 150.0)
    ]
    drawing = Drawing(
        paths=(
            Run(points=oval(190.0, 130.0, 600), stroke=SAW, closed=True),
            Run(
                points=oval(170.0, 110.0, 600), stroke=Stroke(width=0.35, dash=(6.0, 2.0)), closed=True,
                layer="other face",
            ),
            *grid,
        ),
        discs=(
            Disc(centre=(120.0, 0.0), radius=4.0, filled=False),
            Disc(centre=(-120.0, 0.0), radius=1.5),
            Disc(centre=(0.0, 60.0), radius=3.0, filled=False, layer="bevels"),
        ),
        notes=(
            Note(text="bevel 12° under", target=(0.0, 60.0), leader=True, layer="bevels"),
            Note(text="see the figure", target=(-60.0, -40.0), figure=figure),
        ),
        distances=(Distance(name="length", start=(-120.0, 0.0), end=(120.0, 0.0)),),
    )  # fmt: skip
    return Piece(
        name=name,
        made_from=name,
        card=Card(quantity="2", rows=(("Stock", "12 mm plywood"),)),
        drawing=drawing,
    )


def write_sort(sort: str, folder: Path) -> Path:
    """Write the file of that sort; returns its path."""
    path = folder / f"{sort}.pdf"
    pieces = (layered(), ring("ring", 210.0, 150.0), plate())
    if sort == "sheets":
        write_pdf(small_job(pieces=pieces), path)
    elif sort == "letter":
        write_pdf(small_job(page=Page(paper=parse_paper("letter"), landscape=True), pieces=pieces), path)
    elif sort == "model":
        page = Page(paper=parse_paper("a4"), scale=parse_scale("1:4"))
        write_pdf(small_job(page=page, pieces=pieces), path)
    elif sort == "roll":
        job = replace(small_job(pieces=(layered(),)), roll=Page(paper=parse_paper("24 in roll")))
        write_rolls(job, folder / "first.pdf", lambda plan: path)
    elif sort == "class":
        job = small_job(pieces=(layered(), plate()))
        packs = tuple(Pack(number=n, owner=f"Table {n}") for n in (1, 2, 3))
        plans = plan_pieces(job.pieces, job.page, share=job.share)
        write_sets(job, plans, path, packs, total=3, listed=packs)
    else:
        write_ruler_page(A4, path)
    return path
