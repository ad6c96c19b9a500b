"""What is said on the pages: words on a page, and the leaders that lead from words to their places.

    python -m tests.bench.words_bench [--paper a4] [--round]

A leader crosses an outline where it runs through a stroke of 0.5 mm or more farther than 1 mm from its own place.
No figure here is a test.
"""

from __future__ import annotations

import argparse

import numpy as np

from patterns.run.job import job_of
from patterns.run.page_request import PageRequest
from patterns.subject import BoatSubject
from tests.demo import DEMO, demo_boat, demo_patterns, round_demo, round_demo_patterns
from tiling.drawing import Drawing, FloatArray
from tiling.layout.page_layout import PageLayout
from tiling.planning.piece_marks import marked_plans
from tiling.planning.plan import Plan

LONG = 30.0  # mm
OUTLINE = 0.5  # mm; strokes at least as broad are outlines
OWN = 1.0  # mm; a leader may begin on an outline


def outline_parts(drawing: Drawing, layout: PageLayout) -> tuple[FloatArray, FloatArray]:
    """Both ends of every straight part of the outlines, on the grid, each of shape (n, 2)."""
    ends = []
    for path in drawing.paths:
        if path.stroke.width >= OUTLINE and not path.filled:
            points = layout.to_grid.apply(path.points)
            ends.append((points[:-1], points[1:]))
            if path.closed:
                ends.append((points[-1:], points[:1]))
    if not ends:
        return np.empty((0, 2)), np.empty((0, 2))
    return np.vstack([a for a, _ in ends]), np.vstack([b for _, b in ends])


def side(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Twice the area of a triangle, with its sense."""
    return np.asarray((b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1])) - (b[..., 1] - a[..., 1]) * (
        c[..., 0] - a[..., 0]
    )


def through_outline(start: FloatArray, end: FloatArray, first: FloatArray, last: FloatArray) -> bool:
    """Whether a leader runs through one, beyond its first mm."""
    start = start + (end - start) * min(OWN / max(float(np.hypot(*(end - start))), 1e-9), 1.0)
    return bool(
        (
            (side(start, end, first) * side(start, end, last) < 0.0)
            & (side(first, last, start) * side(first, last, end) < 0.0)
        ).any()
    )


def measured(plans: tuple[Plan, ...]) -> dict[str, float]:
    """The figures of a job."""
    lengths: list[float] = []
    through = words = pages = crossing = most = 0
    for plan in plans:
        first, last = outline_parts(plan.drawing, plan.layout)
        on_page = [0] * len(plan.layout.tiles)
        for each in plan.words:
            count = sum(len(line.text.split()) for line in each.lines)
            words += count
            on_page[max(each.tile, 0)] += count
            crossing += each.crosses
            if each.leader is not None:
                lengths.append(each.reach)
                start, end = np.array(each.leader)
                if through_outline(start, end, first, last):
                    through += 1
        pages += len(on_page)
        most = max(most, *on_page)
    return {
        "pages of patterns": pages,
        "words": words,
        "words per page": round(words / pages, 1),
        "most words on a page": most,
        "leaders": len(lengths),
        "leaders over 30 mm": sum(each > LONG + 0.05 for each in lengths),
        "longest leader, mm": round(max(lengths, default=0.0), 1),
        "leaders through an outline": through,
        "words on a stroke": crossing,
    }


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--paper", default="a4")
    parser.add_argument("--round", action="store_true")
    asked = parser.parse_args()
    boat, patterns = (round_demo(), round_demo_patterns()) if asked.round else (demo_boat(), demo_patterns())
    folder = DEMO / "round_bilge" if asked.round else DEMO
    request = PageRequest(paper=asked.paper)
    made = job_of(folder, BoatSubject(boat), patterns, patterns, request=request, page=request.page())
    for name, figure in measured(tuple(marked_plans(made))).items():
        print(f"{name:28} {figure:>8}")


if __name__ == "__main__":
    main()
