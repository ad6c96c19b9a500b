"""What a page costs: time and peak memory, against the same bytes by a minimal writer.

    python -m tests.bench.pages_bench [--pages 1000 5000 20000]

Each size is measured in a process of its own, so that the peak is its own.  "drawn" leaves out imports and the
laying out of the pieces; it holds first pages, maps, marks, the record that `prove` reads, links and outline
besides the pages.

"floor" writes the finished file again byte for byte (`tests.bench.same_bytes`): it turns every coordinate into
text, once for each pattern and in bulk, gathers and packs the pages, the records and all other objects.  It is
handed everything that is chosen: which vertices are left, which page sees what, where words stand.  What "drawn"
takes beyond it is those choices, and what is done less well than it could be.

Two older figures stand beside it.  "packed" is handed the pages' operators ready, and packs and writes these alone,
without records, first pages, links and outline; "bare" formats the strokes besides, each vertex once for its part,
and cuts them up for the pages, but no words and no joints.  Both leave out work that no writer of the same bytes is
spared, so that neither is a floor that could be reached.

Times are of the processor; those of small files the least of three.  No figure here is a test.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from tests.bench.same_bytes import same_bytes

FEW = 2000  # pages; a file with no more of them is written three times
VERTICES, TICKS, LABELS = 4000, 400, 200  # on one part of 1.2 x 0.8 m, about 21 A4 pages


def part(index: int) -> object:
    """An invented part: a wavy outline, ticks square to it and as many words."""
    from tiling.drawing import Drawing, Note, Path, Stroke
    from tiling.job import Piece

    angle = np.linspace(0.0, 2.0 * np.pi, VERTICES, endpoint=False)
    wave = 1.0 + 0.03 * np.sin(7.0 * angle + index)
    points = np.column_stack([600.0 * wave * np.cos(angle), 400.0 * wave * np.sin(angle)])
    firm, fine = Stroke(width=0.7), Stroke(width=0.18)
    spots = points[:: VERTICES // TICKS]
    ticks = [Path(points=np.array([p, 0.97 * p]), stroke=fine) for p in spots]
    notes = [
        Note(text=f"{number % 90}° under", target=tuple(p), reach=40.0)
        for number, p in enumerate(spots[:: TICKS // LABELS])
    ]
    drawing = Drawing(
        paths=(Path(points=points, stroke=firm, closed=True), Path(points=0.9 * points, stroke=fine), *ticks),
        notes=tuple(notes),
    )
    return Piece(made_from="formula", name=f"part {index + 1}", drawing=drawing)


def measure(wanted: int) -> dict[str, float]:
    """Lay out one part, print it again and again until there are enough pages, and time the printing."""
    from tiling import job
    from tiling.paper import Page, parse_paper
    from tiling.planning import piece_marks, plan

    page = Page(paper=parse_paper("a4"))
    started = time.process_time()
    first = plan.plan_piece(part(0), page, label="part 1")  # type: ignore[arg-type]
    laid = time.process_time() - started
    count = max(1, round(wanted / len(first.layout.tiles)))
    pieces = tuple(
        plan.Piece(made_from="formula", name=f"part {n + 1}", drawing=first.piece.drawing)
        for n in range(count)
    )

    def again(pieces: Iterable[plan.Piece], page: object, **_: object) -> tuple[plan.Plan, ...]:
        return tuple(
            plan.Plan(
                piece=piece, label=piece.name, drawing=first.drawing, layout=first.layout, words=first.words,
                checks=first.checks, aids=first.aids,
            )
            for piece in pieces
        )  # fmt: skip

    vars(piece_marks)["plan_pieces"] = again
    work = plan.Job(title="Bench boat", mark="K7Q2P", pieces=pieces, page=page)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.pdf"
        drawn = floor = float("inf")
        for turn in range(3 if wanted <= FEW else 1):
            started = time.process_time()
            summary = job.write_pdf(work, path)
            drawn = min(drawn, time.process_time() - started)
            if not turn:
                peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            floor = min(floor, same_bytes(path, Path(folder) / "floor.pdf"))
        size = path.stat().st_size
        packed = packed_alone(path, Path(folder) / "packed.pdf")
        bare = packed + count * strokes_alone(first)
    return {
        "pages": summary.pages,
        "laid ms": 1000.0 * laid / len(first.layout.tiles),
        "drawn ms": 1000.0 * drawn / summary.pages,
        "floor ms": 1000.0 * floor / summary.pages,
        "packed ms": 1000.0 * packed / summary.pages,
        "bare ms": 1000.0 * bare / summary.pages,
        "peak MB": peak / 1024.0,
        "kB": size / 1024.0 / summary.pages,
    }


def strokes_alone(one: object) -> float:
    """Seconds to format the strokes of a part and cut them up for its pages; the least of three."""
    from tiling.pdf.clipping import cut

    times = []
    for _ in range(3):
        started = time.process_time()
        strokes = cut(one.drawing.paths, one.layout.to_grid)  # type: ignore[attr-defined]
        for segments in strokes.in_windows([tile.window for tile in one.layout.tiles]):  # type: ignore[attr-defined]
            strokes.operators(segments)
        times.append(time.process_time() - started)
    return min(times)


def packed_alone(source: Path, target: Path) -> float:
    """Seconds to compress and write again every page that is in ``source``."""
    from pypdf import PdfReader

    from tiling.pdf.objects import LEVEL

    pages = PdfReader(source).pages
    contents = [page.get_contents().get_data() for page in pages]  # type: ignore[union-attr]
    started = time.process_time()
    offsets: list[int] = []
    with target.open("wb") as stream:
        at = stream.write(b"%PDF-1.7\n")
        for number, content in enumerate(contents):
            packed = zlib.compress(content, LEVEL)
            offsets.append(at)
            at += stream.write(
                b"%d 0 obj\n<< /Length %d >>\nstream\n%b\nendstream\nendobj\n"
                % (2 * number + 3, len(packed), packed)
            )
            offsets.append(at)
            at += stream.write(
                b"%d 0 obj\n<< /Type /Page /Parent 1 0 R /Contents %d 0 R >>\nendobj\n"
                % (2 * number + 4, 2 * number + 3)
            )
        stream.write(b"xref\n" + b"".join(b"%010d 00000 n \n" % offset for offset in offsets))
    return time.process_time() - started


def main() -> None:
    """Measure every size in a process of its own and print one table."""
    parser = argparse.ArgumentParser(description="What a page costs.")
    parser.add_argument("--pages", type=int, nargs="+", default=[1000, 5000, 20_000])
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        print(json.dumps(measure(options.one)))
        return
    print(
        f"{'pages':>6} {'drawn ms':>9} {'floor ms':>9} {'ratio':>6} {'bare ms':>8} {'ratio':>6} {'packed ms':>9}"
        f" {'ratio':>6} {'laid ms':>8} {'peak MB':>8} {'kB grown':>9} {'kB/page':>8}"
    )
    first: dict[str, float] = {}
    for wanted in options.pages:
        command = [sys.executable, "-m", "tests.bench.pages_bench", "--one", str(wanted)]
        found = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        first = first or found
        more = max(found["pages"] - first["pages"], 1.0)
        floors = [found[f"{kind} ms"] for kind in ("floor", "bare", "packed")]
        beside = " ".join(f"{ms:8.3f} {found['drawn ms'] / ms:6.2f}" for ms in floors)
        print(
            f"{found['pages']:6.0f} {found['drawn ms']:9.3f}  {beside} {found['laid ms']:8.2f}"
            f" {found['peak MB']:8.1f} {1024.0 * (found['peak MB'] - first['peak MB']) / more:9.2f}"
            f" {found['kB']:8.2f}"
        )
    print("kB grown: peak memory for each page more than in the first line")


if __name__ == "__main__":
    main()
