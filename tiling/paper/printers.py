"""What a printer makes of a length, measured once on its own paper, and the stretch that undoes it.

A printer's error belongs to the paper's sides: it feeds along one of them and scans along the other, whichever way
the drawing lies.  So it is kept for the short and the long side, and a page that lies on its long side changes them
over.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path

from tiling.errors import TilingError
from tiling.paper.lengths import MM_PER_INCH
from tiling.paper.page import Page
from tiling.text.typeface import printable

__all__ = ["READ", "Correction", "doubts", "keep_printer", "kept_printers", "printer_named"]

READ = 0.25  # mm; how truly a steel rule is read by eye from disc to disc (our own figure)
MOST = 0.01  # of a length; more is no printer's error
FITTED = 0.005  # both sides short by more than this, and nearly alike, is page fitting
ALIKE = 0.0025  # of a length; two shares nearer than this are nearly alike
PRINTABLE = 6.35  # mm; a quarter of an inch is left blank by most home printers


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """What was measured on one printer's page.

    Attributes:
        printer: the user's name for it.
        paper: the paper's name.
        tray, feed: which tray it lay in and which edge went in first; may be empty.
        short, long: what was printed along the paper's short and long side, and what it measured, mm.
    """

    printer: str
    paper: str
    tray: str = ""
    feed: str = ""
    short: tuple[float, float]
    long: tuple[float, float]

    @staticmethod
    def _factor(pair: tuple[float, float]) -> float:
        due, measured = pair
        return 1.0 if abs(measured - due) < READ else due / measured

    def stretch(self, page: Page) -> tuple[float, float]:
        """By how much a page must be drawn larger, across and up, so that it comes out true.

        Below the reading error there is nothing to correct.
        Raises:
            TilingError: another paper, or the page would grow into the part that printers leave blank.
        """
        if self.paper not in (page.paper.name, *(paper.name for paper in page.paper.onto)):
            raise TilingError(
                f"printer {self.printer!r} was measured with {self.paper}, not {page.paper.name}; "
                "make a ruler page on that paper and measure it"
            )
        short, long = self._factor(self.short), self._factor(self.long)
        across, up = (long, short) if page.landscape else (short, long)
        grows = max(0.5 * (across - 1.0) * page.width, 0.5 * (up - 1.0) * page.height)
        if page.margin - grows < PRINTABLE:
            raise TilingError(
                f"enlarged for printer {self.printer!r} the page leaves {page.margin - grows:.1f} mm at its edge, "
                f"and printers leave {PRINTABLE:g} mm blank; make the margin {PRINTABLE + grows:.0f} mm or more"
            )
        return across, up

    def words(self) -> str:
        """What the pages say of it."""
        sides = f"short ×{self._factor(self.short):.4f}, long ×{self._factor(self.long):.4f}"
        return f"For printer {printable(self.printer)}: {sides}"


def doubts(correction: Correction) -> list[str]:
    """What makes the readings look like something else than this printer's own error."""
    shares = {}
    for side, (due, measured) in (("short", correction.short), ("long", correction.long)):
        shares[side] = measured / due
    found = []
    for side, (due, measured) in (("short", correction.short), ("long", correction.long)):
        other = correction.long if side == "short" else correction.short
        share = shares[side]
        if abs(share - 1.0) <= MOST:
            continue
        if abs(measured * MM_PER_INCH / due - 1.0) <= MOST:
            why = "that is its length in inches; write the unit, as 6.3 in"
        elif abs(measured / other[0] - 1.0) <= MOST:
            why = "that is the other ruler's length; the two sides seem to be changed over"
        else:
            why = "no printer is off by more than 1 %; the page was fitted or shrunk (print at 100 %, actual size)"
        found.append(f"the {side} side's {due:g} mm measured {measured:g} mm: {why}")
    short, long = shares["short"], shares["long"]
    if not found and max(short, long) < 1.0 - FITTED and abs(short - long) < ALIKE:
        found.append(
            f"both sides came out short, by {100 * (1 - short):.1f} and {100 * (1 - long):.1f} %: that is "
            "page fitting rather than the printer; print at 100 %, actual size, and measure again"
        )
    return found


def kept_printers(path: Path) -> dict[str, Correction]:
    """Every printer in the file, by its name in small letters; none where there is no file.

    Raises:
        TilingError: the file cannot be read.
    """
    try:
        listed = json.loads(path.read_text(encoding="utf-8"))
        found = [
            Correction(
                printer=str(entry["printer"]), paper=str(entry["paper"]), tray=str(entry["tray"]),
                feed=str(entry["feed"]), short=_pair(entry["short"]), long=_pair(entry["long"]),
            )
            for entry in listed
        ]  # fmt: skip
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise TilingError(f"{path}: cannot be read: {error.strerror or error}") from error
    except (ValueError, KeyError, TypeError) as error:
        raise TilingError(
            f"{path}: the list of printers cannot be read; move it away and measure again"
        ) from error
    return {correction.printer.casefold(): correction for correction in found}


def _pair(values: object) -> tuple[float, float]:
    if not isinstance(values, list) or len(values) != 2:
        raise ValueError(values)
    due, measured = (float(value) for value in values)
    if not (0.0 < due < 1e5 and 0.5 < measured / due < 2.0):
        raise ValueError(values)
    return due, measured


def keep_printer(path: Path, correction: Correction) -> None:
    """Write a printer into the file, in place of one of that name.

    Raises:
        TilingError: the file cannot be read or written.
    """
    kept = kept_printers(path)
    kept[correction.printer.casefold()] = correction
    text = json.dumps([asdict(known) for known in kept.values()], indent=1)
    temporary = path.with_name(f".{path.name}.being-written")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary.write_text(text, encoding="utf-8")
        os.replace(temporary, path)
    except OSError as error:
        raise TilingError(f"{path}: cannot be written: {error.strerror or error}") from error


def printer_named(path: Path, name: str) -> Correction:
    """The printer of that name.

    Raises:
        TilingError: there is none; those that are known are listed.
    """
    kept = kept_printers(path)
    found = kept.get(name.strip().casefold())
    if found is None:
        known = ", ".join(correction.printer for correction in kept.values()) or "none yet"
        raise TilingError(f"printer {name!r} was not measured yet (known: {known}); see scrieve ruler --help")
    return found
