"""The templates of a timber that runs fore and aft: its section, and a paper to wrap round each of its ends.

A timber is too long to be printed, and it need not be: it is sawn to a straight stick of its section, marked off
by its true lengths, and cut at each end along the edge of a paper wrapped round it.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.bevels import bevel_words
from patterns.boat import Boat
from patterns.design.kind import Table
from patterns.design.models import KeelSpec, LaidSpec
from patterns.design.timber_models import RibbandSpec, RubbingRailSpec, RunningSpec, StripSpec
from patterns.hull.planes import FloatArray, cross
from patterns.joinery.wood import Piece
from patterns.member_kind import MemberKind
from patterns.members.timber_rules import (
    STARTER,
    keel_bounds,
    laid_bounds,
    laid_rules,
    running_rules,
    timber_misses,
)
from patterns.pattern import Kind, Line, Mark, Pattern, Span
from patterns.timbers.faying import FAYS, Unfayed
from patterns.timbers.measured import Bend, EndCut, Measured, Passing, measured
from patterns.timbers.passings import passings
from patterns.timbers.run import Run

__all__ = ["KIND", "end_words", "pieces", "unfayed_words"]

HOLD = 45.0  # mm of paper below the cut's nearest corner, to wrap the timber in
APART = 40.0  # mm between the section and the papers
NARROW = 3.0  # mm; a face that has run out to less is not named
LONG_ENOUGH = 60.0  # mm; a shorter distance proves nothing of the scale
FLAT = 100_000.0  # mm; a greater radius is straight
TURNED = np.radians(0.05)  # a smaller twist is none


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every timber that is cut for the boat; ribbands are trimmed where they lie."""
    for spec in boat.design.wanted:
        if isinstance(spec, KeelSpec | LaidSpec | RunningSpec) and not isinstance(spec, RibbandSpec):
            yield f'timber "{spec.name}"', partial(_timber, boat, spec.name)


def _timber(boat: Boat, name: str) -> tuple[Pattern, ...]:
    run = next(run for run in boat.runs if run.name == name)
    sizes = measured(run)
    section, section_marks, spans = _section(sizes)
    lines, marks = [section], section_marks
    low = float(section.points[:, 1].min())
    for which, word in ((0, "after"), (1, "fore")):
        paper, folds, said = _wrap(sizes, which, word)
        shift = np.array([0.0, low - APART - float(paper[:, 1].max())])
        low = float(paper[:, 1].min() + shift[1])
        lines.append(Line(kind=Kind.SAW, points=paper + shift, closed=True))
        lines += [Line(kind=Kind.REFERENCE, points=fold + shift) for fold in folds]
        marks += [Mark(name=text, at=(float(at[0]), float(at[1] + shift[1])), word=True) for text, at in said]
        spans.append(
            Span(
                name=f"once round, {word} end",
                start=(float(paper[0, 0]), float(paper[0, 1] + shift[1])),
                end=(float(paper[1, 0]), float(paper[1, 1] + shift[1])),
            )
        )
    foot = lines[-1 - len(folds)].points[1] if folds else lines[-1].points[1]
    head = section.points[int(section.points[:, 1].argmax())]
    spans.insert(0, Span(name="over all, section to foot", start=_at(head), end=_at(foot)))
    pattern = Pattern(
        name=f"{run.name}, ends",
        member="timber",
        stock=run.stock,
        thickness=run.deep,
        laminations=run.laminations,
        quantity="1 port + 1 starboard" if run.mirrored else "1",
        face=(
            f"section {_looking(sizes)}, and for each end a paper to wrap round the "
            f"{'starboard timber' if run.mirrored else 'timber'}, print outward"
        ),
        sides=("", "", ""),
        half=False,
        template=True,
        lines=tuple(lines),
        marks=tuple(marks),
        spans=tuple(span for span in spans if _long(span) > LONG_ENOUGH),
        facts=(
            _wood_words(run),
            f"True length {boat.length_words(run.length)}, from its longest corner at one end to that at the other",
            "Wrap a paper with its folds on the timber's corners; the heavy edge is the cut"
            + ("; for port wrap it print inward" if run.mirrored else ""),
            *_more_words(boat, sizes),
        ),
        siding=1.0,
    )
    return (pattern,)


def _long(span: Span) -> float:
    return float(np.hypot(span.end[0] - span.start[0], span.end[1] - span.start[1]))


def _wood_words(run: Run) -> str:
    stock = f"{run.stock}, " if run.stock else ""
    size = f"{run.across:g} x {run.deep:g} mm"
    if run.laminations == 1:
        return f"{stock}{size}"
    return f"{stock}{size}: {run.laminations} laminations of {run.deep / run.laminations:g} mm"


