"""A knee that stands on the keel: both faces alike, edges square, drawn on its port side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from patterns.boat import Boat
from patterns.design.models import StemEnd
from patterns.joinery.keel_faces import narrow_fact
from patterns.joinery.knee_shapes import KneeShape, bolts_scribed, xy
from patterns.joinery.named_pieces import keel_name, stem_name, transom_whole
from patterns.joinery.profile_pieces import PROFILE_WORDS, profile_piece
from patterns.joinery.wood import KneeLike, sided_fact
from patterns.text.angles import angle_words
from patterns.text.wood_facts import Template
from patterns.wood.ends import HullEnd
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note
from patterns.wood.labels import Landing
from patterns.wood.meeting import Joinery, Mate, Meeting
from patterns.wood.piece import Face, Piece

__all__ = ["KEEL_KNEE_WORDS", "keel_knee"]


def keel_knee(
    boat: Boat,
    spec: KneeLike,
    shape: KneeShape,
    *,
    end: HullEnd,
    arms: tuple[float, float],
    bolts: tuple[Sequence[float], Sequence[float]],
    facts: tuple[Fact, ...] = (),
) -> Piece:
    """The knee as a piece.

    Args:
        shape: its first arm lies on the keel, its second goes up what closes the hull.
        end: that.
        arms: the length along the keel and up the end, mm.
        bolts: the bolts of each arm, by their distances from the corner, mm.
        facts: for the bench, after those that every such knee has.
    """
    on_keel, up = shape.arms
    throat = Fact("throat", {"throat": spec.throat, "least": False})
    return profile_piece(
        spec,
        Face(
            region=shape.region((Landing("keel"), Landing(end))),
            sources={},
            notes=(
                Note(
                    fact=Fact("lands-on", {"on": "keel"}), at=xy(on_keel.middle), towards=xy(-on_keel.inward)
                ),
                Note(fact=Fact("lands-on", {"on": end}), at=xy(up.middle), towards=xy(-up.inward)),
                Note(fact=throat, at=xy(shape.throat), towards=xy(shape.bisector)),
            ),
            scribed=tuple(bolts_scribed(shape, bolts)),
        ),
        name=spec.name,
        member=spec.kind,
        distances=(
            Distance(fact=Fact("toe-to-toe"), start=xy(on_keel.end), end=xy(up.end)),
            Distance(fact=Fact("along-the-keel"), start=xy(shape.corner), end=xy(on_keel.end)),
        ),
        facts=(
            sided_fact(spec),
            Fact("keel-knee-angle", {"angle": shape.angle, "on": end}),
            Fact("keel-knee-arms", {"along": arms[0], "up": arms[1], "on": end}),
            *narrow_fact(boat, on_keel.face, spec.sided),
            *facts,
        ),
        grain=xy(shape.grain),
        meetings=tuple(_meetings(boat, spec.name, end)),
    )


def _meetings(boat: Boat, name: str, end: HullEnd) -> Iterator[Meeting]:
    """How its arms land."""
    bow = boat.design.fore_end
    post = stem_name(bow) if end is HullEnd.STEM and isinstance(bow, StemEnd) else transom_whole(end)
    on: Mapping[Landing, Mate] = {Landing("keel"): keel_name(boat), Landing(end): post}
    for label, other in on.items():
        keys = (f'knee "{name}"',)
        yield Meeting(kind=Joinery.EDGE, lands=name, on=other, keys=keys, edges=(label,))


_FACES: Mapping[HullEnd, str] = {
    HullEnd.STEM: "stem's after face",
    HullEnd.STERNPOST: "sternpost's forward face",
    HullEnd.TRANSOM: "transom face",
    HullEnd.BOW_TRANSOM: "bow transom face",
}

KEEL_KNEE_WORDS: Mapping[str, Template] = {
    **PROFILE_WORDS,
    "along-the-keel": lambda _, __: "along the keel",
    "keel-knee-angle": lambda v, _: (
        f"Angle between keel top and {_FACES[v['on']]} {angle_words(v['angle'])}; edges square"
    ),
    "keel-knee-arms": lambda v, _: f"Arms {v['along']:g} mm along the keel, {v['up']:g} mm up the {v['on']}",
}
