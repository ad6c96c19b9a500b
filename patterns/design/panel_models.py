"""Panels as the design file says them: flat pieces in any plane, and the openings in them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from patterns.design.deck_models import BeamAt, HalfBreadths, beside_names
from patterns.design.part import Part
from patterns.design.quantities import Angle, Length, Names, NotNegative, Position, Wood, Words
from patterns.design.refs import Ref
from patterns.design.shared_keys import SidedKeys

__all__ = ["OpeningSpec", "PanelSpec"]


class PanelSpec(SidedKeys):
    """A flat piece: a bulkhead or half-bulkhead, a thwart, a seat's top or front, a locker's front.

    Athwartships it needs at; level, height and between; fore and aft, half_breadth and between. Planking and deck
    bound it where no key does, timbers that pass it are notched for, and frames between its ends are cut round.
    """

    name: Words = Field(description="The panel's whole name, lettered on its pattern.")
    lies: Literal["athwartships", "fore and aft", "level"] = Field(description="In which plane it lies.")
    at: Annotated[BeamAt | None, Ref("frame", reads=beside_names)] = Field(
        default=None,
        description='Athwartships: where its moulded face is, as at of a beam: a station, a distance aft, or "aft '
        'of frame 4".',
    )
    rake: Angle = Field(
        default=0.0, description="Athwartships: its rake, top aft positive; beside a frame the frame's own."
    )
    siding_runs: Literal["forward", "aft"] | None = Field(
        default=None,
        description="Athwartships: which way its thickness runs from the moulded face; left out, away from the "
        "station of greatest breadth, or away from the frame that it lies against.",
    )
    between: Annotated[
        tuple[Words, Words] | None, Ref("beam", said=("frame", "panel"), single=("transom",))
    ] = Field(
        default=None,
        description="Level, and fore and aft: the two pieces whose faces it is cut to, from forward aft: beams by "
        'name, "frame 6", "panel bulkhead" for one athwartships, "transom".',
    )
    height: Position | None = Field(default=None, description="Level: the height of its upper face.")
    half_breadth: HalfBreadths | None = Field(
        default=None,
        description="Fore and aft: from the centreline out to its inboard face at the two pieces; two of them, "
        "forward and aft, where it runs at an angle.",
    )
    inner: Length | None = Field(
        default=None,
        description="Athwartships and level: from the centreline out to its inner edge; left out, it runs across "
        "the centreline, and given, there is one on each side.",
    )
    outer: Length | None = Field(
        default=None,
        description="Athwartships and level: from the centreline out to its outer edge; left out, the planking.",
    )
    bottom: Position | None = Field(
        default=None,
        description="Athwartships, and fore and aft: the height of its lower edge on its moulded face; left out, "
        "the planking.",
    )
    top: Position | None = Field(
        default=None,
        description="Athwartships, and fore and aft: the height of its upper edge on its moulded face; left out, "
        "the deck's underside.",
    )
    under: Annotated[Words | None, Ref("panel", places=False)] = Field(
        default=None,
        description="Athwartships, and fore and aft: instead of top, the level panel to whose underside it is cut, "
        "as a seat's front is to its top.",
    )
    limber_holes: Wood | None = Field(
        default=None,
        description="Athwartships: the diameter of half-round limber holes in its planking edge; left out if there "
        "are none.",
    )
    limber_at: Annotated[Names, Ref("timber", places=False)] = Field(
        default=(), description='The timbers beside which a limber hole lies, as ["keel", "chine log"].'
    )


class OpeningSpec(Part):
    """An opening in an upright panel: a doorway, a hatch, a hole for a hand; square through it."""

    panel: Annotated[Words, Ref("panel")] = Field(description="The panel's name.")
    name: Words = Field(default="opening", description="What it is, as doorway.")
    breadth: Length = Field(description="Its whole breadth.")
    bottom: Position | None = Field(
        default=None, description="The height of its lower edge; left out, it is open at the bottom."
    )
    top: Position | None = Field(
        default=None, description="The height of its upper edge; left out, it is open at the top."
    )
    middle: NotNegative = Field(
        default=0.0,
        description="Athwartships: from the centreline out to its middle; 0 is one on the centreline, and more is "
        "one on each side. Fore and aft: from the panel's fore end aft to its middle.",
    )
    corner_radius: NotNegative = Field(default=0.0, description="The radius of its corners.")