def _middle(sizes: Measured) -> FloatArray:
    ring: FloatArray = sizes.rails[len(sizes.rails) // 2]
    return ring


def _flat_axes(sizes: Measured, place: int) -> tuple[FloatArray, FloatArray]:
    """The section's own axes at a place: across, and inward from its back (a keel: up)."""
    _, across, off = (axis[place] for axis in sizes.axes)
    ring = sizes.rails[place]
    inward = ring[2] - ring[1]
    return across, off * np.copysign(1.0, float(off @ inward))


def _looking(sizes: Measured) -> str:
    """How one looks at the section as it is drawn."""
    place = len(sizes.rails) // 2
    across, inward = _flat_axes(sizes, place)
    towards = cross(across, inward)
    return "seen looking forward" if float(towards @ sizes.axes[0][place]) < 0.0 else "seen looking aft"


def _section(sizes: Measured) -> tuple[Line, list[Mark], list[Span]]:
    """The section at the middle of the timber's length, its back down; marks and a distance."""
    run, place = sizes.run, len(sizes.rails) // 2
    across, inward = _flat_axes(sizes, place)
    ring = _middle(sizes)
    flat = np.column_stack([(ring - ring[0]) @ across, (ring - ring[0]) @ inward])
    flat = flat - flat.min(axis=0)
    middle = flat.mean(axis=0)
    marks = [Mark(name="section at\nthe middle", at=(float(middle[0]), float(middle[1])), word=True)]
    marks += [
        Mark(name=text, at=_mid(flat[j], flat[(j + 1) % len(flat)]), towards=_out(flat, j), length=5.0)
        for j, text in enumerate(_face_names(run))
        if text
    ]
    first, second = (1, 2) if run.mirrored else (2, 3)
    span = Span(name="section", start=_at(flat[first]), end=_at(flat[second]))
    return Line(kind=Kind.SAW, points=flat, closed=True), marks, [span]


def _at(point: FloatArray) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _mid(a: FloatArray, b: FloatArray) -> tuple[float, float]:
    return _at(0.5 * (a + b))


def _out(flat: FloatArray, j: int) -> tuple[float, float]:
    """Out of a section, square to its edge j."""
    edge = flat[(j + 1) % len(flat)] - flat[j]
    out = np.array([edge[1], -edge[0]]) / np.hypot(*edge)
    away = 0.5 * (flat[j] + flat[(j + 1) % len(flat)]) - flat.mean(axis=0)
    return _at(out * np.copysign(1.0, float(out @ away)))


def _face_names(run: Run) -> tuple[str, ...]:
    """What each face is called at the bench."""
    if not run.mirrored:
        return ("under, starboard", "starboard side", "top", "port side", "under, port")
    back = f"back, on the {run.lies_on[0]}"
    if run.kind == "rubbing rail":
        return (back, "upper edge", "face", "lower edge")
    if not run.lies_on[3]:
        return (back, "upper edge", "inner face", "lower edge")
    return (back, "square edge", "inner face", f"bevelled edge, on the {run.lies_on[3]}")


def _wrap(
    sizes: Measured, which: int, word: str
) -> tuple[FloatArray, list[FloatArray], list[tuple[str, FloatArray]]]:
    """The paper round one end: its outline (n, 2), the folds, and the words on its faces with their places.

    Laid out as seen from outside of the timber, the end up: across it the faces one beside the other, up it the
    lengths of the corners from a place square to the run.
    """
    run = sizes.run
    place = 0 if which == 0 else len(sizes.rails) - 1
    ring, tips = sizes.rails[place], run.corners[0 if which == 0 else -1]
    along = sizes.axes[0][place] * (-1.0 if which == 0 else 1.0)
    heights = np.array([float((tip - corner) @ along) for tip, corner in zip(tips, ring, strict=True)])
    for j in range(len(ring)):
        heights[j] = _arc(run, which, j, ring[j], heights[j])
    widths = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    round_ = np.concatenate([[0.0], np.cumsum(widths)])
    heights = np.append(heights, heights[0])
    # Seen from outside, with the end up, the faces follow to the right or to the left.
    edge = ring[1] - ring[0]
    out = ring[0] + 0.5 * edge - ring.mean(axis=0)
    if float(cross(edge, along) @ out) < 0.0:
        round_ = round_[-1] - round_
    base = float(heights.min()) - HOLD
    order = np.argsort(round_)
    cut = np.column_stack([round_[order], heights[order]])
    outline = np.vstack([[cut[0, 0], base], [cut[-1, 0], base], cut[::-1]])
    folds = [np.array([[x, base], [x, y]]) for x, y in cut[1:-1]]
    names = _face_names(run)
    said = [(f"{word} end", np.array([round_.mean(), base + 0.5 * HOLD]))]
    said += [(names[j], np.array([0.5 * (round_[j] + round_[j + 1]), base + 4.0])) for j in range(len(ring))]
    return outline, folds, said


def _arc(run: Run, which: int, corner: int, start: FloatArray, straight: float) -> float:
    """The length along one corner from a place near an end to its tip, mm."""
    line = run.corners[:, corner] if which == 0 else run.corners[::-1, corner]
    away = np.linalg.norm(line - start, axis=1)
    near = int(away.argmin())
    if near == 0 or straight <= 0.0:
        return straight
    steps = float(np.linalg.norm(np.diff(line[: near + 1], axis=0), axis=1).sum())
    step = line[near - 1] - line[near]
    return steps + float((line[near] - start) @ step) / float(np.linalg.norm(step))


def _more_words(boat: Boat, sizes: Measured) -> Iterator[str]:
    run = sizes.run
    for which, word in ((0, "After"), (1, "Fore")):
        yield f"{word} end, {end_words(sizes.end_cut(which))}"
    marks = passings(boat, sizes)
    frames = [mark for mark in marks if mark.name.startswith("frame ")]
    edge = f"{_face_names(run)[1]} at its back" if run.mirrored else "starboard edge of its top"
    if frames:
        yield f"Marks along the {edge}, from the after end: " + _mark_words(boat, frames)
    bevels = [mark for mark in marks if np.isfinite(mark.bevel)]
    if bevels:
        yield (
            "Bevelled edge, stock on the inner face: "
            + ", ".join(f"{mark.name} {_bevel(mark)}" for mark in bevels if mark in frames)
        )
    wide, place = sizes.widest
    if run.mirrored and wide > run.across + 0.5:
        yield (
            f"Before bevelling the stick is up to {np.ceil(wide):.0f} mm wide, {place:.0f} mm from its after end"
        )
    if sizes.unfayed is not None:
        words = unfayed_words(run, sizes.unfayed)
        yield words[0].upper() + words[1:]
    yield f"Bends {_bend_words(sizes.bend(edgewise=False), 'flat')}"
    yield f"Bends {_bend_words(sizes.bend(edgewise=True), 'edgewise')}"
    most, at = sizes.most_twist
    total = float(sizes.twists[-1])
    if abs(total) > TURNED or abs(most) > TURNED:
        yield (
            f"Twists by {abs(np.degrees(total)):.1f}° in all, most {abs(np.degrees(most)):.1f}° in 1 m, "
            f"{at:.0f} mm from the after end"
        )


def _bevel(mark: Passing) -> str:
    return bevel_words(mark.bevel).split(" (")[0]


def _mark_words(boat: Boat, marks: list[Passing]) -> str:
    return ", ".join(f"{mark.name} {mark.at:.0f} mm" for mark in marks)


def _bend_words(bend: Bend, way: str) -> str:
    if bend.radius > FLAT:
        return f"{way}: none"
    return f"{way} to a radius of {bend.radius / 1000.0:.1f} m, {bend.at:.0f} mm from the after end"


def unfayed_words(run: Run, stretch: Unfayed) -> str:
    """Where its edge does not lie on its other surface, and what is planed off there."""
    planed = f"plane up to {stretch.planed:.1f} mm off it" if stretch.planed > FAYS else "fit it"
    return (
        f"its edge does not lie on the {run.lies_on[3]} from {stretch.start:.0f} to {stretch.end:.0f} mm from its "
        f"after end: {planed} there"
    )


def end_words(cut: EndCut) -> str:
    """How an end is cut, in words."""
    against = f"{cut.against}: " if cut.against else ""
    back, edge = np.degrees([cut.on_back, cut.on_edge])
    return (
        f"{against}cut at {back:.1f}° on its back and {edge:.1f}° on its edge "
        f"({cut.long:.0f} mm from the shortest corner to the longest)"
    )


KIND = MemberKind(
    name="timber",
    order=160,
    pieces=pieces,
    tables=(
        Table(name="timber", model=KeelSpec, kinds=("keel",), bounds=keel_bounds),
        Table(name="timber", model=LaidSpec, kinds=("chine log", "clamp"), bounds=laid_bounds),
        Table(name="timber", model=StripSpec, kinds=("stringer", "batten"), bounds=laid_bounds),
        Table(name="timber", model=RubbingRailSpec, kinds=("rubbing rail",), bounds=laid_bounds),
        Table(name="timber", model=RibbandSpec, kinds=("ribband",), bounds=laid_bounds),
    ),
    rules=(
        laid_rules,
        running_rules,
    ),
    misses=timber_misses,
    starter=STARTER,
)
