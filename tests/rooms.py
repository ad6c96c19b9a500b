"""The rooms of a package, in order, and what its files import: read from the files, nothing is run."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from graphlib import TopologicalSorter
from pathlib import Path

from tests.sources import nodes_of

__all__ = ["PATTERNS", "TILING", "House"]

ROOT = Path(__file__).parents[1]


class House:
    """A package whose rooms have an order.

    Attributes:
        order: the levels of the house, the lowest first; a level is one room or several modules that may import
            each other.  A room is named by the start of its modules' names without the package's own, e.g.
            ``hull`` or ``drawing.marks``; the longest one that fits holds.  The package itself is ``""``.
    """

    def __init__(self, package: str, order: Sequence[str | tuple[str, ...]]) -> None:
        self.package = package
        self.order = [(level,) if isinstance(level, str) else level for level in order]
        self.files: Mapping[str, Path] = {
            ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
            for path in (ROOT / package).rglob("*.py")
        }

    @cached_property
    def needs(self) -> dict[str, set[str]]:
        """The files of the package that each file imports, at its top, inside a function or for types alone."""
        return {name: set(self._needs(path)) for name, path in self.files.items()}

    def _needs(self, path: Path) -> Iterator[str]:
        for node in nodes_of(path):
            found: list[str] = []
            if isinstance(node, ast.Import):
                found = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0, (path, node.lineno)
                within = [f"{node.module}.{alias.name}" for alias in node.names]
                found = [name if name in self.files else str(node.module) for name in within]
            yield from (name for name in found if name.split(".")[0] == self.package)

    def room(self, name: str) -> str:
        """The room of a module."""
        own = name.partition(".")[2]
        fits = [room for level in self.order for room in level if own == room or own.startswith(f"{room}.")]
        assert fits, f"{name} has no room in the order"
        return max(fits, key=len)

    def level(self, name: str) -> int:
        """How high in the house a module is."""
        room = self.room(name)
        return next(i for i, level in enumerate(self.order) if room in level)

    def upward(self) -> list[tuple[str, str]]:
        """Every import of a module from a room above."""
        return [
            (name, need)
            for name, needs in sorted(self.needs.items())
            for need in sorted(needs)
            if self.level(need) > self.level(name)
        ]

    def empty_rooms(self) -> set[str]:
        """Rooms of the order that hold no module."""
        held = {self.room(name) for name in self.files}
        return {room for level in self.order for room in level} - held

    def check_no_cycle(self) -> None:
        """No file leads back to itself.

        Raises:
            graphlib.CycleError: one does.
        """
        order = list(TopologicalSorter(self.needs).static_order())
        assert set(order) == set(self.files)

    def through_the_door(self) -> list[str]:
        """Modules that import from the ``__init__`` of their own room, which is half made then."""
        return [name for name, needs in self.needs.items() if name.rpartition(".")[0] in needs]


TILING = House(
    "tiling",
    (
        "errors",
        "drawing",
        "text",
        "paper",
        "layout",
        "lettering",
        "distances",
        "pdf",
        "planning",
        "pages",
        "books",
        "proof",
        ("", "dxf", "job", "sets", "svg"),  # these tie the rooms together
    ),
)

PATTERNS = House(
    "patterns",
    (
        "errors",
        "vectors",
        "numeric_errors",
        "codes",
        "measure",
        "files",
        "design",
        "flat",
        "hull",
        "table",
        "fairing",
        "wood",
        "timbers",
        "boat",
        "draft",
        "pattern",
        "text",
        "drawing.marks",
        "joinery",
        "member_kind",
        "drawing",
        "joinery.other_end",  # makes pieces with what draws them
        "members",
        "assembly",
        "shop",
        "picture",
        "findings",
        "repair.places",
        "repair.points",
        ("repair.outline", "repair.told"),
        "repair.measuring",
        "repair",
        "subject",
        "run",
        "desk",
        "lesson",
        "model",
        "",
        "commands",
        "cli",
    ),
)
