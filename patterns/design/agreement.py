"""Rules that several kinds of member share: keys that need or exclude each other, and what a design lacks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Protocol

from patterns.design.entries import Parts
from patterns.design.models import DeckSpec, LaidSpec
from patterns.errors import Problem

__all__ = [
    "at_its_end",
    "clamps",
    "deck_problems",
    "either",
    "limber_problems",
    "throat_problems",
    "together",
]


class Limbered(Protocol):
    """A piece that may have limber holes."""

    @property
    def limber_holes(self) -> float | None: ...
    @property
    def limber_at(self) -> tuple[str, ...]: ...


def together(place: str, keys: Mapping[str, object]) -> Iterator[Problem]:
    """Keys of which all are given or none."""
    if any(value is not None for value in keys.values()):
        for key, value in keys.items():
            if value is None:
                want = f"give {', '.join(keys)} together, or none of them"
                yield Problem(f"{place}, key {key}", "is missing", want, code="needed-key")


def either(place: str, keys: Mapping[str, object], want: str, *, at: str = "") -> Iterator[Problem]:
    """Two keys of which one is given.

    Args:
        want: what to give where neither is.
        at: the key that is one too many where both are; the first one if empty.
    """
    one, other = keys
    given = [value is not None for value in keys.values()]
    if all(given):
        what = f"{one} and {other} are both given"
        yield Problem(f"{place}, key {at or one}", what, "keep one of them", code="conflicting-keys")
    elif not any(given):
        yield Problem(f"{place}, key {one}", "is missing", want, code="needed-key")


def throat_problems(
    place: str, throat: float, arms: Sequence[float], *, long: str = "an arm is", want: str = "both arms"
) -> Iterator[Problem]:
    """A throat that is deeper than the piece is long."""
    if throat >= min(arms):
        yield Problem(
            f"{place}, key throat",
            f"is deeper than {long} long",
            f"make it less than {want}",
            code="throat-too-deep",
        )


def deck_problems(parts: Parts, place: str, *, what: str, want: str = "give the deck") -> Iterator[Problem]:
    """A piece that needs a deck, in a boat without one."""
    deck = parts.one(DeckSpec)
    if deck is not None and deck.kind == "none":
        yield Problem(place, f"{what}, and the design has no deck", want, code="no-deck")


def clamps(parts: Parts) -> list[LaidSpec]:
    """The clamps that could be read."""
    return [timber for _, timber in parts.all(LaidSpec) if timber.kind == "clamp"]


def limber_problems(place: str, piece: Limbered) -> Iterator[Problem]:
    """Limber holes without a place, or places without a size."""
    if (piece.limber_holes is None) != (not piece.limber_at):
        key = "limber_holes" if piece.limber_holes is None else "limber_at"
        want = "limber holes need both limber_holes and limber_at"
        yield Problem(f"{place}, key {key}", "is missing", want, code="needed-key")


def at_its_end(
    place: str, at: str, others: Iterable[str], *, knee: str, wants: str, there: str
) -> Iterator[Problem]:
    """What is wrong where a knee is asked for at an end of the other kind.

    Args:
        at: the end that it names.
        others: the ends of the other kind, a ``there``.
        wants: what the knee needs at its end.
    """
    if at in others:
        yield Problem(
            f"{place}, key at",
            f"{knee} is at the {at}, where there is a {there}",
            f"write the end where the {wants} is, or take the knee out",
            code="knee-at-other-end",
        )
