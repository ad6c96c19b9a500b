"""What of a run's processor time each of its stages takes: python -m tests.bench.stages VERB FOLDER [OPTION ...]

The functions that are a stage are timed where they are called; what is called within a stage counts as its own.
"""

from __future__ import annotations

import importlib
import sys
import time
from collections.abc import Callable
from functools import wraps
from typing import Any

STAGES = {
    "reading and fairing": ("patterns.subject", "load_boat"),
    "pieces": ("patterns.subject", "all_patterns"),
    "what lies on each": ("patterns.assembly.landings", "landed_in"),
    "doubts of pieces": ("patterns.assembly.doubts", "piece_doubts"),
    "drawings": ("patterns.run.make", "job_of"),
    "pages and words": ("tiling.job", "marked_plans"),
    "writing pages": ("tiling.job", "_write"),
    "pictures of pieces": ("patterns.run.make", "_write_shapes"),
    "papers and tables": ("patterns.run.make", "_write_papers"),
    "piece against piece": ("patterns.assembly.proof", "assembled"),
}
LOADED_FIRST = ("patterns.subject", "patterns.assembly.landings", "patterns.assembly.doubts")


def _timed(function: Callable[..., Any], name: str, spent: dict[str, float]) -> Callable[..., Any]:
    @wraps(function)
    def run(*args: Any, **named: Any) -> Any:
        started = time.process_time()
        try:
            return function(*args, **named)
        finally:
            spent[name] = spent.get(name, 0.0) + time.process_time() - started

    return run


def main(arguments: list[str]) -> None:
    """Run a command and print the seconds of each stage, and of all."""
    modules = {module for module, _ in STAGES.values()}
    if arguments[0] == "check":
        modules = {*LOADED_FIRST, *(["patterns.assembly.proof"] if "--assembly" in arguments else [])}
    for module in modules:
        importlib.import_module(module)
    from patterns.cli import main as command

    spent = {"imports": time.process_time()}
    for name, (module, function) in STAGES.items():
        if module in modules:
            held = sys.modules[module]
            setattr(held, function, _timed(getattr(held, function), name, spent))
    try:
        command(arguments, standalone_mode=False)
    finally:
        whole = time.process_time()
        spent["all else"] = whole - sum(spent.values())
        for name, seconds in {**spent, "whole": whole}.items():
            print(f"{name:22} {seconds:7.3f} s", file=sys.stderr)


if __name__ == "__main__":
    main(sys.argv[1:])
