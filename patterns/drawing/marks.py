"""Notes, scribed lines and distances of a piece as they are drawn, their facts put in words."""

from __future__ import annotations

from collections.abc import Mapping

from patterns.pattern import Kind, Line, Mark, Span
from patterns.text.wood_facts import Lengths, Template, said
from patterns.wood.features import Distance, Note, Scribed

__all__ = ["line_of", "mark_of", "span_of"]


KINDS = {
    "rabbet-line": Kind.RABBET,
    "apex": Kind.APEX,
    "bearding-line": Kind.BEARDING,
    "bolt": Kind.BOLT,
    "scarf": Kind.JOINT,
    "scarf-begins": Kind.JOINT,
}  # what is drawn as it is by all draughtsmen; everything else is a reference line


def mark_of(note: Note, lengths: Lengths, more: Mapping[str, Template] | None = None) -> Mark:
    """A note as a mark."""
    return Mark(
        name=said(note.fact, lengths, more),
        at=note.at,
        towards=note.towards,
        length=note.length,
        word=note.bare,
        fact=note.fact,
    )


def line_of(scribed: Scribed, lengths: Lengths, more: Mapping[str, Template] | None = None) -> Line:
    """A scribed line, by its fact one of the kinds of line that the drawings know."""
    return Line(
        kind=Kind.CENTRE if scribed.middle else KINDS.get(scribed.fact.kind, Kind.REFERENCE),
        points=scribed.points,
        closed=scribed.closed,
        name=said(scribed.fact, lengths, more) if scribed.named else "",
        bolt=scribed.middle,
        piece=str(scribed.fact.values.get("other", "")),
    )


def span_of(distance: Distance, lengths: Lengths, more: Mapping[str, Template] | None = None) -> Span:
    """A distance as it is printed."""
    return Span(name=said(distance.fact, lengths, more), start=distance.start, end=distance.end)
