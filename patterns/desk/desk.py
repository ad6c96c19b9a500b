"""The desk of one folder: its files, the newest look at them, and news for the page as soon as there are any."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from patterns.desk.edits import edited
from patterns.desk.files import DeskFile, DeskFiles
from patterns.desk.look import Look, first_look, look_at, look_data
from patterns.desk.requests import DeskRequest, FileRequest, NewsWanted, Redo, Undo
from patterns.errors import InternalError
from patterns.files.stamps import PAUSE, stamps_of
from patterns.table.sheet_text import SheetText, SheetTextError, sheet_text

__all__ = ["Desk"]

WAIT = 20.0  # seconds after which the page asks for news again
REST = 0.6  # seconds without an edit after which doubts are judged


class Desk:
    """A folder on the desk.

    Attributes:
        files: its files.
        news: what the page is shown, by section, each with a number that grows.
    """

    def __init__(self, folder: Path) -> None:
        self.files = DeskFiles(folder)
        self.news: dict[str, tuple[int, Any]] = {}
        self._number = 0
        self._changed = threading.Condition()
        self._stamps = stamps_of(self.files.folder)
        self._stale = True
        self._closed = False
        self._threads = [
            threading.Thread(target=work, daemon=True, name=work.__name__)
            for work in (self._watch, self._draw)
        ]
        with self._changed:
            self._tell_files()

    def open(self) -> None:
        """Begin to watch the folder and to draw it."""
        for thread in self._threads:
            thread.start()

    def close(self) -> None:
        """Let go of the folder."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()
        for thread in self._threads:
            if thread.ident is not None:
                thread.join()

    def answer(self, request: DeskRequest) -> Mapping[str, Any]:
        """What the page asked for.

        Raises:
            EditRefusedError, SheetTextError: the edit was not written.
            PatternsError: the folder cannot be written.
        """
        if isinstance(request, NewsWanted):
            return self._news_since(request.seen)
        with self._changed:
            try:
                file = self._write(request)
            finally:  # one that was refused may have found that another program was here
                self._stamps = stamps_of(self.files.folder)
                self._tell_files()
                self._stale = True
                self._changed.notify_all()
            return {"digest": file.digest, "serial": file.serial}

    def _write(self, request: FileRequest) -> DeskFile:
        if isinstance(request, Undo):
            return self.files.undo(request.file, request.base)
        if isinstance(request, Redo):
            return self.files.redo(request.file, request.base)
        return self.files.change(
            request.file, request.base, partial(edited, request), joined=getattr(request, "typing", None)
        )

    def _news_since(self, seen: Mapping[str, int]) -> Mapping[str, Any]:
        """The sections that have changed; it waits for the first."""

        def fresh() -> dict[str, Any]:
            return {
                name: {"number": number, "data": data}
                for name, (number, data) in self.news.items()
                if number > seen.get(name, 0)
            }

        with self._changed:
            self._changed.wait_for(lambda: self._closed or fresh(), timeout=WAIT)
            return fresh()

    def _tell(self, section: str, data: Any) -> None:
        if self.news.get(section, (0, None))[1] != data:
            self._number += 1
            self.news[section] = self._number, data
            self._changed.notify_all()

    def _tell_files(self) -> None:
        self._tell("files", [_file_data(file) for file in self.files.files.values()])

    def _watch(self) -> None:
        """See what other programs do to the folder."""
        while True:
            with self._changed:
                if self._changed.wait_for(lambda: self._closed, timeout=PAUSE):
                    return
                now = stamps_of(self.files.folder)
                if now == self._stamps:
                    continue
                names = self.files.read()
                self._stamps = now
                if names:
                    words = f"{', '.join(names)}: changed by another program, and shown as it is now."
                    self._tell("notice", {"words": words, "at": self._number})
                    self._tell_files()
                    self._stale = True
                    self._changed.notify_all()

    def _draw(self) -> None:
        """Look at the folder whenever it has changed; what comes meanwhile is seen by the next look.

        The lines come first.  What takes longer is judged when the table has been left alone for a moment.
        """
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._closed or self._stale)
                if self._closed:
                    return
                self._stale = False
                tables, serials = self._tables(), self._serials()
            first = _safely(first_look, self.files.folder, tables)
            if first is not None:
                with self._changed:
                    self._tell("look", {**self._with_former(first), "serials": serials})
                    done = first.get("settled") or self._changed.wait_for(
                        lambda: self._closed or self._stale, timeout=REST
                    )
                if done:
                    continue
            data = _safely(look_at, self.files.folder, tables)
            with self._changed:
                self._tell("look", {**(data or {}), "serials": serials})

    def _with_former(self, data: dict[str, Any]) -> dict[str, Any]:
        """A first look with the doubts and the curvature of the one before it, which are judged anew soon."""
        former = self.news.get("look", (0, {}))[1]
        if data.get("settled", True) or not former.get("whole"):
            return data
        doubts = [each for each in former["findings"] if each["sort"] in ("doubt", "hint")]
        bends = [each for each in former["views"] if each["key"] == "curvature"]
        return {**data, "findings": [*data["findings"], *doubts], "views": [*data["views"], *bends]}

    def _serials(self) -> dict[str, int]:
        return {name: file.serial for name, file in self.files.files.items()}

    def _tables(self) -> dict[str, SheetText]:
        found = {}
        for name, file in self.files.files.items():
            table = _table(file)
            if isinstance(table, SheetText):
                found[name] = table
        return found


def _safely(
    look: Callable[[Path, Mapping[str, SheetText]], Look | None],
    folder: Path,
    tables: Mapping[str, SheetText],
) -> dict[str, Any] | None:
    """A look as data, or why there is none: the desk stays open, and the next edit may be better."""
    try:
        found = look(folder, tables)
        return None if found is None else look_data(found)
    except InternalError as error:
        return {"failure": str(error), "settled": True}
    except Exception as error:
        words = f"internal error: {type(error).__name__}: {error}; please report it"
        return {"failure": words, "settled": True}


def _table(file: DeskFile) -> SheetText | str:
    """The rows of a table; or why it has none."""
    if file.path.suffix.lower() != ".csv":
        return "it is not a table"
    try:
        return sheet_text(file.data)
    except SheetTextError as error:
        return str(error)


def _file_data(file: DeskFile) -> dict[str, Any]:
    table = _table(file)
    data: dict[str, Any] = {
        "name": file.path.name,
        "digest": file.digest,
        "serial": file.serial,
        "outside": file.outside,
        "undo": len(file.before),
        "redo": len(file.after),
    }
    if isinstance(table, SheetText):
        typed = table.typed()
        notes = [
            row.raw.strip().lstrip("# ") for row in table.rows if row.is_comment and row.raw.strip("# ,;\t")
        ]
        return {**data, "rows": [[number, list(cells)] for number, cells in typed.items()], "notes": notes}
    return {**data, "unreadable": table}
