"""What the keys of panels and of the openings in them must agree on, and their usual sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from patterns.design.agreement import limber_problems
from patterns.design.bounds import BoatSize, Bound, most_siding
from patterns.design.deck_models import beside_frame, frame_said
from patterns.design.entries import Parts
from patterns.design.models import FrameSpec
from patterns.design.panel_models import OpeningSpec, PanelSpec
from patterns.errors import Problem

__all__ = ["opening_rules", "panel_bounds", "panel_rules"]

NEEDED: Mapping[str, tuple[str, ...]] = {
    "athwartships": ("at",),
    "fore and aft": ("half_breadth", "between"),
    "level": ("height", "between"),
}
MAY: Mapping[str, tuple[str, ...]] = {
    "athwartships": (
        "rake",
        "siding_runs",
        "inner",
        "outer",
        "bottom",
        "top",
        "under",
        "limber_holes",
        "limber_at",
    ),
    "fore and aft": ("bottom", "top", "under"),
    "level": ("inner", "outer"),
}
OWN = tuple(dict.fromkeys(key for keys in (*NEEDED.values(), *MAY.values()) for key in keys))


def panel_rules(parts: Parts) -> Iterator[Problem]:
    """Keys that do not belong to the plane of a panel, and bounds that leave nothing."""
    canted = [frame.name for _, frame in parts.all(FrameSpec) if frame.cant]
    for place, panel in parts.all(PanelSpec):
        yield from _keys(place, panel)
        yield from limber_problems(place, panel)
        yield from _bounds(place, panel)
        yield from _under(parts, place, panel)
        named = [frame_said(each) for each in panel.between or ()]
        beside = beside_frame(panel.at or "")
        for name in (*named, *((beside[1],) if beside else ())):
            if name in canted:
                yield Problem(
                    f"{place}, key {'at' if beside else 'between'}",
                    f'frame "{name}" is canted, and a panel is square to an upright frame',
                    "place it elsewhere",
                    code="canted-frame",
                )
        if beside is not None and panel.rake:
            yield Problem(
                f"{place}, key rake",
                "a panel beside a frame has the frame's rake",
                "remove it",
                code="needless-key",
            )


def _keys(place: str, panel: PanelSpec) -> Iterator[Problem]:
    for key in OWN:
        given = getattr(panel, key) not in (None, (), 0.0)
        if key in NEEDED[panel.lies] and not given:
            yield Problem(
                f"{place}, key {key}",
                "is missing",
                f"a panel that lies {panel.lies} needs {' and '.join(NEEDED[panel.lies])}",
                code="needed-key",
            )
        elif given and key not in (*NEEDED[panel.lies], *MAY[panel.lies]):
            yield Problem(
                f"{place}, key {key}",
                f"is not for a panel that lies {panel.lies}",
                "remove it, or change lies",
                code="needless-key",
            )


def _under(parts: Parts, place: str, panel: PanelSpec) -> Iterator[Problem]:
    """A panel that stands under one that is not level, or whose upper edge is given twice."""
    over = next((each for _, each in parts.all(PanelSpec) if each.name == panel.under), None)
    if over is not None and over.lies != "level":
        yield Problem(
            f"{place}, key under",
            f'"{over.name}" does not lie level',
            "name a level panel, or give top",
            code="panel-not-level",
        )
    if panel.under is not None and panel.top is not None:
        yield Problem(
            f"{place}, key under",
            "top and under are both given",
            "keep one of them",
            code="conflicting-keys",
        )


def _bounds(place: str, panel: PanelSpec) -> Iterator[Problem]:
    """Two bounds that lie the wrong way round."""
    for low, high in (("inner", "outer"), ("bottom", "top")):
        one, two = getattr(panel, low), getattr(panel, high)
        if one is not None and two is not None and one >= two:
            yield Problem(
                f"{place}, key {high}",
                f"is not more than {low}",
                f"make it more than {one:g} mm",
                code="bounds-reversed",
            )


def opening_rules(parts: Parts) -> Iterator[Problem]:
    """Openings in panels that do not stand upright, or without any height or room for their corners."""
    level = {panel.name for _, panel in parts.all(PanelSpec) if panel.lies == "level"}
    for place, opening in parts.all(OpeningSpec):
        if opening.panel in level:
            yield Problem(
                f"{place}, key panel",
                f'"{opening.panel}" lies level, and an opening is given by heights',
                "make a level panel of several with room between them",
                code="opening-impossible",
            )
        heights = opening.bottom, opening.top
        if heights[0] is not None and heights[1] is not None and heights[0] >= heights[1]:
            yield Problem(
                f"{place}, key top",
                "is not more than bottom",
                f"make it more than {heights[0]:g} mm",
                code="bounds-reversed",
            )
        elif 2.0 * opening.corner_radius >= min(
            opening.breadth,
            heights[1] - heights[0] if heights[0] is not None and heights[1] is not None else opening.breadth,
        ):
            yield Problem(
                f"{place}, key corner_radius",
                "leaves no straight edge of the opening",
                "make it less than half of its breadth and height",
                code="opening-impossible",
            )


def panel_bounds(panel: PanelSpec, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a panel."""
    yield Bound("sided", panel.sided, 0.5 * scale.thick, most_siding(scale), "planking and boat")
