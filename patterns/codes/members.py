"""Codes of findings in the keys of one member, by the rules of its kind."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "bounds-reversed": "Of two bounds of a panel or an opening the greater is given for the lesser.",
        "canted-frame": "A member needs an upright frame, and the frame that it names is canted.",
        "canted-frame-in-pieces": "A canted frame has pieces or a top piece, which it cannot have.",
        "clamp-off-sheer": "A clamp follows another line than the sheer.",
        "end-impossible": "A timber ends at a piece in a way that the piece cannot have.",
        "half-lap-alone": "A half lap is chosen where no two pieces meet in one.",
        "inner-line-in-pieces": "An inner line is given for a frame that is not one upright or raked ring.",
        "inner-line-turns-back": "A point of a frame's inner line goes back in or down.",
        "keel-given-twice": "The design has two keels.",
        "knee-at-other-end": "A knee is placed at an end of the boat that has not what it joins.",
        "lap-given-twice": "A strake's lap with its neighbour is given twice.",
        "lap-off-strake": "A strake's lap names a chine that the strake does not have.",
        "laps-disagree": "Two strakes disagree about which of them laps over the other.",
        "let-in-too-deep": "A member is let in deeper than its own moulding.",
        "needed-lap": "A strake does not say how it laps at one of its chines.",
        "no-chine": "A member needs a chine, and the boat has one strake a side.",
        "no-clamp": "A member needs a clamp, and the design has none there.",
        "no-deck": "A member or key needs a deck, and the design has none.",
        "no-framing": "A key is for a transom's framing, and the transom has none.",
        "no-joints": "A member is for a frame's joints, and the frame is one ring.",
        "no-transom": "A member is for a transom, and the stern has none.",
        "not-a-chine": "A timber follows a line that is not a chine.",
        "not-a-lap": "Words do not say which strake laps over which.",
        "not-a-whole-beam": "A member needs a beam across the whole boat under the deck, and names another.",
        "opening-impossible": "An opening cannot be made in the panel that it names, or has no shape.",
        "panel-not-level": "A panel is to stand under another, which does not lie level.",
        "pattern-given-twice": "A strake has two patterns.",
        "rail-at-keel": "A rubbing rail follows the keel.",
        "round-strake-flat": "A flat pattern is asked for of a round strake.",
        "siding-into-frame": "A beam's siding runs into the frame beside it.",
        "strake-above-line": "A rubbing rail lies against a strake above its line.",
        "strake-off-line": "A timber lies against a strake that does not meet its line.",
        "strips-off-depth": "A stem's strips do not make up its depth.",
        "throat-too-deep": "A knee's throat is too deep for its arms.",
        "top-not-above-bottom": "A beam's top is not above its bottom.",
    },
}
