"""The record of ink in a finished file: what each of its pages should paint."""

from __future__ import annotations

from bisect import bisect_right
from collections import OrderedDict
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from tiling.errors import TilingError
from tiling.pdf.ink_record import part_file, unpacked
from tiling.pdf.page_content import Item, PageContent

__all__ = ["IntendedInk", "one_after_the_other"]

KEPT = 6  # attached files that are held in memory


class IntendedInk:
    """The record, read as it is needed.

    Args:
        raw: the index, as JSON.
        attached: the bytes of an attached file, None where there is none.
    Raises:
        TilingError: it cannot be read.
    """

    def __init__(self, raw: Any, attached: Callable[[str], bytes | None]) -> None:
        try:
            self.fonts = {str(digest): str(name) for name, digest in raw["fonts"].items()}
            self.forms = {str(name): int(unit) for name, unit in raw["forms"].items()}
            self.pages = [[int(unit) for unit in page] for page in raw["pages"]]
            self._firsts = [int(first) for first in raw["parts"]]
        except (KeyError, ValueError, TypeError, AttributeError) as error:
            raise TilingError(
                "its record of ink is missing or cannot be read; write the file again"
            ) from error
        self._attached = attached
        self._parts: OrderedDict[int, list[PageContent]] = OrderedDict()

    def unit(self, number: int) -> PageContent:
        """What one unit should paint.

        Raises:
            TilingError: that part of the record cannot be read.
        """
        which = bisect_right(self._firsts, number) - 1
        part = self._parts.get(which)
        if part is None:
            try:
                part = unpacked(self._attached(part_file(which)) or b"")
            except (KeyError, ValueError, TypeError, IndexError) as error:
                raise TilingError(f"the record of ink, part {which}, cannot be read") from error
            self._parts[which] = part
            if len(self._parts) > KEPT:
                self._parts.popitem(last=False)
        self._parts.move_to_end(which)
        try:
            return part[number - self._firsts[which]]
        except IndexError as error:
            raise TilingError(f"the record of ink lacks unit {number}") from error


def one_after_the_other(units: Sequence[PageContent]) -> PageContent:
    """Several units as one."""
    if len(units) == 1:
        return units[0]
    whole = PageContent()
    for unit in units:
        base = len(whole.looks)
        whole.looks += unit.looks
        whole.items += [Item(item.what, item.look + base, item.count, item.thing) for item in unit.items]
    whole.points = np.concatenate([np.zeros((0, 2)), *[unit.points for unit in units]])
    return whole
