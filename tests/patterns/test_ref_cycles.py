"""Entries whose places follow from one another in a ring are found, and named with the keys that close it."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from patterns.design.ref_cycles import rings_of
from patterns.table.folder import read_folder
from tests.demo import DEMO, demo_boat
from tests.patterns.folders import changed, problems_in
from tests.patterns.test_deck import TIMBERS, crowned_boat

GRAPHS = st.dictionaries(st.integers(0, 7), st.lists(st.integers(0, 7), max_size=3), max_size=8)


@given(GRAPHS)
def test_a_ring_is_found_where_no_order_serves_and_only_there(needs: dict[int, list[int]]) -> None:
    """The library's own sorter says whether there is an order; each ring that is found is one."""
    found = rings_of(needs)
    try:
        list(TopologicalSorter(needs).static_order())
        ordered = True
    except CycleError:
        ordered = False
    assert ordered is (not found)
    for ring in found:
        for one, two in zip(ring, (*ring[1:], ring[0]), strict=True):
            assert two in needs[one]


def test_a_carling_that_ends_at_its_own_half_beam_is_a_ring(tmp_path: Path) -> None:
    """The half beam ends at the carling's face, and the carling would end at the half beam's."""
    was = 'between = ["middle beam",'
    assert was in TIMBERS
    folder = crowned_boat(tmp_path, more=TIMBERS.replace(was, 'between = ["half beam",', 1))
    [ring] = [problem for problem in problems_in(folder) if problem.code == "places-in-a-ring"]
    named = f"{ring.place} {ring.what}"
    assert 'beam "half beam", key from_carling' in named
    assert 'carling "side carling", key between' in named


def test_what_is_cut_beside_a_timber_that_ends_at_the_same_frame_is_no_ring(tmp_path: Path) -> None:
    """A batten that begins at a frame has a limber hole beside it there: its end comes from the frame uncut."""
    spec = next(
        timber for timber in demo_boat().design.wanted if getattr(timber, "name", "") == "bottom batten"
    )
    assert getattr(spec, "start", None) == "frame 3"
    text = (DEMO / "design.toml").read_text(encoding="utf-8")
    was = 'pieces = "bottom in halves"            # four'
    text = changed(text, was, f'limber_holes = "20 mm"\nlimber_at = ["bottom batten"]\n{was}')
    for name in ("offsets.csv", "stem.csv"):
        (tmp_path / name).write_bytes((DEMO / name).read_bytes())
    (tmp_path / "design.toml").write_text(text, encoding="utf-8")
    read_folder(tmp_path)  # nothing is wrong with it
