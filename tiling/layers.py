"""The layers of a file: parts of its pages that viewers show and print until a person switches them off.

Source: ISO 32000-1:2008, 8.11 (optional content; section number from memory).
"""

from __future__ import annotations

from typing import Protocol

__all__ = ["Layers"]


class Objects(Protocol):
    """A file that takes objects one by one."""

    def new_number(self) -> int:
        """A number for an object that is written at once."""

    def string(self, text: str) -> str:
        """A string as it is written."""

    def write_object(self, number: int, data: bytes) -> None:
        """Write an object."""


class Layers:
    """The layers of one file by their names; each is an object of it."""

    def __init__(self, file: Objects) -> None:
        self._file = file
        self._known: dict[str, tuple[str, int]] = {}

    def __bool__(self) -> bool:
        return bool(self._known)

    def resource(self, name: str) -> str:
        """What a page's operators call the layer of that name."""
        if name not in self._known:
            self._known[name] = (f"Layer{len(self._known) + 1}", self._file.new_number())
        return self._known[name][0]

    def resources(self) -> str:
        """The entries for a page's resources."""
        return " ".join(f"/{called} {number} 0 R" for called, number in self._known.values())

    def write(self) -> str:
        """Write every layer; returns the catalogue's list of them, all switched on.

        No state for printing is given beside: with one, viewers print a layer that the user has switched off.
        """
        for name, (_, number) in self._known.items():
            data = f"<< /Type /OCG /Name {self._file.string(name)} >>"
            self._file.write_object(number, data.encode("latin-1"))
        every = " ".join(f"{number} 0 R" for _, (_, number) in sorted(self._known.items()))
        return (
            f"<< /OCGs [{every}] /D << /Name (all) /BaseState /ON /ON [{every}] /OFF [] /Order [{every}]"
            " /ListMode /AllPages >> >>"
        )
