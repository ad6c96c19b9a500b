"""Every piece on its own pages, in the order of work, and none of these without something to mark on wood."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from patterns.pattern import Kind, Pattern
from patterns.run.job import job_of
from patterns.run.page_request import PageRequest
from patterns.shop.order_of_work import in_order_of_work
from patterns.subject import BoatSubject, load
from patterns.wood.work_stage import WorkStage
from tests.demo import DEMO, demo_boat, demo_patterns, round_demo, round_demo_patterns
from tiling.drawing import Drawing
from tiling.layout.coverage import ink_boxes
from tiling.layout.slides import slid
from tiling.planning.piece_marks import marked_plans
from tiling.planning.plan import Job, Plan

CASES = [("hard chine", "a4"), ("hard chine", "letter"), ("round bilge", "a4")]


@cache
def job(boat: str, paper: str) -> Job:
    hard = boat == "hard chine"
    folder = DEMO if hard else DEMO / "round_bilge"
    subject = BoatSubject(demo_boat() if hard else round_demo())
    patterns = demo_patterns() if hard else round_demo_patterns()
    request = PageRequest(paper=paper)
    return job_of(folder, subject, patterns, patterns, request=request, page=request.page())


@cache
def plans_of(boat: str, paper: str) -> tuple[Plan, ...]:
    return tuple(marked_plans(job(boat, paper)))


def empty_pages(plan: Plan) -> list[str]:
    """Pages on which nothing is seen of what is marked on the wood: no outline, joint, landing line or hole."""
    ink = ink_boxes(_marked(plan.piece.drawing), place=plan.layout.to_grid)
    boxes = [plan.layout.visible(tile) for tile in plan.layout.tiles]
    return [
        plan.page_name(tile)
        for tile, (x0, y0, x1, y1) in zip(plan.layout.tiles, boxes, strict=True)
        if not ((ink.low < (x1, y1)) & (ink.high > (x0, y0))).all(axis=1).any()
    ]


def _marked(drawing: Drawing) -> Drawing:
    """Of a pattern's drawing what is not a centreline, a level line, a tick, an arrow or a fence, by its stroke."""
    aside = ((12.0, 2.0, 2.0, 2.0), (0.5, 1.5), (2.0, 5.0))
    paths = tuple(
        path
        for path in drawing.paths
        if path.stroke.dash not in aside
        and not (path.stroke.width <= 0.18 and not path.stroke.dash)
        and not path.filled
    )
    flips = {slide.at for slide in drawing.slides}
    discs = tuple(disc for disc in drawing.discs if not disc.filled and disc.centre not in flips)
    return Drawing(paths=paths, discs=discs)


@pytest.mark.slow
@pytest.mark.parametrize(("boat", "paper"), CASES)
def test_every_piece_is_alone_or_fenced_and_no_page_is_without_an_outline(boat: str, paper: str) -> None:
    made, plans = job(boat, paper), plans_of(boat, paper)
    held = [piece.name for plan in plans for piece in plan.piece.parts or (plan.piece,)]
    assert sorted(held) == sorted(piece.name for piece in made.pieces)
    for plan in plans:
        assert bool(plan.piece.parts) == bool(plan.piece.drawing.fences)
        assert len(plan.piece.parts) == len(plan.piece.drawing.fences)
        assert empty_pages(plan) == []
        assert all(part.name in plan.label for part in plan.piece.parts)


@pytest.mark.slow
def test_with_a_centreline_that_wants_pages_some_are_empty() -> None:
    """The proof above would see them."""
    made = job("hard chine", "a4")
    ring = next(piece for piece in made.pieces if piece.name == "frame 2")
    paths = tuple(replace(path, aside=False) for path in ring.drawing.paths)
    plans = marked_plans(replace(made, pieces=(replace(ring, drawing=replace(ring.drawing, paths=paths)),)))
    assert empty_pages(plans[0])


@pytest.mark.slow
@pytest.mark.parametrize("boat", ["hard chine", "round bilge"])
def test_flip_points_lie_on_the_centreline_of_pages_that_the_outline_needs(boat: str) -> None:
    patterns = demo_patterns() if boat == "hard chine" else round_demo_patterns()
    halves = {pattern.name: pattern for pattern in patterns if pattern.half}
    plans = {p.piece.name: p for p in plans_of(boat, "a4") if p.piece.name in halves}
    assert len(plans) > 8
    for name, plan in plans.items():
        moved = {slide.at for slide in slid(plan.piece.drawing, plan.layout).slides}
        spots = [disc.centre for disc in plan.drawing.discs if disc.centre in moved and disc.radius == 3.0]
        assert len(spots) == 2
        centre = halves[name].of_kind(Kind.CENTRE)[0].points if halves[name].of_kind(Kind.CENTRE) else None
        assert centre is None or all(abs(x - float(centre[0, 0])) < 1e-6 for x, _ in spots)
        meant = float(np.hypot(*np.subtract(*(slide.at for slide in plan.piece.drawing.slides))))
        seen = [plan.layout.visible(tile) for tile in plan.layout.tiles]
        # far enough apart to flip by; a beam's board is shallow, and its pages show part of that
        enough = 55.0 if halves[name].member == "deck beam" else 95.0
        assert np.hypot(*np.subtract(*spots)) > min(meant - 0.01, enough)
        for x, y in (plan.layout.to_grid.at(spot) for spot in spots):
            assert any(x0 <= x <= x1 and y0 <= y <= y1 for x0, y0, x1, y1 in seen)


def _stages(patterns: tuple[Pattern, ...]) -> list[int]:
    return [pattern.work[0] for pattern in patterns]


@pytest.mark.slow
def test_pieces_are_printed_in_the_order_of_work() -> None:
    for patterns in (demo_patterns(), round_demo_patterns()):
        ordered = in_order_of_work(patterns[::-1])  # whatever order they come in
        assert _stages(ordered) == sorted(_stages(ordered))
        assert min(_stages(ordered)) >= WorkStage.SET_UP
        assert {pattern.name for pattern in ordered} == {pattern.name for pattern in patterns}
        frames = [each for each in ordered if each.work[0] == WorkStage.FRAMES]
        names = [each.part_of or each.name for each in frames]
        assert all(a == b or b not in names[: k + 1] for k, (a, b) in enumerate(pairwise(names)))
        stands = [
            min(float(p.plane.origin[0]) for p in frames if p.plane and (p.part_of or p.name) == name)
            for name in dict.fromkeys(names)
        ]
        assert stands == sorted(stands)
    keel = [pattern.work[0] for pattern in demo_patterns() if pattern.name == "keel, ends"]
    assert keel == [WorkStage.STEM_AND_KEEL]


@pytest.mark.slow
def test_a_repair_has_no_order_of_work() -> None:
    patterns = load(Path(DEMO) / "broken_frame").patterns()
    assert in_order_of_work(patterns) == patterns
