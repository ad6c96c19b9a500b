"""Limber holes beside timbers that lean: one clean cut, no loose wood, no hole of its own."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely

from patterns.errors import PatternsError
from patterns.flat.shapes import area_of, parts_of
from patterns.hull.sections import cut_hull
from patterns.joinery.limbers import limbers_beside
from patterns.joinery.ringed import notches_in
from patterns.joinery.rings import section_area
from tests.demo import demo_boat


@pytest.mark.slow
@pytest.mark.parametrize("diameter", [12.0, 20.0, 30.0])
@pytest.mark.parametrize("timber", ["keel", "chine log"])
def test_a_hole_is_cut_in_one_with_the_timber_s_notch_on_both_faces(timber: str, diameter: float) -> None:
    boat = demo_boat()
    made = 0
    for spec in boat.design.frames:
        faces = boat.frame_faces(spec)[:2]
        sections = cut_hull(boat.hull, faces[0]), cut_hull(boat.hull, faces[1])
        notches = notches_in(boat, sections[0]), notches_in(boat, sections[1])
        if not all(any(notch.timber == timber for notch in cut) for cut in notches):
            continue
        try:
            (limber,) = limbers_beside(sections, notches, [timber], diameter)
        except PatternsError as error:
            # The bevel carries the other face's edge past a small hole: the size that is asked for is open there.
            asked = float(re.findall(r"more than (\d+) mm", str(error))[0]) + 1.0
            assert asked > diameter
            (limber,) = limbers_beside(sections, notches, [timber], asked)
            assert 0.0 < min(limber.depths) < 2.0
        assert isinstance(limber.cutter, shapely.Polygon)
        assert not limber.cutter.interiors
        for section, cut in zip(sections, notches, strict=True):
            notch = area_of(next(each for each in cut if each.timber == timber).corners)
            (left,) = parts_of(
                section_area(section).difference(shapely.union(notch, limber.cutter)), least=0.01
            )
            assert not left.interiors
            # The hole is as deep as its radius, give or take the bevel between the faces.
            inside = np.asarray(limber.cutter.intersection(section_area(section)).exterior.coords)
            assert (
                shapely.distance(shapely.LineString(section.edge), shapely.points(inside)).max()
                < 1.1 * diameter
            )
            made += 1
    assert made >= 6
