"""A finished file measured against its own record, page by page.

Two things are held against what is painted on the paper, through all matrices of the file.  The patterns as they
were laid out, made from the values of the plan, say where strokes, marks, words and rulers should be; they are
measured vertex by vertex, as a curve compared with a curve could hide a shift along itself.  The record of ink says
of every page all that is painted and how it looks: nothing may be missing, nothing else may be there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from tiling.drawing import XY, FloatArray
from tiling.errors import TilingError
from tiling.paper import Box
from tiling.pdf.graphics_state import moved
from tiling.pdf.ink_record import INDEX
from tiling.pdf.page_content import PageContent
from tiling.proof.expected_pages import ExpectedPattern, Key, Record, read_pattern, read_record
from tiling.proof.ink_comparison import NEAR, differences
from tiling.proof.ink_samples import RecordDrawing
from tiling.proof.intended_ink import IntendedInk, one_after_the_other
from tiling.proof.measuring import displaced, length_within, nearest
from tiling.proof.page_ink import PageInk
from tiling.proof.pdf_reader import BROKEN, FinishedFile, FinishedPage, open_file, reason
from tiling.proof.print_state import file_state
from tiling.proof.raster_witness import InkSeen, RasterWitness
from tiling.text.typeface import printable, text_width

__all__ = ["ALLOWED", "Proof", "prove"]

ALLOWED = NEAR
SCALE = 1e-5  # part; 0.02 mm over the longest side of an A4 page
GROUP = 0.05  # mm; displaced strokes nearer together than this were displaced alike
ALTERED = (
    "the record was altered, or is that of another file: its digest is not the one in the file's description; "
    "what is said below of pages may be the record's fault"
)
MOST = 6  # findings that are listed for one page
_NUMBER = re.compile(r"page (\d+) of (\d+)$")
_SET = re.compile(r"(?:^|^(.*) – )(?:set|no\.) (\d+) of (\d+)$")


@dataclass(slots=True, kw_only=True)
class Proof:
    """What was measured, and what is wrong.

    Attributes:
        title, mark: of the file.
        pages: in the file; ``total`` in the whole job.
        stretch: by which the pages are drawn larger on purpose, across and up; everything else is told without it.
        drawn_at: the scale of the drawings, as ``1:4``; everything is measured in mm on paper.
        scale: the page's scale that is farthest from 1.
        vertices, stroke_off: how many vertices of strokes were measured, and the farthest that one stands off, mm.
        seams, seam_off: how many marks were compared across seams, and the most by which two disagree, mm.
        words, words_off: how many lines of words, and the farthest off, mm.
        rulers, ruler_off: how many rulers, and the most by which one is long or short, mm.
        pictures: how many pages were drawn by another program too, and held against the record's own drawing;
            ``seen`` what they show at worst.
        findings: what is wrong; empty where all is well.
    """

    title: str
    mark: str
    pages: int = 0
    total: int = 0
    stretch: XY = (1.0, 1.0)
    drawn_at: str = "1:1"
    scale: float = 1.0
    vertices: int = 0
    stroke_off: float = 0.0
    seams: int = 0
    seam_off: float = 0.0
    words: int = 0
    words_off: float = 0.0
    rulers: int = 0
    ruler_off: float = 0.0
    pictures: int = 0
    seen: InkSeen = field(default_factory=InkSeen)
    findings: list[str] = field(default_factory=list)


def prove(path: Path, *, pictures: bool = False) -> Proof:
    """Measure a finished file.

    Args:
        pictures: let another program draw its pages too (see `raster_witness`).
    Raises:
        TilingError: it cannot be read, or holds no record to be measured by.
    """
    file = open_file(path)
    try:
        record = read_record(file)
        file.meant = IntendedInk(file.attached(INDEX), file.attached_bytes)
    except TilingError as error:
        raise TilingError(f"{path}: {error}") from error
    file.stretch = record.stretch
    proof = Proof(
        title=record.title,
        mark=record.mark,
        pages=file.pages,
        total=record.due,
        stretch=record.stretch,
        drawn_at=record.scale,
    )
    try:
        if not file.record_is_whole():
            proof.findings.append(ALTERED)
        proof.findings += file_state(file.reader.trailer["/Root"])
        witness = RasterWitness(path, record.stretch) if pictures else None
        try:
            _Prover(file, record, proof, witness).run()
        finally:
            if witness is not None:
                witness.close()
    except BROKEN as error:
        proof.findings.append(f"the file is damaged and cannot be read to its end ({reason(error)})")
    return proof


class _Prover:
    """The pages of one file, one after the other."""

    def __init__(
        self, file: FinishedFile, record: Record, proof: Proof, witness: RasterWitness | None
    ) -> None:
        self._file, self._record, self._proof, self._witness = file, record, proof, witness
        assert file.meant is not None
        self._meant = file.meant
        forms = {name: file.due_form(name) for name in self._meant.forms}
        self._drawing = RecordDrawing(forms, file.decoded)
        self._patterns: dict[int, ExpectedPattern] = {}
        self._left: dict[int, int] = {}  # pages still to come, by pattern
        self._left_in: dict[Key, int] = {}  # and by set and pattern
        for (one, _), (_, which) in record.pages.items():
            self._left[which] = self._left.get(which, 0) + 1
            self._left_in[one, which] = self._left_in.get((one, which), 0) + 1
        # Measured marks in the grid, by set and pattern, and by the page's number
        self._marks: dict[Key, dict[int, FloatArray]] = {}
        self._place = {key: place for place, key in enumerate(record.pages)}
        self._written = list(record.pages)  # the pages in the order in which they were written

    def run(self) -> None:
        found: set[Key] = set()
        for index in range(self._file.pages):
            try:
                sheet = self._file.sheet(index)
                key = self._key(sheet, index)
                if key in found:
                    self._say(f"{self._called(key)} is in the file twice")
                if key is not None:
                    self._page(sheet, key, index)
                    found.add(key)
            except TilingError as error:
                self._say(str(error))
        for key, (name, _) in self._record.pages.items():
            if key not in found:
                self._say(f"{self._called(key)} ({name}) is missing")
        for key in list(self._marks):
            self._across_seams(key)

    def _say(self, finding: str) -> None:
        self._proof.findings.append(finding)

    def _called(self, key: Key | None) -> str:
        """What a page is called: its number, and its set where there are any."""
        one, number = key or (0, 0)
        return f"page {number} of set {one}" if one else f"page {number}"

    def _key(self, sheet: FinishedPage, index: int) -> Key | None:
        """The page's set, and its number, as they are printed on it."""
        one = self._set(sheet)
        total = self._record.first if self._record.sets and not one else self._record.total
        for said in reversed(sheet.drawn.said):
            match = _NUMBER.search(said.text)
            if match and (one, int(match[1])) in self._record.pages and int(match[2]) == total:
                return one, int(match[1])
        self._say(f"page {index + 1} of the file says no number that belongs to it")
        return self._written[index] if self._file.pages == len(self._written) else None

    def _set(self, sheet: FinishedPage) -> int:
        """The number of the set that a page names; 0 where it names none that is in this file."""
        if not self._record.sets:
            return 0
        for said in reversed(sheet.drawn.said):
            match = _SET.search(said.text)
            if match and int(match[2]) in self._record.owners and int(match[3]) == self._record.sets:
                return int(match[2])
        return 0

    def _page(self, sheet: FinishedPage, key: Key, index: int) -> None:
        name, which = self._record.pages[key]
        where = f"{self._called(key)} ({name})"
        found = [*self._paper(sheet), *self._rulers(sheet), *self._owner(sheet, key[0])]
        mark = (self._pattern(which).mark if which else "") or self._record.mark
        if mark and not any(f"Mark {mark}" in said.text for said in sheet.drawn.said):
            found.append(f"it does not say mark {mark}")
        if which:
            found += self._tile(sheet.drawn, key, which)
        units = self._meant.pages[self._place[key]]
        due = one_after_the_other([self._meant.unit(unit) for unit in units])
        found += differences(due, sheet.painted, self._file.decoded)
        found += self._picture(due, index)
        for finding in found[:MOST]:
            self._say(f"{where}: {finding}")
        if len(found) > MOST:
            self._say(f"{where}: {len(found) - MOST} more of the kind")

    def _picture(self, due: PageContent, index: int) -> Iterator[str]:
        """What another program's drawing of the page shows."""
        if self._witness is None:
            return
        seen = self._witness.look_at(index, self._drawing.samples(due))
        self._proof.pictures += 1
        self._proof.seen = self._proof.seen.worse(seen)
        yield from seen.findings()

    def _owner(self, sheet: FinishedPage, one: int) -> Iterator[str]:
        """A page of a set says whose it is; a long name may be elided."""
        if not one:
            return
        due = printable(self._record.owners[one])
        for said in sheet.drawn.said:
            match = _SET.search(said.text)
            if match and int(match[2]) == one:
                ahead, gap, behind = (match[1] or "").partition("…")
                same = due.startswith(ahead) and due.endswith(behind) if gap else ahead in ("", due)
                if not same:
                    yield f'it says "{match[1]}" where "{due}" is due'

    def _paper(self, sheet: FinishedPage) -> Iterator[str]:
        width, height = self._record.size
        if abs(sheet.width - width) > ALLOWED or abs(sheet.height - height) > ALLOWED:
            yield f"is {sheet.width:.1f} by {sheet.height:.1f} mm where {width:g} by {height:g} mm are due"
        yield from sheet.findings
        for way, scale in zip(("across", "up"), sheet.scale, strict=True):
            if abs(scale - 1.0) > abs(self._proof.scale - 1.0):
                self._proof.scale = scale
            if abs(scale - 1.0) > SCALE:
                yield f"its scale {way} is {scale:.5f}"

    def _rulers(self, sheet: FinishedPage) -> Iterator[str]:
        discs: list[XY] = []
        for stamp in sheet.drawn.stamps:
            if stamp.kind == "form Strips":
                form = self._file.form(stamp.form)
                discs += [moved(stamp.matrix, x, y) for x, y in form.discs]
                if self._record.warning and not any(self._record.warning in said.text for said in form.said):
                    yield f"does not say {self._record.warning}"
        for start, end in self._record.rulers:
            due = float(np.hypot(end[0] - start[0], end[1] - start[1]))
            ends = [nearest(discs, place) for place in (start, end)]
            if ends[0] is None or ends[1] is None:
                yield f"a disc of its {due:g} mm ruler is missing"
                continue
            length = float(np.hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]))
            self._proof.rulers += 1
            self._proof.ruler_off = max(self._proof.ruler_off, abs(length - due))
            if abs(length - due) > ALLOWED:
                yield f"its ruler of {due:g} mm is {length:.3f} mm long"

    def _pattern(self, which: int) -> ExpectedPattern:
        if which not in self._patterns:
            self._patterns[which] = read_pattern(self._file, which)
        return self._patterns[which]

    def _tile(self, drawn: PageInk, key: Key, which: int) -> list[str]:
        one, number = key
        pattern = self._pattern(which)
        shift = pattern.places[number]
        x0, y0, x1, y1 = self._record.window
        window = (x0 - shift[0], y0 - shift[1], x1 - shift[0], y1 - shift[1])
        found = [
            *self._strokes(drawn, pattern, shift, window),
            *self._discs(drawn, pattern, shift, window),
            *self._match_marks(drawn, pattern, shift, number, (one, which)),
            *self._words(drawn, pattern, shift, number, window),
        ]
        self._left[which] -= 1
        self._left_in[one, which] -= 1
        if not self._left_in[one, which]:
            self._across_seams((one, which))
        if not self._left[which]:  # its vertices are not needed any more
            del self._patterns[which]
        return found

    def _strokes(self, drawn: PageInk, pattern: ExpectedPattern, shift: XY, window: Box) -> Iterator[str]:
        runs = drawn.runs
        points = runs.points - shift
        off, way = displaced(points, pattern)
        self._proof.vertices += len(points)
        if len(off):
            self._proof.stroke_off = max(self._proof.stroke_off, float(off.max()))
        wrong = off > ALLOWED
        if wrong.any():
            dx, dy = np.median(way[wrong], axis=0)
            alike = np.hypot(*(way[wrong] - (dx, dy)).T) < GROUP
            words = f"{wrong.sum()} of {len(off)} vertices stand off their place, up to {off.max():.3f} mm"
            if alike.mean() > 0.8:
                words += f"; most by {dx:+.3f} mm across and {dy:+.3f} mm up"
            yield words
            return
        if drawn.clip is None or max(
            abs(a - (b + s)) for a, b, s in zip(drawn.clip, window, (*shift, *shift), strict=True)
        ) > ALLOWED:  # fmt: skip
            yield "its window is not where it should be"
        due = length_within(pattern.points[:-1][pattern.real], pattern.points[1:][pattern.real], window)
        kept = (runs.owner[1:] == runs.owner[:-1]) & runs.stroked[runs.owner[:-1]]
        there = length_within(points[:-1][kept], points[1:][kept], window)
        if abs(there - due) > 0.05 + 1e-5 * due:
            kind = "missing" if there < due else "too much"
            yield f"{abs(there - due):.1f} mm of its {due:.0f} mm of strokes are {kind}"

    def _discs(self, drawn: PageInk, pattern: ExpectedPattern, shift: XY, window: Box) -> Iterator[str]:
        x0, y0, x1, y1 = window
        for x, y in pattern.discs.tolist():
            if x0 < x < x1 and y0 < y < y1:
                there = nearest(drawn.discs, (x + shift[0], y + shift[1]))
                if there is None:
                    yield f"the spot due at {x + shift[0]:.1f}, {y + shift[1]:.1f} mm is missing"

    def _match_marks(
        self, drawn: PageInk, pattern: ExpectedPattern, shift: XY, number: int, key: Key
    ) -> Iterator[str]:
        there = (
            np.array([stamp.at for stamp in drawn.stamps if stamp.kind == "form Mark"]).reshape(-1, 2) - shift
        )
        self._marks.setdefault(key, {})[number] = there
        for x, y in pattern.marks.get(number, []):
            off = float(np.hypot(*(there - (x, y)).T).min(initial=np.inf))
            if off > ALLOWED:
                said = "is missing" if off > 5.0 else f"stands {off:.3f} mm off"
                yield f"the match mark due at {x + shift[0]:.1f}, {y + shift[1]:.1f} mm {said}"

    def _across_seams(self, key: Key) -> None:
        """Hold the marks of neighbours in one set against each other, as they will be held by eye."""
        pages = self._marks.pop(key, {})
        pattern = self._pattern(key[1])
        for over, under, marks in pattern.seams:
            if over not in pages or under not in pages:
                continue
            for mark in marks:
                ends = [nearest(pages[number].tolist(), mark) for number in (over, under)]
                if ends[0] is not None and ends[1] is not None:
                    off = float(np.hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]))
                    self._proof.seams += 1
                    self._proof.seam_off = max(self._proof.seam_off, off)

    def _words(
        self, drawn: PageInk, pattern: ExpectedPattern, shift: XY, number: int, window: Box
    ) -> Iterator[str]:
        there = [(said.text, (said.at[0] - shift[0], said.at[1] - shift[1])) for said in drawn.said]
        for word in pattern.words.get(number, []):
            near = [
                (float(np.hypot(at[0] - word.at[0], at[1] - word.at[1])), text)
                for text, at in there
                if abs(at[0] - word.at[0]) < 1.0 and abs(at[1] - word.at[1]) < 1.0
            ]
            same = [off for off, text in near if text == word.text]
            if not same:
                said = f'; found there: "{min(near)[1]}"' if near else ""
                yield f'the words "{word.text}" are missing{said}'
                continue
            off = min(same)
            self._proof.words += 1
            self._proof.words_off = max(self._proof.words_off, off)
            if off > ALLOWED:
                yield f'the words "{word.text}" stand {off:.3f} mm off'
            x, y = word.at
            if not (
                window[0] <= x and x + text_width(word.text, word.height) <= window[2] and y >= window[1]
            ):
                yield f'the words "{word.text}" are not whole on the page'
