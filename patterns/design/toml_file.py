"""The design file as text: read, decoded and parsed, or one problem with its line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from patterns.errors import Problem

__all__ = ["DESIGN_FILE", "read_toml"]

DESIGN_FILE = "design.toml"
MOST_BYTES = 1_000_000  # no boat needs more; what does is another file (common practice, no source)

_TOML_WORDS = (
    ("Cannot overwrite", "a key is given for the second time"),
    ("Cannot declare", "a table is given for the second time (tables that may repeat have [[ ]])"),
    ("Cannot mutate", "a table is given for the second time (tables that may repeat have [[ ]])"),
    ("Invalid value", "no value can be read after the equals sign (lengths and words go in quotes)"),
    ("Expected '='", "no equals sign follows the key"),
    ("Unterminated string", "a quote is not closed"),
    ("Illegal character", "a quote is not closed on its line, or a sign is not allowed here"),
    ("Expected newline", "the line holds more than one key and its value"),
    ("Unclosed array", "a bracket is not closed"),
    ("Invalid statement", "this is neither a key nor a table's heading"),
)


def read_toml(folder: Path) -> tuple[dict[str, Any], list[Problem]]:
    """The design file's raw tables; empty with one problem where it cannot be read."""
    path = folder / DESIGN_FILE
    try:
        there = folder.is_dir()
    except OSError as error:  # e.g. a name longer than a name may be
        return {}, [Problem(str(folder), f"cannot be read ({error.strerror})", code="cannot-read")]
    if not there:
        return {}, [
            Problem(
                str(folder), "folder not found", f"name the folder that holds {DESIGN_FILE}", code="no-folder"
            )
        ]
    text = ""
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            want = f"a design file has at most {MOST_BYTES:,}; is this another file?"
            return {}, [Problem(DESIGN_FILE, f"has {size:,} bytes", want, code="large-file")]
        text = path.read_bytes().decode("utf-8-sig")
        return tomllib.loads(text), []
    except FileNotFoundError:
        return {}, [
            Problem(
                DESIGN_FILE,
                f"is not in the folder {folder}",
                "a design is a folder that holds it",
                code="no-design",
            )
        ]
    except OSError as error:
        return {}, [Problem(DESIGN_FILE, f"cannot be read ({error.strerror})", code="cannot-read")]
    except UnicodeDecodeError as error:
        line = 1 + path.read_bytes()[: error.start].count(b"\n")
        return {}, [
            Problem(
                f"{DESIGN_FILE}, line {line}",
                "a letter is not in UTF-8",
                "save the file as UTF-8",
                code="not-utf-8",
            )
        ]
    except tomllib.TOMLDecodeError as error:
        return {}, [_toml_problem(str(error), text)]
    except RecursionError:
        return {}, [_too_deep(text)]
    except ValueError:  # a whole number with more digits than Python reads
        return {}, [_too_long(text)]


def _too_deep(text: str) -> Problem:
    """Brackets within brackets beyond what can be read, at the line that has most of them."""
    brackets = [line.count("[") + line.count("{") for line in text.splitlines()]
    where = f"{DESIGN_FILE}, line {1 + brackets.index(max(brackets))}"
    return Problem(where, "brackets are nested too deep", "remove them", code="deep-nesting")


def _too_long(text: str) -> Problem:
    """A number of thousands of digits, at its line."""
    found = re.search(r"[0-9_]{1000,}", text)
    number = 1 + text.count("\n", 0, found.start() if found else 0)
    want = 'write a length with its unit in quotes, e.g. "18 mm"'
    return Problem(f"{DESIGN_FILE}, line {number}", "a number has thousands of digits", want, code="too-long")


def _toml_problem(message: str, text: str) -> Problem:
    found = re.search(r"\(at line (\d+), column \d+\)", message)
    lines = text.splitlines()
    number = int(found[1]) if found else len(lines)
    what = next((words for start, words in _TOML_WORDS if message.startswith(start)), message)
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    cure = ""
    if message.startswith("Expected newline") and line.partition("=")[2].count('"') > 2:
        cure = """; put words that hold a quote in single quotes, e.g. 'the "Owl"'"""
    return Problem(
        f"{DESIGN_FILE}, line {number}",
        what,
        f"the line is: {line}{cure}" if line else "",
        code="invalid-toml",
    )
