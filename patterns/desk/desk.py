"""The desk of one folder: its files, the newest look at them, and news for the page as soon as there are any."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from patterns.design.toml_file import DESIGN_FILE
from patterns.desk.edits import edited
from patterns.desk.files import DeskFile, DeskFiles, EditRefusedError
from patterns.desk.form import form_data
from patterns.desk.jobs import Jobs
from patterns.desk.look import Look, first_look, look_at, look_data
from patterns.desk.requests import (
    DeskRequest,
    FileRequest,
    NewsWanted,
    Redo,
    StartWork,
    StopWork,
    Undo,
)
from patterns.errors import InternalError
from patterns.files.batch import safe_name
from patterns.files.stamps import PAUSE, stamps_of
from patterns.table.sheet_text import SheetText, SheetTextError, sheet_text

__all__ = ["Desk"]

WAIT = 20.0  # seconds after which the page asks for news again
PATTERNS = "patterns.pdf"
RUNNING = ("running", "done", "total", "stopped")
REST = 0.6  # seconds without an edit after which doubts are judged


class Desk:
    """A folder on the desk.

    Attributes:
        files: its files.
        news: what the page is shown, by section, each with a number that grows.
        results, files_made: the folder of what was printed last, and the names of the files in it.
    """

    def __init__(self, folder: Path) -> None:
        self.files = DeskFiles(folder)
        self.news: dict[str, tuple[int, Any]] = {}
        self._number = 0
        self._changed = threading.Condition()
        self._stamps = stamps_of(self.files.folder)
        self.results: Path | None = None
        self.files_made: frozenset[str] = frozenset()
        self._jobs = Jobs(self._worked)
        self._formed: bytes | None = None  # the design file that the form shows
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
        self._jobs.stop()
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
        if isinstance(request, StopWork):
            self._jobs.stop()
            return {}
        if isinstance(request, StartWork):
            self._start(request)
            return {}
        with self._changed:
            try:
                file = self._write(request)
            finally:  # one that was refused may have found that another program was here
                self._stamps = stamps_of(self.files.folder)
                self._tell_files()
                self._stale = True
                self._changed.notify_all()
            return {"digest": file.digest, "serial": file.serial}

    def _start(self, request: StartWork) -> None:
        """Begin long work on the folder as it is now.

        Raises:
            EditRefusedError: there is no file to prove yet.
        """
        with self._changed:
            serials, title = self._serials(), self.news.get("look", (0, {}))[1].get("title", "")
        into = self.files.folder / safe_name(f"{title} patterns")
        arguments = {
            "pieces": [str(self.files.folder)],
            "patterns": [str(self.files.folder), str(into), request.paper, "quick" if request.quick else ""],
            "prove": [str(self.results / PATTERNS) if self.results is not None else ""],
        }[request.kind]
        if not all(arguments[:1]):
            raise EditRefusedError("print the patterns first; there is no file to prove yet")
        self._jobs.start(request.kind, arguments, serials=serials)

    def _worked(self, state: Mapping[str, Any]) -> None:
        """News of the work: of each kind what came of it last."""
        with self._changed:
            if state.get("files"):
                self.results, self.files_made = Path(state["folder"]), frozenset(state["files"])
            self._tell("work", {"kind": state["kind"], **{k: state[k] for k in RUNNING if k in state}})
            if not state["running"] and not state.get("stopped"):
                self._tell(state["kind"], dict(state))

    def result(self, name: str) -> bytes | None:
        """A file that was made; None where there is no such one."""
        with self._changed:
            folder, known = self.results, name in self.files_made
        path = folder / name if folder is not None and known else None
        return path.read_bytes() if path is not None and path.is_file() and not path.is_symlink() else None

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

    def _tell_form(self) -> None:
        """The design file as forms, when it has changed."""
        design = self.files.files.get(DESIGN_FILE)
        self._tell(
            "form",
            form_data(design.data) if design is not None else {"unreadable": "There is no design file."},
        )

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
            first, failure = _tried(first_look, self.files.folder, tables)
            if first is not None or failure:
                with self._changed:
                    data = {"failure": failure} if first is None else self._with_former(first)
                    self._tell("look", {**data, "serials": serials})
                    self._tell_form()
                    if self._changed.wait_for(lambda: self._closed or self._stale, timeout=REST):
                        continue
            if failure or (first is not None and first.settled):
                continue
            second, failure = _tried(look_at, self.files.folder, tables, first)
            with self._changed:
                data = {"failure": failure} if second is None else look_data(second)
                self._tell("look", {**data, "serials": serials})
                self._tell_form()

    def _with_former(self, first: Look) -> dict[str, Any]:
        """A first look with the doubts and the curvature of the one before it, which are judged anew soon."""
        data, former = look_data(first), self.news.get("look", (0, {}))[1]
        if first.settled or not former.get("whole"):
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


def _tried(look: Callable[..., Look | None], *what: Any) -> tuple[Look | None, str]:
    """A look, or why there is none: the desk stays open, and the next edit may be better."""
    try:
        return look(*what), ""
    except InternalError as error:
        return None, str(error)
    except Exception as error:
        return None, f"internal error: {type(error).__name__}: {error}; please report it"


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
