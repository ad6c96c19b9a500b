"""What of a file decides over its printing besides what is painted: preferences, layers, boxes, annotations.

Source: ISO 32000-1:2008, 8.11.4 (layers), 12.2 (viewer preferences), 12.5 (annotations), 14.11.2 (page boxes);
from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tiling.paper import MM_PER_INCH, POINTS_PER_INCH
from tiling.proof.resource_names import resolved

__all__ = ["file_state", "page_state"]

BOXES = {"/CropBox": "crop", "/TrimBox": "trim", "/BleedBox": "bleed", "/ArtBox": "art"}
NEAR = 0.01 / MM_PER_INCH * POINTS_PER_INCH  # points


def file_state(root: Any) -> Iterator[str]:
    """What is wrong with the file as a whole, by its catalogue."""
    root = resolved(root)
    preferences = resolved(root.get("/ViewerPreferences")) or {}
    if str(resolved(preferences.get("/PrintScaling", ""))) != "/None":
        yield "the file does not ask the print dialog to leave its scale alone (PrintScaling)"
    if "/PrintPageRange" in preferences:
        yield "the file asks for some of its pages only to be printed (PrintPageRange)"
    for key in ("/PrintArea", "/PrintClip"):
        if str(preferences.get(key, "/CropBox")) not in ("/CropBox", "/MediaBox"):
            yield f"the file asks for part of its pages only to be printed ({key[1:]})"
    copies = resolved(preferences.get("/NumCopies", 1))
    if copies != 1:
        yield f"the file asks for {copies} copies (NumCopies)"
    if "/AcroForm" in root:
        yield "the file has a form to be filled in, which may cover its pages"
    if _acts(root):
        yield "the file has scripts or actions that run when it is opened or printed"
    listed = resolved(root.get("/OCProperties"))
    if listed is not None:
        yield from _layers(listed)


def _acts(root: Any) -> bool:
    opening = resolved(root.get("/OpenAction"))
    scripts = "/JavaScript" in (resolved(root.get("/Names")) or {})
    return scripts or "/AA" in root or (isinstance(opening, dict) and opening.get("/S") != "/GoTo")


def _layers(listed: Any) -> Iterator[str]:
    state = resolved(listed.get("/D", {}))
    groups = [*resolved(listed.get("/OCGs", [])), *resolved(state.get("/OFF", []))]
    if resolved(state.get("/Intent", "/View")) not in ("/View", ["/View"]):
        yield "layers are not shown as for viewing (Intent)"
    off = {_number(group) for group in resolved(state.get("/OFF", []))}
    if state.get("/BaseState", "/ON") != "/ON":
        off |= {_number(group) for group in groups} - {
            _number(group) for group in resolved(state.get("/ON", []))
        }
    names = sorted({str(resolved(group)["/Name"]) for group in groups if _number(group) in off})
    if names:
        yield f"layers switched off, which will not print: {', '.join(names)}"
    if resolved(state.get("/AS", [])):
        yield "layers are switched by events, so that print and screen may differ (AS)"
    for group in groups:
        found = resolved(group)
        if "/Usage" in found:
            yield f"layer {found['/Name']} has a print state of its own (Usage)"
        if resolved(found.get("/Intent", "/View")) not in ("/View", ["/View"]):
            yield f"layer {found['/Name']} is not meant for viewing (Intent)"


def _number(group: Any) -> int:
    return int(group.idnum) if hasattr(group, "idnum") else id(group)


def page_state(page: Any) -> Iterator[str]:
    """What is wrong with a page besides what is painted, by its dictionary."""
    media = [float(resolved(side)) for side in resolved(page["/MediaBox"])]
    for key, name in BOXES.items():
        if key in page:
            box = [float(resolved(side)) for side in resolved(page[key])]
            if max(abs(a - b) for a, b in zip(box, media, strict=True)) > NEAR:
                wide, tall = ((box[i + 2] - box[i]) * MM_PER_INCH / POINTS_PER_INCH for i in (0, 1))
                yield f"its {name} box leaves only {wide:.1f} by {tall:.1f} mm of it"
    turn = int(resolved(page.get("/Rotate", 0))) % 360
    if turn:
        yield f"it is turned by {turn}° (Rotate)"
    unit = float(resolved(page.get("/UserUnit", 1.0)))
    if unit != 1.0:
        yield f"has a unit of its own ({unit:g}): many viewers leave it out and print another size"
    for annotation in resolved(page.get("/Annots", [])) or []:
        yield from _annotation(resolved(annotation))


def _annotation(found: Any) -> Iterator[str]:
    """A link without a border shows nothing; all else lies over the page."""
    kind = str(found.get("/Subtype", "/"))[1:]
    if kind == "Link":
        border = [float(side) for side in resolved(found.get("/Border", [0, 0, 1]))[:3]]
        style = resolved(found.get("/BS"))
        if (border[2] if style is None else style.get("/W", 1)) or "/AP" in found:
            yield "a link shows on it: it has a border or a picture"
        return
    x0, y0, x1, y1 = (
        float(resolved(side)) * MM_PER_INCH / POINTS_PER_INCH for side in resolved(found["/Rect"])
    )
    yield f"an annotation ({kind}) lies over it, {x0:.0f}, {y0:.0f} to {x1:.0f}, {y1:.0f} mm"
