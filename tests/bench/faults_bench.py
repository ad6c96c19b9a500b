"""Faults seeded in finished files: how many of each kind the proof finds, and whether harmless changes stay quiet.

    python -m tests.bench.faults_bench [--seeds 2] [--only "words"] [--sorts roll letter] [--pictures]

Every kind is seeded in a file of every sort that has anything of the kind.  A fault is found where the proof says
anything, or refuses the file.  Harmless changes leave the print as it is: the proof must be quiet.  With --pictures
the second witness is asked alone: what a drawing of the pages by another program shows.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

from pypdf import PdfWriter

from tests.bench.fault_files import SORTS, write_sort
from tests.bench.fault_kinds import IN_FORMS, ON_PAGES, Change
from tests.bench.fault_objects import (
    IN_OBJECTS,
    Fault,
    content_of,
    form_of,
    set_content,
    set_form,
)
from tests.bench.harmless import HARMLESS
from tiling.errors import TilingError
from tiling.proof import prove

__all__ = ["KINDS", "findings_after"]


def on_a_page(change: Change) -> Fault:
    """The fault on a page by chance, the first that has anything of its kind."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        pages = list(writer.pages)
        for page in chance.sample(pages, len(pages)):
            data = content_of(page)
            changed = change(data, chance)
            if changed is not None and changed != data:
                set_content(writer, page, changed)
                return True
        return False

    return fault


def in_a_form(change: Change) -> Fault:
    """The fault in one of the forms."""

    def fault(writer: PdfWriter, chance: Random) -> bool:
        for called in chance.sample(["Strips", "Mark"], 2):
            found = form_of(writer, called)
            data = None if found is None else found.get_object().get_data()
            changed = None if data is None else change(data, chance)
            if changed is not None and changed != data:
                set_form(writer, called, changed)
                return True
        return False

    return fault


KINDS: dict[str, Fault] = {
    **{kind: on_a_page(change) for kind, change in ON_PAGES.items()},
    **{kind: in_a_form(change) for kind, change in IN_FORMS.items()},
    **IN_OBJECTS,
}
"""Every kind of fault."""


def findings_after(
    path: Path, fault: Fault, chance: Random, into: Path, *, pictures: bool = False
) -> list[str] | None:
    """What the proof says of the file with the fault; None where the file has nothing of its kind.

    Args:
        pictures: what is seen in pictures of the pages alone.
    """
    writer = PdfWriter(clone_from=path)
    if not fault(writer, chance):
        return None
    writer.write(into)
    try:
        proof = prove(into, pictures=pictures)
        return list(proof.seen.findings()) if pictures else proof.findings
    except TilingError as error:
        return [str(error)]


def _row(kind: str, run: Callable[[str], Iterator[list[str]]]) -> dict[str, tuple[int, int]]:
    """Found and seeded, by sort."""
    found = {}
    for sort in SORTS:
        results = list(run(sort))
        if results:
            found[sort] = (sum(1 for findings in results if findings), len(results))
    cells = "".join(f"{f'{found[sort][0]}/{found[sort][1]}' if sort in found else '-':>10}" for sort in SORTS)
    print(f"{kind:34}{cells}", flush=True)
    return found


def main() -> None:
    """Seed every kind, and print the tables."""
    parser = argparse.ArgumentParser(description="Faults seeded in finished files.")
    parser.add_argument("--seeds", type=int, default=2, help="of each kind and sort")
    parser.add_argument("--only", default="", help="kinds that have this in their names")
    parser.add_argument("--pictures", action="store_true", help="what the second witness sees, alone")
    parser.add_argument("--sorts", nargs="+", default=list(SORTS), choices=SORTS, help="of files")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        files = {sort: write_sort(sort, Path(folder)) for sort in options.sorts}
        for sort, path in files.items():
            prove(path)
            started = time.process_time()
            proof = prove(path, pictures=options.pictures)
            spent = (time.process_time() - started) / proof.pages * 1000.0
            print(f"{sort:10} {proof.pages:4} pages, {spent:5.1f} ms a page, findings: {proof.findings}")
        into = Path(folder) / "changed.pdf"

        def results(kind: str, fault: Fault) -> Callable[[str], Iterator[list[str]]]:
            def run(sort: str) -> Iterator[list[str]]:
                for seed in range(options.seeds) if sort in files else ():
                    chance = Random(f"{kind} {seed}")
                    findings = findings_after(files[sort], fault, chance, into, pictures=options.pictures)
                    if findings is not None:
                        yield findings

            return run

        print(f"\n{'harmless: alarms / changes':34}" + "".join(f"{sort:>10}" for sort in SORTS))
        for kind, fault in HARMLESS.items():
            if options.only in kind:
                _row(kind, results(kind, fault))
        print(f"\n{'fault: found / seeded':34}" + "".join(f"{sort:>10}" for sort in SORTS))
        wanted = {kind: fault for kind, fault in KINDS.items() if options.only in kind}
        rows = {kind: _row(kind, results(kind, fault)) for kind, fault in wanted.items()}
        counts = [count for row in rows.values() for count in row.values()]
        print(f"{len(rows)} kinds, {sum(n for _, n in counts)} faults, {sum(f for f, _ in counts)} found")
        missed = [kind for kind, row in rows.items() if any(f < n for f, n in row.values())]
        never = [kind for kind, row in rows.items() if not row]
        print(f"missed: {missed}\nnever seeded: {never}")


if __name__ == "__main__":
    main()
