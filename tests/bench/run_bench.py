"""The whole demo against its floor.  Run: python -m tests.bench.run_bench [rounds]

The floor is a bare interpreter that imports the same libraries and writes the same bytes.  Both are run in turn, so
that a machine whose speed drifts hurts both alike; the ratio is the figure to keep.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FLOOR = """
import sys
from pathlib import Path
import click, numpy, shapely.geometry, reportlab.pdfbase.pdfdoc, reportlab.pdfbase.ttfonts
from pydantic import BaseModel, BeforeValidator, TypeAdapter, ValidationError, model_validator
source, target = Path(sys.argv[1]), Path(sys.argv[2])
for path in source.rglob("*"):
    if path.is_file():
        data = path.read_bytes()
        (target / path.name).write_bytes(data)
"""
MAIN = "from patterns.cli import main; main()"


def _timed(*arguments: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", *arguments], check=True, capture_output=True)
    return time.perf_counter() - start


def main(rounds: int = 7) -> None:
    """Print seconds and ratios."""
    demo = str(Path(__file__).parents[2] / "demo_design")
    runs, floors, helps, bare = [], [], [], []
    with tempfile.TemporaryDirectory() as folder:
        made, copy = Path(folder) / "made", Path(folder) / "copy"
        copy.mkdir()
        _timed(MAIN, "patterns", demo, "--into", str(made))
        for _ in range(rounds):
            runs.append(_timed(MAIN, "patterns", demo, "--into", str(made)))
            floors.append(_timed(FLOOR, str(made), str(copy)))
            helps.append(_timed(MAIN, "--help"))
            bare.append(_timed("pass"))
        size = sum(path.stat().st_size for path in made.rglob("*") if path.is_file())
    ratio = statistics.median(a / b for a, b in zip(runs, floors, strict=True))
    print(f"whole demo  {min(runs):.3f} s least, {statistics.median(runs):.3f} s median (wanted: 1.5 s)")
    print(
        f"floor       {min(floors):.3f} s least, {statistics.median(floors):.3f} s median, {size / 1e6:.1f} MB"
    )
    print(f"ratio       {ratio:.2f} (median of pairs)")
    print(
        f"--help      {1e3 * min(helps):.0f} ms least, {1e3 * statistics.median(helps):.0f} ms median (100 wanted)"
    )
    print(f"bare python {1e3 * min(bare):.0f} ms least")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
