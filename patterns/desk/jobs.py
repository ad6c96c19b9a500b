"""Work in the background: one piece of it at a time, in a process of its own, with its progress for the page."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from typing import Any

__all__ = ["Jobs"]

ENDED = "it ended before it was done"


class Jobs:
    """The work of one desk.

    Attributes:
        tell: called with the state of the work whenever it is another: its kind, whether it runs, how much is done,
            and what came of it.
    """

    def __init__(self, tell: Callable[[Mapping[str, Any]], None]) -> None:
        self.tell = tell
        self._starting = threading.Lock()
        self._lock = threading.Lock()
        self._process: subprocess.Popen[str] | None = None
        self._reader: threading.Thread | None = None

    def start(self, kind: str, arguments: Sequence[str], **state: Any) -> None:
        """Begin a piece of work; one that runs is given up.

        Args:
            state: what the page is told of it besides.
        """
        with self._starting:
            self.stop()
            self._start(kind, arguments, state)

    def _start(self, kind: str, arguments: Sequence[str], state: Mapping[str, Any]) -> None:
        with self._lock:
            process = subprocess.Popen(
                [sys.executable, "-m", "patterns.desk.work", kind, *arguments],
                stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
                encoding="utf-8", env={**os.environ, "PYTHONIOENCODING": "utf-8", "OPENBLAS_NUM_THREADS": "1"},
            )  # fmt: skip
            self._process = process
            self.tell({"kind": kind, "running": True, **state})
            self._reader = threading.Thread(
                target=self._read, args=(process, {"kind": kind, **state}), daemon=True
            )
            self._reader.start()

    def stop(self) -> None:
        """Give up what runs."""
        with self._lock:
            process, reader = self._process, self._reader
            self._process = self._reader = None
        if process is not None:
            process.terminate()
        if reader is not None:
            reader.join()

    def _read(self, process: subprocess.Popen[str], state: dict[str, Any]) -> None:
        """Hand on what the process says, until it ends."""
        assert process.stdout is not None
        last: dict[str, Any] = {}
        with process.stdout as lines:
            for line in lines:
                last = json.loads(line)
                if "total" in last:
                    self.tell({**state, "running": True, **last})
        failed = process.wait() != 0
        with self._lock:
            given_up = self._process is not process
            if not given_up:
                self._process = None
        result = {"stopped": True} if given_up else {"problems": [ENDED]} if failed else last
        self.tell({**state, "running": False, **result})
