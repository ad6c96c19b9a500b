"""A model from a design folder: its pieces on pages with a key, in one file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import BinaryIO, Literal

import numpy as np

from patterns.boat import Boat
from patterns.errors import RequestError
from patterns.files.batch import batch, put_back, safe_name
from patterns.measure import BadLength, parse_length
from patterns.model.lifts import lift_pieces, lifts_of
from patterns.model.packed import packed
from patterns.model.parts import Strip, part_pieces, strips_of, unlaid_planks
from patterns.model.piece import ModelPiece
from patterns.model.slotted import slotted_pieces
from patterns.model.solid import solid_of
from patterns.model.words import CAUTION, HOW, JOINED
from patterns.numeric_errors import no_numeric_errors
from patterns.run.make import Made
from patterns.run.mark import short_mark
from patterns.run.page_request import PageRequest
from patterns.run.summary import UNDONE
from patterns.run.typed_values import typed_values
from patterns.shop.report import counted
from patterns.shop.views import SCALES
from patterns.subject import BoatSubject, load
from tiling.books.book import Book, Cover
from tiling.books.table_columns import BookRow, Column
from tiling.paper import Page
from tiling.paper.printers import Correction
from tiling.paper.scale import Scale

__all__ = ["ModelRequest", "ModelType", "make_model"]

ModelType = Literal["parts", "lifts", "slots"]
HEAD = 14.0  # mm of a page for its heading


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelRequest:
    """Which model.

    Attributes:
        type: the boat's own parts; lifts of a half model; a slotted model.
        board: the thickness of the model's boards, with its unit.
    """

    type: ModelType = "parts"
    board: str = "3 mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Model:
    """What goes into the file.

    Attributes:
        strips: for timbers that are bent of straight strips.
        unlaid: strakes for which no flat plank can be cut.
    """

    boat: Boat
    page: Page
    mark: str
    type: ModelType
    pieces: tuple[ModelPiece, ...]
    strips: tuple[Strip, ...] = ()
    unlaid: tuple[str, ...] = ()


def make_model(
    folder: Path,
    *,
    request: ModelRequest,
    page_request: PageRequest,
    into: Path | None = None,
    replace_files: bool = False,
) -> Made:
    """Make a model's pages and write them into one folder.

    At full size, which no model is, the largest common scale at which the boat fits a page is taken.

    Raises:
        DesignError, PatternsError, TilingError: nothing has been written then; a RequestError among them where what
            was asked for is at fault.
    """
    board = _board(request.board)
    with no_numeric_errors():
        subject = load(folder)
        if not isinstance(subject, BoatSubject):
            raise RequestError(
                "a model is made of a boat; this folder holds a repair: scrieve patterns makes its pieces"
            )
        boat = subject.boat
        page = _page(boat, page_request)
        model = _model(folder, subject, request, page, board)
    target = into if into is not None else Path(f"{safe_name(subject.title)} model{page.scale.in_names}")
    undone = (UNDONE,) if put_back(target) else ()
    name = f"{request.type}{page.scale.in_names}.pdf"
    with batch(target, replace=replace_files) as work, no_numeric_errors():
        with work.path(name).open("wb") as stream:
            count = _write(stream, model, page_request.correction)
        files = tuple(work.names)
    words = (
        f"{subject.title}: {counted(len(model.pieces), 'piece')} of a model, {request.type}, scale "
        f"{page.scale.words}, on {counted(count, 'page')} of {page.paper.name}, mark {model.mark}.",
        f"wrote {target / name}",
        "Print it at 100 % and measure the rulers of its first page before the rest.",
    )
    return Made(folder=target, words=(*undone, *words), files=files)


def _board(text: str) -> float:
    """The thickness of the model's boards, mm."""
    try:
        board = parse_length(text)
    except BadLength as error:
        raise RequestError(f"--board: {error}") from error
    if not 0.1 <= board <= 100.0:
        raise RequestError(f'--board "{text}": write the model\'s own board, from 0.1 mm to 100 mm thick')
    return board


def _page(boat: Boat, request: PageRequest) -> Page:
    """The page at the scale asked for, or at the largest at which the boat's length is that of a page."""
    page = request.page()
    if not page.scale.full:
        return page
    x0, y0, x1, y1 = page.window
    sheer = boat.hull.lines[boat.design.lines[-1].name]
    long = float(np.ptp(sheer.at(np.array([sheer.start, sheer.end]))[:, 0]))
    most = max(x1 - x0, y1 - y0 - 2.0 * HEAD) / (1.05 * long)
    over = next((scale for scale in SCALES if scale > 1 and 1.0 / scale <= most), SCALES[-1])
    return replace(page, scale=Scale(Fraction(1, over)))


def _model(folder: Path, subject: BoatSubject, request: ModelRequest, page: Page, board: float) -> _Model:
    boat = subject.boat
    thick, stock = page.scale.true(board), f"board of {request.board}"
    strips: tuple[Strip, ...] = ()
    unlaid: tuple[str, ...] = ()
    if request.type == "lifts":
        pieces = lift_pieces(boat, lifts_of(solid_of(boat.hull), thick), stock)
    elif request.type == "slots":
        pieces = slotted_pieces(boat, solid_of(boat.hull), thick, stock)
    else:
        pieces = part_pieces(subject, page.scale.factor)
        strips, unlaid = strips_of(boat, page.scale.factor), unlaid_planks(boat)
    mark = short_mark(
        typed_values(folder, subject.files),
        page.paper.name,
        page.landscape,
        page.scale.name,
        request.type,
        board,
    )
    return _Model(
        boat=boat, page=page, mark=mark, type=request.type, pieces=pieces, strips=strips, unlaid=unlaid
    )


def _write(stream: BinaryIO, model: _Model, correction: Correction | None) -> int:
    title = model.boat.design.boat.name
    cover = Cover(title=title, subject=f"model, {model.type}", mark=model.mark, creator="scrieve")
    book = Book(stream, cover, model.page, rulers=True, correction=correction)
    laid = packed(model.pieces, model.page.scale.factor, book.room, book.top - book.foot - HEAD)
    book.chapter("Key")
    for words in (*HOW[model.type], *((JOINED,) if laid.parted else ()), CAUTION):
        book.paragraph(words)
    _add_key(book, model.pieces, laid.of_piece)
    if model.strips:
        book.heading("Strips", listed=False)
        book.table(
            [Column(head="timber"), Column(head="count", align="right"), Column(head="size at this scale")],
            [BookRow(cells=cells) for cells in model.strips],
        )
    if model.unlaid:
        book.paragraph(
            f"No flat plank can be cut for: {', '.join(model.unlaid)}. Plank there with narrow strips."
        )
    for number, drawing in enumerate(laid.pages, start=1):
        book.chapter(f"Pieces, sheet {number}")
        book.picture(drawing)
    return book.finish()


def _add_key(book: Book, pieces: Sequence[ModelPiece], sheets: Sequence[tuple[int, ...]]) -> None:
    columns = [
        Column(head="number", align="right"), Column(head="piece", wraps=True), Column(head="count", align="right"),
        Column(head="cut of", wraps=True), Column(head="sheet"),
    ]  # fmt: skip
    rows = [
        BookRow(cells=(str(number), piece.name, str(piece.count), piece.stock, ", ".join(map(str, on))))
        for number, (piece, on) in enumerate(zip(pieces, sheets, strict=True), start=1)
    ]
    book.table(columns, rows)
