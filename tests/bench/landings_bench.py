"""How pieces show where their neighbours lie: ``python -m tests.bench.landings_bench [FOLDER...]``."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence

from patterns import load
from tests.patterns.shown import Shown, shown_in

DEMOS = ("demo_design", "demo_design/round_bilge", "demo_design/broken_frame")


def main(folders: Sequence[str]) -> None:
    """Count what is shown in each folder, and name what is shown in words alone, or not at all."""
    print(f"{'':28}{'touch':>7}" + "".join(f"{how.value:>16}" for how in Shown))
    for folder in folders:
        found = shown_in(load(folder))
        counted = Counter(found.values())
        print(f"{folder:28}{len(found):7}" + "".join(f"{counted[how]:16}" for how in Shown))
        for (piece, other), how in found.items():
            if how in (Shown.WORDS, Shown.NOTHING):
                print(f"    {how.value}: {piece}, of {other}")


if __name__ == "__main__":
    main(sys.argv[1:] or DEMOS)
