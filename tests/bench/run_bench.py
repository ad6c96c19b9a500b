"""Every command's time against its floor, in one run: python -m tests.bench.run_bench [ROUNDS] [BASE]

The floor is a bare interpreter that imports the numerical and paper libraries; ``the libraries`` is one that
imports the parts of them that every command needs.  All are run in turn, so that a machine whose speed drifts hurts
all alike: the ratio of processor times is the figure to keep.  With BASE, the folder of another state of the
project, its commands are run in turn with these.
"""

from __future__ import annotations

import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_design"
FLOOR = "import numpy, scipy, shapely, pydantic, reportlab"
LIBRARIES = """
import click, numpy, shapely.geometry, reportlab.pdfbase.pdfdoc, reportlab.pdfbase.ttfonts
from pydantic import BaseModel, BeforeValidator, TypeAdapter, ValidationError, model_validator
"""
MAIN = "from patterns.cli import main; main()"
LINES_ONLY = {
    "boat",
    "table",
    "fairing",
    "line",
    "end",
    "strake",
    "deck",
}  # tables of a design without members


@dataclass(slots=True)
class _Job:
    """One thing to run: its name, the ratio that is wanted (0: none), the interpreter's arguments, the times found.

    Attributes:
        base: it is run by another state of the project.
    """

    name: str
    wanted: float
    arguments: tuple[str, ...]
    base: str = ""
    spent: list[float] = field(default_factory=list)
    waited: list[float] = field(default_factory=list)

    def run(self, desk: Path) -> None:
        """Once more; what a command writes goes into an empty folder."""
        known = {**_surroundings(), "PYTHONPATH": self.base or str(ROOT)}
        with tempfile.TemporaryDirectory(dir=desk) as folder:
            before, started = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
            run = [sys.executable, "-c", *self.arguments]
            found = subprocess.run(run, cwd=folder, env=known, check=False, capture_output=True)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if found.returncode not in (0, 3):  # 3: doubts
            raise RuntimeError(f"{self.name}: {found.stderr.decode()}")
        self.spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        self.waited.append(time.perf_counter() - started)


def _surroundings() -> dict[str, str]:
    """The environment without what keeps an interpreter from using compiled modules, as an installed one does."""
    return {
        key: value for key, value in os.environ.items() if not key.startswith(("PYTHONDONT", "PYTHONPYCACHE"))
    }


def _compile(root: Path) -> None:
    """Compile all modules."""
    run = [sys.executable, "-m", "compileall", "-q", "patterns", "tiling"]
    subprocess.run(run, cwd=root, env=_surroundings(), check=True)


def _table_alone(folder: Path) -> Path:
    """The demo's table and lines without any member."""
    text = (DEMO / "design.toml").read_text(encoding="utf-8")
    blocks = re.split(r"(?m)^(?=\[)", text)
    kept = [block for block in blocks if re.match(r"\[*(\w*)", block)[1] in LINES_ONLY]  # type: ignore[index]
    folder.mkdir()
    (folder / "design.toml").write_text("".join(kept), encoding="utf-8")
    for path in DEMO.glob("*.csv"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


def _jobs(desk: Path, base: str) -> list[_Job]:
    demo, table = str(DEMO), str(_table_alone(desk / "table alone"))
    commands = (
        ("check, table alone", 3.0, ("check", table)),
        ("check", 6.0, ("check", demo)),
        ("check --assembly", 0.0, ("check", demo, "--assembly")),
        ("patterns --only", 0.0, ("patterns", demo, "--only", "frame 3")),
        ("patterns --quick", 10.0, ("patterns", demo, "--quick")),
        ("patterns", 16.0, ("patterns", demo)),
    )
    found = [_Job("the floor", 0.0, (FLOOR,)), _Job("the libraries", 0.0, (LIBRARIES,))]
    found += [_Job("--help", 0.0, (MAIN, "--help"))]
    for name, wanted, arguments in commands:
        if base:
            found.append(_Job(f"{name}, base", 0.0, (MAIN, *arguments), base=base))
        found.append(_Job(name, wanted, (MAIN, *arguments)))
    return found


def main(rounds: int = 3, base: str = "") -> None:
    """Print seconds and ratios."""
    with tempfile.TemporaryDirectory() as folder:
        jobs = _jobs(Path(folder), base)
        for root in filter(None, (str(ROOT), base)):
            _compile(Path(root))
        for _ in range(rounds):
            for job in jobs:
                job.run(Path(folder))
    floor, libraries = jobs[0].spent, jobs[1].spent
    print(f"{'':26} {'CPU s':>8} {'wall s':>8} {'floors':>8} {'libraries':>10}   wanted floors")
    for job in jobs:
        ratios = [
            statistics.median(a / b for a, b in zip(job.spent, by, strict=True)) for by in (floor, libraries)
        ]
        wanted = f"{job.wanted:.0f}" if job.wanted else ""
        print(
            f"{job.name:26} {min(job.spent):8.2f} {min(job.waited):8.2f} {ratios[0]:8.1f} {ratios[1]:10.1f}"
            f"   {wanted}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3, sys.argv[2] if len(sys.argv) > 2 else "")
