"""The papers of a long timber: its section, and a paper to wrap round each of its ends.

A timber is too long to be printed, and it need not be: it is sawn to a straight stick of its section, marked off
by its true lengths, and cut at each end along the edge of a paper wrapped round it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

import numpy as np

from patterns.boat import Boat
from patterns.drawing.hands import quantity_words
from patterns.flat.shapes import HAIR
from patterns.hull.planes import FloatArray, cross
from patterns.pattern import Kind, Line, Mark, Pattern, Span
from patterns.text.wood_facts import Template, said
from patterns.timbers.long_piece import LongPiece
from patterns.timbers.measured import TimberSizes
from patterns.timbers.run import Run
from patterns.wood.work_stage import WorkStage

__all__ = ["face_names", "papers_of"]

HOLD = 45.0  # mm of paper below the cut's nearest corner, to wrap the timber in
APART = 22.0  # mm between the section and the papers
LETTER = 2.6  # mm of a line for each letter of a name that stands on its face
LAST = 1000  # its place among the kinds of its stage
LONG_ENOUGH = 60.0  # mm; a shorter distance proves nothing of the scale


def papers_of(boat: Boat, piece: LongPiece, words: Mapping[str, Template]) -> Pattern:
    """The record of a long timber's papers.

    Args:
        words: templates for its facts.
    """
    run, sizes = piece.run, piece.sizes
    section, section_marks, spans = _section(piece)
    lines, marks = [section], section_marks
    low = float(section.points[:, 1].min())
    for which, word in ((0, "after"), (1, "fore")):
        paper, folds, captions = _wrap(sizes, which, word)
        shift = np.array([0.0, low - APART - float(paper[:, 1].max())])
        low = float(paper[:, 1].min() + shift[1])
        lines.append(Line(kind=Kind.SAW, points=paper + shift, closed=True))
        lines += [Line(kind=Kind.REFERENCE, points=fold + shift) for fold in folds]
        marks += [
            Mark(name=text, at=(float(at[0]), float(at[1] + shift[1])), word=True) for text, at in captions
        ]
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
    return Pattern(
        name=f"{piece.name}, ends",
        member="timber",
        stock=piece.stock.wood,
        thickness=piece.stock.thickness,
        laminations=piece.stock.laminations,
        quantity=quantity_words(piece.hand),
        hand=piece.hand,
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
        facts=tuple(said(fact, boat.length_words, words) for fact in piece.facts),
        known=piece.facts,
        siding=1.0,
        in_boat=(np.vstack([sizes.rails[:, 1], sizes.rails[::-1, 2]]),),
        work=(WorkStage.STEM_AND_KEEL, LAST)
        if run.kind == "keel"
        else (0, 0),  # it lies with the stem in the set-up
    )


def _long(span: Span) -> float:
    return float(np.hypot(span.end[0] - span.start[0], span.end[1] - span.start[1]))


def _flat_axes(sizes: TimberSizes, place: int) -> tuple[FloatArray, FloatArray]:
    """The section's own axes at a place: across, and inward from its back (a keel: up)."""
    _, across, off = (axis[place] for axis in sizes.axes)
    ring = sizes.rails[place]
    inward = ring[2] - ring[1]
    return across, off * np.copysign(1.0, float(off @ inward))


def _looking(sizes: TimberSizes) -> str:
    """How one looks at the section as it is drawn."""
    place = len(sizes.rails) // 2
    across, inward = _flat_axes(sizes, place)
    towards = cross(across, inward)
    return "seen looking forward" if float(towards @ sizes.axes[0][place]) < 0.0 else "seen looking aft"


def _section(piece: LongPiece) -> tuple[Line, list[Mark], list[Span]]:
    """The section at the middle of the timber's length, its back down; marks and a distance."""
    run = piece.run
    flat = np.asarray(piece.section(piece.middle).area.exterior.coords)[:-1]
    flat = flat * [1.0, np.copysign(1.0, float(flat[2, 1] - flat[1, 1]))]
    flat = flat - flat.min(axis=0)
    middle = flat.mean(axis=0)
    marks = [Mark(name="section at\nthe middle", at=(float(middle[0]), float(middle[1])), word=True)]
    marks += [
        Mark(name=text, at=_mid(flat[j], flat[(j + 1) % len(flat)]), towards=_out(flat, j), length=5.0)
        for j, text in enumerate(face_names(run))
        if text and float(np.hypot(*(flat[(j + 1) % len(flat)] - flat[j]))) > HAIR  # else it is planed away
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


def face_names(run: Run) -> tuple[str, ...]:
    """What each face is called at the bench."""
    if not run.mirrored:
        return ("under, starboard", "starboard side", "top", "port side", "under, port")
    back = f"back, on the {run.lies_on[0]}"
    if run.kind == "rubbing rail":
        return (back, "upper edge", "face", "lower edge")
    if run.lies_on[0] == "deck":
        return (back, "outboard edge", "under face", "inboard edge")
    if not run.lies_on[3]:
        return (back, "upper edge", "inner face", "lower edge")
    return (back, "square edge", "inner face", f"bevelled edge, on the {run.lies_on[3]}")


def _wrap(
    sizes: TimberSizes, which: int, word: str
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
    names = face_names(run)
    said = [(f"{word} end", np.array([round_.mean(), base + 0.5 * HOLD]))]
    said += [
        (
            "\n".join(textwrap.wrap(names[j], max(int(widths[j] / LETTER), 1), break_long_words=False)),
            np.array([0.5 * (round_[j] + round_[j + 1]), base + 0.2 * HOLD]),
        )
        for j in range(len(ring))
        if widths[j] > LETTER  # else it is planed away, or nearly so
    ]
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
