"""Runs that are killed at random moments, and what the next one finds: torn files, mixed sets, folders left behind.

    python -m tests.bench.kills_bench [KILLS]

A run writes a set of files over a former one and is killed, one time in two while it moves its files; then the
folder is settled as the next command does it.  A file is torn where it is neither the former nor the new one; a
set is mixed where some files are former and others new.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from patterns.files.batch import batch
from patterns.files.staging import JOURNAL, PREFIX, settled

FILES = 40
RUN = """
import sys
from pathlib import Path
from patterns.files.batch import batch
print("ready", flush=True)
with batch(Path(sys.argv[1])) as work:
    for name in range(int(sys.argv[3])):
        work.write(f"{name % 4}/{name}.txt", sys.argv[2] * 2000)
"""


def _names() -> list[str]:
    return [f"{number % 4}/{number}.txt" for number in range(FILES)]


def _write(folder: Path, text: str) -> None:
    with batch(folder) as work:
        for name in _names():
            work.write(name, text * 2000)


def _start(folder: Path, text: str) -> subprocess.Popen[bytes]:
    """A run that is about to write."""
    process = subprocess.Popen(
        [sys.executable, "-c", RUN, str(folder), text, str(FILES)], stdout=subprocess.PIPE
    )
    assert process.stdout is not None
    process.stdout.readline()
    return process


def _found(folder: Path) -> list[str]:
    """Each file's text, or ``torn``."""
    texts = []
    for name in _names():
        text = (folder / name).read_text() if (folder / name).exists() else ""
        once = text[: len(text) // 2000]
        texts.append(once if once * 2000 == text else "torn")
    return texts


def _length(folder: Path) -> float:
    """How long the writing takes, s."""
    process = _start(folder, "warm ")
    start = time.perf_counter()
    process.wait()
    return time.perf_counter() - start


def _until_moving(folder: Path, process: subprocess.Popen[bytes]) -> None:
    """Wait for the journal of a run."""
    while process.poll() is None and not list(folder.glob(f"{PREFIX}*/{JOURNAL}")):
        pass


def main(kills: int = 1000, seed: int = 1) -> None:
    """Print what is found."""
    rng = random.Random(seed)
    count = dict.fromkeys(
        ("killed", "killed while moving", "torn", "mixed", "left behind", "former", "new"), 0
    )
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "out"
        _write(folder, "old ")
        length = _length(folder)
        for number in range(kills):
            former, fresh = f"{number} ", f"{number + 1} "
            _write(folder, former)
            process = _start(folder, fresh)
            if number % 2:
                _until_moving(folder, process)
                time.sleep(rng.uniform(0.0, 0.1 * length))
            else:
                time.sleep(rng.uniform(0.0, 1.1 * length))
            process.kill()
            count["killed"] += process.wait() != 0
            count["killed while moving"] += len(set(_found(folder))) > 1
            settled(folder)
            texts = set(_found(folder))
            count["torn"] += not texts <= {former, fresh}
            count["mixed"] += len(texts) > 1
            count["former"] += texts == {former}
            count["new"] += texts == {fresh}
            count["left behind"] += any(list(near.glob(f"{PREFIX}*")) for near in (folder, folder.parent))
    for what, number in count.items():
        print(f"{what:20} {number:6}")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
