"""The files on the desk: they alone are the truth; an edit is written at once and whole, never over another's."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from patterns.design.toml_file import DESIGN_FILE
from patterns.errors import PatternsError
from patterns.files.batch import cannot_write
from patterns.files.staging import opened_workshop, put_in_place

__all__ = ["DeskFile", "DeskFiles", "EditRefusedError"]

MOST_STEPS = 500  # of one file that can be taken back
MOST_FILES = 40  # tables of a folder; what lies there besides is not a design's


class EditRefusedError(PatternsError):
    """An edit was not written: the file is another than the one that was seen, or is none of the desk's."""


@dataclass(slots=True, kw_only=True)
class DeskFile:
    """One file as it was read or written last.

    Attributes:
        path: where it is.
        data: its bytes.
        before: what it held before each edit of this desk, the oldest first.
        after: what was taken back, the next to be done again last.
        joined: which typing the last edit belongs to; a further edit of it is one step with it.
        serial: grows whenever what it holds is another.
        outside: the serial when another program was seen to have written it last; 0 where none was.
    """

    path: Path
    data: bytes
    before: list[bytes] = field(default_factory=list)
    after: list[bytes] = field(default_factory=list)
    joined: Hashable = None
    serial: int = 1
    outside: int = 0

    @property
    def digest(self) -> str:
        """Of what it holds."""
        return sha256(self.data).hexdigest()

    def forget(self, data: bytes) -> None:
        """Another program has written it: nothing of that is ever taken back here."""
        self.data, self.joined = data, None
        self.serial += 1
        self.outside = self.serial
        self.before.clear()
        self.after.clear()


class DeskFiles:
    """Design file and tables of one folder, by name; nothing below it, beside it, or behind a link.

    Attributes:
        folder: where they lie.
        files: by name, the design file last.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        self.files: dict[str, DeskFile] = {}
        self.read()

    def read(self) -> tuple[str, ...]:
        """Read what other programs have changed; the names of those files, new and removed ones included."""
        changed = []
        found = {path.name: path.read_bytes() for path in self._paths()}
        for name in [name for name in self.files if name not in found]:
            del self.files[name]
            changed.append(name)
        for name, data in found.items():
            file = self.files.get(name)
            if file is None:
                self.files[name] = DeskFile(path=self.folder / name, data=data)
                changed.append(name)
            elif file.data != data:
                file.forget(data)
                changed.append(name)
        return tuple(changed)

    def _paths(self) -> Iterator[Path]:
        try:
            every = sorted(self.folder.iterdir(), key=lambda path: (path.name == DESIGN_FILE, path.name))
        except OSError:
            return
        tables = [path for path in every if path.suffix.lower() == ".csv" and not path.name.startswith(".")]
        for path in (*tables[:MOST_FILES], self.folder / DESIGN_FILE):
            if path.is_file() and not path.is_symlink():
                yield path

    def change(
        self, name: str, base: str, edit: Callable[[bytes], bytes], *, joined: Hashable = None
    ) -> DeskFile:
        """Make an edit and write the file.

        Args:
            base: the digest of what was seen when the edit was made.
            edit: from what the file holds to what it is to hold.
            joined: which typing the edit belongs to; None: a step of its own.
        Raises:
            EditRefusedError: the file was changed since, or is none of the desk's.
            PatternsError: it cannot be written.
        """
        file = self._seen(name, base)
        data = edit(file.data)
        if data == file.data:
            return file
        was = file.data
        self._write(file, data)
        if joined is None or joined != file.joined:
            file.before.append(was)
            del file.before[:-MOST_STEPS]
        file.after.clear()
        file.joined = joined
        return file

    def undo(self, name: str, base: str) -> DeskFile:
        """Take the last edit back.

        Raises:
            EditRefusedError: there is none, or the file was changed since.
        """
        file = self._seen(name, base)
        return self._step(file, file.before, file.after)

    def redo(self, name: str, base: str) -> DeskFile:
        """Do again what was taken back last.

        Raises:
            EditRefusedError: nothing was, or the file was changed since.
        """
        file = self._seen(name, base)
        return self._step(file, file.after, file.before)

    def _step(self, file: DeskFile, source: list[bytes], target: list[bytes]) -> DeskFile:
        if not source:
            raise EditRefusedError(f"{file.path.name}: there is nothing to take back or to do again")
        was = file.data
        self._write(file, source[-1])
        source.pop()
        target.append(was)
        file.joined = None
        return file

    def _seen(self, name: str, base: str) -> DeskFile:
        file = self.files.get(name)
        if file is None:
            raise EditRefusedError("this file is not on the desk")
        try:
            now = file.path.read_bytes()
        except OSError as error:
            raise EditRefusedError(f"{name} cannot be read any more; nothing was written") from error
        if now != file.data:
            file.forget(now)
        if file.digest != base or file.path.is_symlink():
            raise EditRefusedError(
                f"{name} was changed by another program; nothing was written: look at the file, then type again"
            )
        return file

    def _write(self, file: DeskFile, data: bytes) -> None:
        name = file.path.name
        try:
            with opened_workshop(self.folder) as workshop:
                (workshop / name).write_bytes(data)
                shutil.copymode(file.path, workshop / name)
                put_in_place(workshop, self.folder, (name,))
        except OSError as error:
            raise cannot_write(file.path, error) from error
        file.data = data
        file.serial += 1
