"""Codes of findings in the design file alone."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "breadth-over-length": "A sheet's breadth is more than its length.",
        "clinker-sections": "A clinker plank has other sections than straight ones.",
        "cross-planks-not-flat": "A bottom that is not declared flat is planked across.",
        "cross-piece-without-legs": "A set-up has a cross piece without legs.",
        "deep-nesting": "The design file nests its tables deeper than any design.",
        "end-given-twice": "The design gives one end of the boat twice.",
        "flat-bottom-without-chine": "A flat bottom is declared without a chine beside it.",
        "invalid-toml": "A line of the design file breaks the rules of its format.",
        "level-diagonal": "A diagonal runs level, as a waterline does.",
        "lining-over-lines": "Planks are lined off over lines of the table that part them.",
        "lining-to-sternpost": "Planks that end on a sternpost are lined off.",
        "lines-not-neighbours": "A strake is drawn between two lines that are not neighbours.",
        "no-design": "The folder has no design file.",
        "no-folder": "The folder that the command names does not exist.",
        "no-strake-between": "No strake lies between two neighbouring lines.",
        "not-a-station": "A key needs a station and has something else.",
        "not-a-table": "A part of the design is not written as a table.",
        "places-in-a-ring": "The places of entries follow from one another in a ring.",
        "round-between-lines": "A round bilge has lines of the design between keel and sheer.",
        "round-with-other-ends": "A round bilge has other ends than a stem at the bow and a transom at the stern.",
        "round-without-rows": "A round bilge has no waterline, buttock or diagonal.",
        "rows-without-round": "The design has a waterline, buttock or diagonal, and no strake is round.",
        "same-file": "One file is named for two tables.",
        "same-level": "Two rows of a round bilge lie at the same place.",
        "strake-given-twice": "Two strakes lie between the same lines.",
        "thickness-over-breadth": "A timber's thickness is not less than its breadth.",
        "too-many-entries": "The design has more entries of a kind than any boat.",
        "unknown-key": "A key is none of those that its table has.",
        "unknown-kind": "A kind is none of those that may be written there.",
        "unknown-table": "A table is none of those that a design has.",
        "upper-line-first": "A strake names its upper line before its lower one.",
    },
    Severity.DOUBT: {
        "cut-through": "A piece is cut through by what is let into it.",
        "high-crown": "The deck's crown is higher than decks have it.",
        "large-move": "The design allows larger moves than fairing should make.",
        "low-crown": "The deck's crown is lower than decks have it.",
        "stock-thickness": "A piece's siding is not the thickness that its stock names.",
        "thick-planking": "The planking is thicker than boats of this kind have it.",
        "thick-wood": "A size is larger than pieces of its kind have it.",
        "thin-planking": "The planking is thinner than boats of this kind have it.",
        "thin-wood": "A size is smaller than pieces of its kind have it.",
    },
    Severity.HINT: {
        "needless-confirmation": "A code is confirmed, and the design has no such doubt.",
    },
}
