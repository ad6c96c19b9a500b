"""What the page may ask of the desk, and nothing else."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

__all__ = [
    "AddColumn",
    "AddRow",
    "AddTable",
    "CellsTyped",
    "DeskRequest",
    "DropColumn",
    "DropRow",
    "FileRequest",
    "NewsWanted",
    "Redo",
    "SetKey",
    "StartWork",
    "StopWork",
    "Undo",
    "read_request",
]

Number = Annotated[int, Field(ge=0, le=10_000)]
Words = Annotated[str, Field(max_length=10_000)]


class _Request(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class NewsWanted(_Request):
    """What has changed since the page saw it; the answer waits until something has."""

    do: Literal["news"]
    seen: dict[Annotated[str, Field(max_length=40)], int]


class FileRequest(_Request):
    """An edit of one file, as it was when it had the digest ``base``."""

    file: Annotated[str, Field(max_length=300)]
    base: Annotated[str, Field(max_length=64)]


class CellsTyped(FileRequest):
    """Cells by row (from 1) and column (from 0); edits of the same ``typing`` are one step of undo."""

    do: Literal["cells"]
    cells: Annotated[list[tuple[Number, Number, Words]], Field(max_length=100_000)]
    typing: int | None = None


class AddColumn(FileRequest):
    """An empty column before one that is there, with its heading in the first row that is read."""

    do: Literal["add column"]
    at: Number
    heading: Words


class DropColumn(FileRequest):
    """One column less."""

    do: Literal["drop column"]
    at: Number


class AddRow(FileRequest):
    """A row before one that is there."""

    do: Literal["add row"]
    at: Number
    cells: Annotated[list[Words], Field(max_length=200)]


class DropRow(FileRequest):
    """One row less."""

    do: Literal["drop row"]
    at: Number


class SetKey(FileRequest):
    """A key of the design file; no value takes it out."""

    do: Literal["set key"]
    table: Annotated[str, Field(max_length=100)]
    number: Number
    key: Annotated[str, Field(max_length=100, pattern=r"^[A-Za-z0-9_-]+$")]
    value: Words | Annotated[list[Words], Field(max_length=1000)] | None


class AddTable(FileRequest):
    """One more table in the design file, of a kind where there are several."""

    do: Literal["add table"]
    table: Annotated[str, Field(max_length=100)]
    kind: Annotated[str, Field(max_length=100)]


class StartWork(_Request):
    """Long work in the background."""

    do: Literal["work"]
    kind: Literal["pieces", "patterns", "prove"]
    paper: Literal["", "a4", "letter"] = ""
    quick: bool = False


class StopWork(_Request):
    """Give up what runs in the background."""

    do: Literal["stop"]


class Undo(FileRequest):
    """The last edit taken back."""

    do: Literal["undo"]


class Redo(FileRequest):
    """What was taken back done again."""

    do: Literal["redo"]


DeskRequest = (
    NewsWanted
    | StartWork
    | StopWork
    | CellsTyped
    | AddColumn
    | DropColumn
    | AddRow
    | DropRow
    | SetKey
    | AddTable
    | Undo
    | Redo
)

_READER: TypeAdapter[DeskRequest] = TypeAdapter(Annotated[DeskRequest, Field(discriminator="do")])


def read_request(body: bytes) -> DeskRequest:
    """A request from its JSON.

    Raises:
        ValueError: it is none.
    """
    return _READER.validate_json(body, strict=True)
