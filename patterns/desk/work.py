"""Long work in a process of its own, so that the table can be typed meanwhile: a line of JSON for each news of it.

It is run by the desk as ``python -m patterns.desk.work pieces FOLDER`` or ``... patterns FOLDER INTO PAPER QUICK``,
and ``... prove FILE``.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from patterns.errors import DesignError, PatternsError
from tiling.errors import TilingError

__all__ = ["main"]


def main(arguments: Sequence[str]) -> None:
    """Do one piece of work; what comes of it, or why nothing does, is the last line that is printed."""
    kind, *rest = arguments
    acts: Mapping[str, Callable[..., dict[str, Any]]] = {
        "pieces": _pieces,
        "patterns": _patterns,
        "prove": _prove,
    }
    try:
        _print(**acts[kind](*rest))
    except DesignError as error:
        _print(problems=[str(problem) for problem in error.problems])
    except (PatternsError, TilingError) as error:
        _print(problems=str(error).splitlines())


def _print(**news: Any) -> None:
    sys.stdout.write(json.dumps(news) + "\n")
    sys.stdout.flush()


def _progress(done: int, total: int) -> None:
    _print(done=done, total=total)


def _pieces(folder: str) -> dict[str, Any]:
    """Every piece as a drawing, and what only the made pieces show."""
    from patterns.design.confirmed import with_remedy
    from patterns.picture.plates import drawn
    from patterns.picture.shapes import pattern_plate
    from patterns.run.check import check

    found = check(folder)
    pieces = [
        {
            "name": pattern.name,
            "facts": [f"Quantity: {pattern.quantity}", f"Shows the {pattern.face}", *pattern.facts],
            "markup": drawn(pattern_plate(pattern, f"piece{number}")),
        }
        for number, pattern in enumerate(found.patterns)
    ]
    return {
        "problems": [str(problem) for problem in found.errors],
        "doubts": [str(with_remedy(problem)) for problem in found.of_pieces],
        "pieces": pieces,
    }


def _patterns(folder: str, into: str, paper: str, quick: str) -> dict[str, Any]:
    """The files for the printer; the same as ``scrieve patterns`` writes."""
    from patterns.run.make import make
    from patterns.run.page_request import PageRequest

    said: list[str] = []
    request = PageRequest(paper=paper or None)
    made = make(folder, into, request=request, quick=quick == "quick", progress=_progress)
    made.tell(said.append)
    return {"folder": str(made.folder), "files": list(made.files), "pages": made.pages, "words": said}


def _prove(file: str) -> dict[str, Any]:
    """A finished file measured by its own record."""
    from tiling.proof import prove

    proof = prove(Path(file), pictures=False)
    worst = max(proof.stroke_off, proof.seam_off, proof.ruler_off)
    return {
        "problems": list(proof.findings),
        "proof": f"{proof.pages} pages measured by the file's own record: the worst of {proof.vertices} vertices, "
        f"{proof.seams} match marks and {proof.rulers} rulers is {worst:.4f} mm off.",
    }


if __name__ == "__main__":
    main(sys.argv[1:])
