"""The test page, and what a printer's own page measured."""

from __future__ import annotations

import os
from pathlib import Path

from patterns.errors import RequestError
from patterns.files.batch import cannot_write
from patterns.run.page_request import PageRequest
from tiling.errors import TilingError
from tiling.pages.ruler_page import ruler_lengths, ruler_sheet, write_ruler_page
from tiling.paper.lengths import parse_length
from tiling.paper.printers import Correction, doubts, keep_printer

__all__ = ["make_ruler", "measure_printer"]


def make_ruler(request: PageRequest, path: Path, *, replace: bool) -> list[str]:
    """Write the test page.

    Raises:
        RequestError: a file of that name exists and ``replace`` is not set.
    """
    if path.exists() and not replace:
        raise RequestError(f"{path}: already exists; name another file, or use --force to overwrite it")
    page = ruler_sheet(request.page(rolls=True))
    temporary = path.with_name(f".{path.name}.being-written")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_ruler_page(page, temporary, correction=request.correction)
        os.replace(temporary, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        temporary.unlink(missing_ok=True)
    return [
        f"wrote {path} ({page.paper.name})",
        "Print it at 100 % (actual size) and measure both long rulers with a steel rule.",
    ]


def measure_printer(
    request: PageRequest, kept: Path, *, printer: str, short: str, long: str, tray: str, feed: str, sure: bool
) -> list[str]:
    """Keep what a printer's test page measured.

    Args:
        kept: the file of printers.
        short, long: as measured between the discs of the rulers along the paper's short and long side.
        sure: readings that look like something else are kept all the same.
    Raises:
        RequestError: a length that cannot be read, or readings in doubt (all doubts are listed).
        TilingError: the file cannot be read or written.
    """
    page = ruler_sheet(request.page(rolls=True))
    due = ruler_lengths(page)
    measured = []
    for option, text in (("--short-side", short), ("--long-side", long)):
        try:
            measured.append(parse_length(text))
        except TilingError as error:
            raise RequestError(f"{option}: {error}") from error
    correction = Correction(
        printer=printer, paper=page.paper.name, tray=tray, feed=feed,
        short=(due[0], measured[0]), long=(due[1], measured[1]),
    )  # fmt: skip
    found = doubts(correction)
    if found and not sure:
        raise RequestError("\n".join([*found, "use --yes to keep these readings"]))
    correction.stretch(page)
    keep_printer(kept, correction)
    return [
        f"{correction.words()} ({page.paper.name}); kept in {kept}",
        f'Next: scrieve ruler --force --printer "{printer}"; print it and measure again. '
        f'Both rulers are true then, and scrieve patterns --printer "{printer}" is too.',
    ]
