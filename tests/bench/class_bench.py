"""What a class set costs: peak memory and time at 10, 100 and 500 sets, and the proof of the file.

    python -m tests.bench.class_bench [--sets 10 100 500] [--only NAME]

Each size is run in a process of its own, so that the peak is its own: flat memory means that the last column of
megabytes hardly grows.  Times are of the processor.  No figure here is a test.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMO = Path(__file__).parents[2] / "demo_design" / "class"


def measure(count: int, only: str) -> dict[str, float]:
    """Make so many sets of one pattern; invented names."""
    from pypdf import PdfReader

    from patterns.lesson.make import ClassRequest, make_class
    from patterns.run.page_request import PageRequest

    with tempfile.TemporaryDirectory() as folder:
        names = Path(folder) / "names.csv"
        names.write_text("name\n" + "".join(f"Table {n}\n" for n in range(1, count + 1)), encoding="utf-8")
        request = ClassRequest(names=names, only=(only,), quick=True)
        page = PageRequest(paper="a4", landscape=False, margin="10 mm", overlap="12 mm")
        started = time.process_time()
        made = make_class(DEMO, request=request, page_request=page, into=Path(folder) / "out")
        made_in = time.process_time() - started
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        file = made.folder / "sets.pdf"
        return {
            "pages": len(PdfReader(file).pages) + len(PdfReader(made.folder / "worksheets.pdf").pages),
            "seconds": made_in,
            "peak MB": peak / 1024.0,
            "MB": file.stat().st_size / 1e6,
        }


def main() -> None:
    """Measure every size in a process of its own and print one table."""
    parser = argparse.ArgumentParser(description="What a class set costs.")
    parser.add_argument("--sets", type=int, nargs="+", default=[10, 100, 500])
    parser.add_argument("--only", default="frame 2")
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        print(json.dumps(measure(options.one, options.only)))
        return
    print(f"{'sets':>5} {'pages':>6} {'seconds':>8} {'ms/page':>8} {'peak MB':>8} {'file MB':>8}")
    for count in options.sets:
        command = [
            sys.executable,
            "-m",
            "tests.bench.class_bench",
            "--one",
            str(count),
            "--only",
            options.only,
        ]
        found = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        print(
            f"{count:5d} {found['pages']:6.0f} {found['seconds']:8.2f}"
            f" {1e3 * found['seconds'] / found['pages']:8.3f} {found['peak MB']:8.1f} {found['MB']:8.2f}"
        )


if __name__ == "__main__":
    main()
