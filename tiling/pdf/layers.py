"""The layers of a file: parts of its pages that viewers show and print until a person switches them off.

Source: ISO 32000-1:2008, 8.11 (optional content; section number from memory).
"""

from __future__ import annotations

from tiling.pdf.objects import Objects

__all__ = ["Layers"]


class Layers:
    """The layers of one file by their names; each is an object of it."""

    def __init__(self, objects: Objects) -> None:
        self._objects = objects
        self._known: dict[str, tuple[str, int]] = {}

    def __bool__(self) -> bool:
        return bool(self._known)

    def resource(self, name: str) -> str:
        """What a page's operators call the layer of that name."""
        if name not in self._known:
            self._known[name] = (f"Layer{len(self._known) + 1}", self._objects.new_number())
        return self._known[name][0]

    def called(self, resource: str) -> str:
        """The name of the layer that operators call so; empty for other marked content."""
        return next((name for name, (called, _) in self._known.items() if called == resource), "")

    def resources(self) -> str:
        """The entries for a page's resources."""
        return " ".join(f"/{called} {number} 0 R" for called, number in self._known.values())

    def write(self) -> str:
        """Write every layer; returns the catalogue's list of them, all switched on.

        No state for printing is given beside: with one, viewers print a layer that the user has switched off.
        """
        for name, (_, number) in self._known.items():
            data = f"<< /Type /OCG /Name {self._objects.string(name)} >>"
            self._objects.write(number, data.encode("latin-1"))
        every = " ".join(f"{number} 0 R" for _, (_, number) in sorted(self._known.items()))
        return (
            f"<< /OCGs [{every}] /D << /Name (all) /BaseState /ON /ON [{every}] /OFF [] /Order [{every}]"
            " /ListMode /AllPages >> >>"
        )
