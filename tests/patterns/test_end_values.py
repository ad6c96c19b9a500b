"""What depends on an end of the boat as values: names, facts and errors turned with her, and turned back."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.hull.sections import OffHullError
from patterns.members.transom import WORDS as TRANSOM_WORDS
from patterns.text.stem_words import WORDS as STEM_WORDS
from patterns.text.wood_facts import said
from patterns.wood.ends import Aft, BoatEnd, EndError, EndText, HullEnd, Lean, Way, turned_text, turned_value
from patterns.wood.facts import Fact
from patterns.wood.turned import turned_fact


@pytest.mark.parametrize(
    ("fact", "words", "turned"),
    [
        (Fact("framing-against-the-panel", {"end": HullEnd.TRANSOM}), "Its after face", "Its forward face"),
        (Fact("lands-to-plane", {"end": HullEnd.STEM}), "Its forward face", "Its after face"),
        (Fact("no-stem-profile", {"end": HullEnd.STEM}), "No stem profile", "No sternpost profile"),
        (
            Fact("ahead-of-rabbet", {"outside": 30.0, "end": HullEnd.STEM}),
            "30 mm of wood forward of",
            "30 mm of wood aft of",
        ),
        (
            Fact("leans", {"rake": Lean(np.radians(12.0)), "radius": None}),
            "Raked 12°, top aft",
            "Raked 12°, top forward",
        ),
        (
            Fact("notch", {"timber": "aft log", "going": Way.AFT, "in_plan": 0.1, "in_profile": 0.0}),
            "aft log: going aft\n5.5° out",
            "aft log: going forward\n5.5° out",
        ),
    ],
)
def test_facts_of_an_end_are_turned_as_values(fact: Fact, words: str, turned: str) -> None:
    more = {**STEM_WORDS, **TRANSOM_WORDS}
    other = turned_fact(fact)
    assert said(fact, str, more).startswith(words)
    assert said(other, str, more).startswith(turned)
    assert turned_fact(other) == fact


def test_a_plane_off_the_hull_is_named_by_its_place_in_the_boat_as_she_is() -> None:
    error = OffHullError(-1200.4, "the hull")
    assert "-1200 mm aft" in str(error)
    assert " 1200 mm aft" in str(error.turned())
    assert str(error.turned().turned()) == str(error)


def test_an_error_about_an_end_is_turned_as_a_value() -> None:
    """Its advice keeps the key that it names, which is called stem at either end."""
    words = (
        'the {end}\'s {end.inside} is too far off; write stem = "butted" or set its foot farther {end.inward}'
    )
    error = EndError(HullEnd.STEM, words)
    assert "stem's after face" in str(error)
    assert str(error).endswith('write stem = "butted" or set its foot farther aft')
    other = error.turned()
    assert other.end is HullEnd.STERNPOST
    assert "sternpost's forward face" in str(other)
    assert str(other).endswith('write stem = "butted" or set its foot farther forward')
    assert str(other.turned()) == str(error)


def test_an_error_s_places_and_ways_are_turned_with_its_end() -> None:
    words = "off the {end} {at.mm:.0f} mm aft, at height {height:g} mm; set foot farther {end.outward}"
    error = EndError(HullEnd.STEM, words, at=Aft(-120.0), height=40.0)
    assert str(error) == "off the stem -120 mm aft, at height 40 mm; set foot farther forward"
    assert str(error.turned()) == "off the sternpost 120 mm aft, at height 40 mm; set foot farther aft"
    assert str(error.turned().turned()) == str(error)


@pytest.mark.parametrize("end", [*HullEnd, *BoatEnd])
def test_a_name_is_turned_by_its_end_alone(end: HullEnd | BoatEnd) -> None:
    """What was added to the name may hold words of ends: those stay."""
    name = EndText(end, before="inner ") + ", stem strake {aft}"
    other = turned_text(name)
    assert isinstance(other, EndText)
    assert other.end is turned_value(end) is not end
    assert other == f"inner {other.end}, stem strake {{aft}}"
    assert turned_text(other) == name == f"inner {end}, stem strake {{aft}}"
    assert turned_text(str(name)) == name  # a plain text is the builder's own


@pytest.mark.parametrize("end", HullEnd)
def test_the_faces_and_ways_of_an_end_agree(end: HullEnd) -> None:
    """Hers at the bow are those at the stern with aft and forward exchanged."""
    other = turned_value(end)
    assert isinstance(other, HullEnd)
    assert (end.inward, end.outward) == (other.outward, other.inward)
    assert end.inward is not end.outward
    assert end.outside == f"{'forward' if end.of_boat is BoatEnd.BOW else 'after'} face"
    assert turned_value(end.of_boat) is other.of_boat
    assert {end.inward.past, other.inward.past} == {"abaft", "ahead of"}
    assert {end.inward.which, other.inward.which} == {"fore", "after"}
