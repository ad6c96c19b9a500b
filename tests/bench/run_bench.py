"""The demo, quick and with its search for fewer pages, against its floor: python -m tests.bench.run_bench [rounds]

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

IMPORTS = """
import click, numpy, shapely.geometry, reportlab.pdfbase.pdfdoc, reportlab.pdfbase.ttfonts
from pydantic import BaseModel, BeforeValidator, TypeAdapter, ValidationError, model_validator
"""
FLOOR = f"""{IMPORTS}
import sys
from pathlib import Path
source, target = Path(sys.argv[1]), Path(sys.argv[2])
for path in source.rglob("*"):
    if path.is_file():
        data = path.read_bytes()
        (target / path.name).write_bytes(data)
"""
DEMO = str(Path(__file__).parents[2] / "demo_design")
MAIN = "from patterns.cli import main; main()"


def _timed(*arguments: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", *arguments], check=True, capture_output=True)
    return time.perf_counter() - start


class _Job:
    """One way to make the demo, in a folder of its own, with its floor: the same libraries and the same bytes."""

    def __init__(self, name: str, folder: Path, *options: str) -> None:
        self.name, self.options, self.made, self.copy = name, options, folder / name, folder / f"{name} again"
        self.runs: list[float] = []
        self.floors: list[float] = []
        self.copy.mkdir()
        self._run()

    def _run(self) -> float:
        return _timed(MAIN, "patterns", DEMO, *self.options, "--output", str(self.made))

    def round(self) -> None:
        """Once more, and its floor."""
        self.runs.append(self._run())
        self.floors.append(_timed(FLOOR, str(self.made), str(self.copy)))

    def tell(self, wanted: str) -> None:
        """Print what was found."""
        size = sum(path.stat().st_size for path in self.made.rglob("*") if path.is_file())
        ratio = statistics.median(a / b for a, b in zip(self.runs, self.floors, strict=True))
        for name, times, told in (
            (self.name, self.runs, wanted),
            ("its floor", self.floors, f"{size / 1e6:.1f} MB"),
        ):
            print(f"{name:11} {min(times):.3f} s least, {statistics.median(times):.3f} s median {told}")
        print(f"ratio       {ratio:.2f} (median of pairs)")


def main(rounds: int = 7) -> None:
    """Print seconds and ratios."""
    helps, bare, checks = [], [], []
    with tempfile.TemporaryDirectory() as folder:
        quick, whole = _Job("quick demo", Path(folder), "--quick"), _Job("whole demo", Path(folder))
        for _ in range(rounds):
            quick.round()
            whole.round()
            helps.append(_timed(MAIN, "--help"))
            bare.append(_timed("pass"))
            checks.append(_timed(MAIN, "check", DEMO) / _timed(IMPORTS))
        quick.tell("(wanted: 1.5 s)")
        whole.tell("")
    print(
        f"--help      {1e3 * min(helps):.0f} ms least, {1e3 * statistics.median(helps):.0f} ms median (100 wanted)"
    )
    print(f"check       {statistics.median(checks):.1f} times the imports (median of pairs; 6 wanted)")
    print(f"bare python {1e3 * min(bare):.0f} ms least")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
