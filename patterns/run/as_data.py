"""What the commands find and make, as plain data for other programs (``--json``).

Lengths are in mm.  A finding has a code, which stays the same; its words are for people and
may change.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from patterns.codes import CODES
from patterns.errors import Problem

if TYPE_CHECKING:
    from patterns.assembly.proof import Assembly
    from patterns.fairing.bands import SpanBand
    from patterns.fairing.suspects import Suspect
    from patterns.findings import Findings
    from patterns.run.make import Made

__all__ = ["findings_data", "json_text", "made_data", "problems_data"]


def json_text(data: Mapping[str, Any]) -> str:
    """One JSON document."""
    return json.dumps(data, ensure_ascii=False, indent=1)


def problems_data(problems: Iterable[Problem]) -> list[dict[str, Any]]:
    """Each finding with its code, how grave it is, its place, what is wrong, and the remedy."""
    return [
        {
            "code": problem.code,
            "severity": CODES[problem.code].severity.value,
            "missing": problem.missing,
            "place": problem.place,
            "what": problem.what,
            "remedy": problem.want,
            "pieces": list(problem.pieces),
        }
        for problem in problems
    ]


def findings_data(found: Findings) -> dict[str, Any]:
    """What `check` finds."""
    return {
        "title": found.title,
        "status": found.status,
        "errors": problems_data(found.errors),
        "doubts": problems_data(found.doubts),
        "hints": problems_data(found.hints),
        "points in doubt": problems_data(found.points),
        "suspects": [_suspect(suspect) for suspect in found.suspects],
        "bands": [_band(band) for band in found.bands],
        "missing members": [
            {"name": each.name, "place": each.place, "what": each.what} for each in found.missing
        ],
        "patterns": [pattern.name for pattern in found.patterns],
        "assembly": None if found.assembly is None else _assembly(found.assembly),
    }


def _suspect(suspect: Suspect) -> dict[str, Any]:
    return {
        "place": str(suspect.place) if suspect.place else None,
        "line": suspect.line,
        "view": suspect.view,
        "at": suspect.label,
        "offset": suspect.offset,
        "wanted": suspect.wanted,
        "meant": suspect.meant,
        "slip": suspect.slip or None,
    }


def _band(band: SpanBand) -> dict[str, Any]:
    return {
        "line": band.line,
        "view": band.view,
        "from": band.first,
        "to": band.last,
        "half width": band.half_width,
        "rounding": band.rounding,
        "worst at": [band.x, band.z],
    }


def _assembly(assembly: Assembly) -> dict[str, Any]:
    return {
        "faults": [
            {
                "first": fault.first,
                "second": fault.second,
                "what": fault.what,
                "size": fault.size,
                "at": list(fault.at),
            }
            for fault in assembly.faults
        ],
        "touching, though not meant": [[each.first, each.second] for each in assembly.unmeant],
        "held by nothing": list(assembly.unheld),
        "not placed": list(assembly.left_out),
    }


def made_data(made: Made) -> dict[str, Any]:
    """What `patterns` made."""
    return {
        "folder": str(made.folder),
        "files": list(made.files),
        "patterns": [
            {"name": name, "first page": first, "last page": last} for name, first, last in made.patterns
        ],
        "pages": made.pages,
        "doubts": problems_data(made.problems),
    }
