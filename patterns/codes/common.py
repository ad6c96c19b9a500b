"""Codes of what any file, key or name may have wrong."""

from __future__ import annotations

from patterns.codes.severity import Severity

__all__ = ["MEANINGS"]

MEANINGS = {
    Severity.ERROR: {
        "angle-unreadable": "Text is not a valid angle.",
        "bare-number": "A key has a number without a unit, where a quantity in quotes is needed.",
        "cannot-read": "The system does not let a file be read.",
        "conflicting-keys": "Two keys are set that exclude each other.",
        "control-character": "A file contains a character that no text has.",
        "file-not-found": "A file that the command names does not exist.",
        "folder-exists": "The folder of a new design already exists.",
        "foreign-file": "A file in the output folder was not written by an earlier run, or was changed since.",
        "invalid-choice": "A word is none of those that may be written there.",
        "invalid-value": "A key's value is not of the kind that the key takes.",
        "large-file": "A file is far larger than any design or table.",
        "length-unreadable": "Text is not a valid length.",
        "name-unprintable": "A name has letters that the pages cannot print, or none at all.",
        "needed-key": "A key is missing that another key or the measured points make necessary.",
        "needless-key": "A key is set that does not apply there.",
        "not-utf-8": "A file is not valid UTF-8.",
        "out-of-range": "A quantity is smaller or larger than its key allows.",
        "outside-folder": "A file is named that lies outside of the design's folder.",
        "rate-unreadable": "Text is not a valid rise per length.",
        "same-file-name": "Two pieces have names that make one file name.",
        "same-name": "A name is used twice where each must have a name of its own.",
        "stray-minus": "A length has a minus inside it or two in front of it.",
        "too-great": "A size leaves no room or no wood beside it.",
        "too-long": "Text is longer than any that belongs there.",
        "unknown-name": "A name is used that nothing in the design or the table has.",
    },
    Severity.MISSING: {
        "missing-file": "A file that the design names is not there yet.",
        "missing-key": "A required key is not typed yet.",
        "missing-table": "A required table of the design is not typed yet.",
    },
}
