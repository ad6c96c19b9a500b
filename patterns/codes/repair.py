"""Codes of findings in the measured points of a repair and in its design file."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "bad-name": "A name is too long, or has characters that do not print.",
        "bevel-impossible": "A gauge's reading is not a possible bevel of a frame.",
        "butts-in-line": "Both layers of a double-sawn frame butt at one point.",
        "centreline-unknown": "Something needs the centreline, which was not measured.",
        "distance-not-positive": "A distance from a nail is not more than 0.",
        "distances-do-not-meet": "Two distances from two nails do not meet in a point.",
        "edge-folds-back": "The edge through the points folds back on itself.",
        "gusset-off-joint": "A gusset is at a point where no two stretches meet.",
        "nails-count": "A point is measured from fewer than two or more than three nails.",
        "nails-in-line": "A point's three nails are in a line, so that it may lie on either side of them.",
        "nails-same-place": "Two nails that place something are at one place.",
        "name-with-space": "A nail's name has a space in it.",
        "neighbours-on-one-side": "Two neighbouring frames are on the same side of the broken one.",
        "no-points": "The file of points has no points.",
        "notch-off-stretch": "A notch's point is not on the stretch that its timber lies on.",
        "notch-too-deep": "A notch is as deep as the frame.",
        "one-side-measured": "Something needs both sides, and one only was measured.",
        "part-in-halves": "A part between points is made in halves.",
        "part-points-order": "The lower point of a part lies above its upper point.",
        "point-without-name": "A row of the points has no name of its edge or point.",
        "points-order": "The points run from the head down.",
        "points-same-place": "Two points are at one place.",
        "side-not-measured": "A side is named that was not measured.",
        "side-of-nails-missing": "Two distances alone leave open on which side of the nails the point lies.",
        "side-undefined": "A line runs the very way in which its side is named.",
        "sides-without-mean": "The two sides have different corners, so that they have no mean.",
        "sister-without-bevel": "A sister is to be made, and a bevel of its side is not known.",
        "too-few-points": "There are fewer points than an edge needs.",
        "turn-without-corner": "The edge's name changes between two points, and neither is a corner.",
        "value-missing": "A measured value of a point is missing.",
        "value-too-many": "A point has more values than its method has.",
    },
    Severity.DOUBT: {
        "bevel-sense": "Nothing proves whether the hull gets fuller or finer going aft at the frame.",
        "sides-apart": "The sides differ more than boats' sides do, and no fault of measuring explains it.",
    },
    Severity.HINT: {
        "bevel-from-one-neighbour": "A stretch's bevel is known from one neighbouring frame alone.",
        "bevel-unknown": "A stretch's bevel is not known.",
        "bevels-reversed": "Bevels may have been read the other way round, or the neighbours be exchanged.",
        "cause-unclear": "The readings disagree, and more than one cause would explain it.",
        "corner-unmarked": "The edge turns sharply at a point that is not marked as a corner.",
        "edge-explained": "What would put points in order that make no edge.",
        "neighbour-without-stretch": "A neighbouring frame lacks a stretch of the broken one.",
        "place-unproved": "A nail or a straight edge may be elsewhere, and these readings would not show it.",
        "reference-misplaced": "A nail, a straight edge or the centreline was elsewhere than the design file says.",
        "reference-turned": "A straight edge was not plumb or level.",
        "stretch-uncertain": "The edge between two points is known to no better than some mm.",
        "suspect-bevel": "A bevel does not fit the others along its stretch and on the other side.",
        "suspect-point": "A reading of a point does not fit all others.",
        "suspect-run": "Several readings that follow each other are off by the same length.",
        "units-suspect": "Readings fit better in another unit than the file says.",
    },
}
