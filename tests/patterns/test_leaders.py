"""Leaders on the demo's pages: short, and through nothing that could be taken for wood."""

from __future__ import annotations

import pytest
import shapely

from patterns.run.job import job_of
from patterns.run.page_request import PageRequest
from patterns.subject import BoatSubject
from tests.demo import DEMO, demo_boat, demo_patterns
from tiling.planning.piece_marks import marked_plans

OUTLINE = 0.5  # mm; an outline's stroke is at least as broad
OWN = 1.0  # mm; a leader may begin on an outline


@pytest.mark.slow
def test_leaders_are_short_and_run_through_no_outline() -> None:
    patterns = demo_patterns()[:24]
    request = PageRequest(paper="a4")
    made = job_of(
        DEMO, BoatSubject(demo_boat()), patterns, patterns, request=request, page=request.page(), quick=True
    )
    seen = 0
    for plan in marked_plans(made):
        runs = [
            plan.layout.to_grid.apply(path.points)
            for path in plan.drawing.paths
            if path.stroke.width >= OUTLINE and not path.filled
        ]
        wood = shapely.MultiLineString(runs)
        for words in plan.words:
            if words.leader is None:
                continue
            seen += 1
            leader = shapely.LineString(words.leader)
            place = shapely.Point(words.leader[0]).buffer(OWN)
            assert leader.length < 30.1, (plan.label, words)
            assert not leader.difference(place).intersects(wood), (plan.label, words)
    assert seen > 60
