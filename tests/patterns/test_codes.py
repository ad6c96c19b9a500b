"""Each finding has a code, each code is in the registry, and each of the registry is given somewhere."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import patterns
from patterns import codes
from patterns.codes import CODES, DOUBTS, Severity
from patterns.design.confirmed import with_remedy
from patterns.errors import Problem
from tests.sources import nodes_of

SOURCE = Path(patterns.__file__).parent
ROOMS = sorted({path.parent.relative_to(SOURCE).as_posix() for path in SOURCE.rglob("*.py")})
"""Every room; "." is the modules at the root."""
GIVES = ("Problem", "trouble", "_say")  # calls that make a finding


def _calls(path: Path) -> Iterator[ast.Call]:
    for node in nodes_of(path):
        if isinstance(node, ast.Call):
            yield node


def _name(call: ast.Call) -> str:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _uncoded(path: Path) -> list[str]:
    return [
        f"{path.relative_to(SOURCE)}:{call.lineno}"
        for call in _calls(path)
        if _name(call) in GIVES and not any(key.arg == "code" for key in call.keywords)
    ]


def _written() -> set[str]:
    """Every code that is written out where a call is given one."""
    return {
        value.value
        for path in SOURCE.rglob("*.py")
        for call in _calls(path)
        for key in call.keywords
        if key.arg == "code"
        for value in ast.walk(key.value)
        if isinstance(value, ast.Constant) and isinstance(value.value, str) and value.value
    }


def _texts() -> set[str]:
    """Every text of the source but for the registry itself."""
    return {
        node.value
        for path in SOURCE.rglob("*.py")
        if path.parent != SOURCE / "codes"
        for node in nodes_of(path)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


@pytest.mark.parametrize("room", ROOMS)
def test_every_finding_of_a_room_has_a_code(room: str) -> None:
    files = sorted((SOURCE / room).glob("*.py"))
    assert files
    assert [place for path in files for place in _uncoded(path)] == []


def test_every_code_that_is_given_is_in_the_registry() -> None:
    written = _written()
    assert len(written) > 150
    assert written - set(CODES) == set()


def test_every_code_of_the_registry_is_given_somewhere() -> None:
    assert set(CODES) - _texts() == set()


def test_a_code_is_in_one_room_of_the_registry_only() -> None:
    listed = [name for room in codes.ROOMS for meanings in room.MEANINGS.values() for name in meanings]
    assert len(listed) == len(set(listed)) == len(CODES)


def test_what_is_not_typed_yet_is_what_its_code_says() -> None:
    for code in CODES.values():
        missing = code.severity is Severity.MISSING
        assert Problem("a.csv", "wrong", code=code.name).missing == missing, code.name


def test_a_meaning_is_one_sentence() -> None:
    assert len(CODES) > 150
    for code in CODES.values():
        assert code.name == code.name.lower().replace(" ", "-").replace("_", "-")
        assert code.means[0].isupper(), code
        assert code.means.endswith("."), code
        assert ". " not in code.means, code
        assert len(code.means) <= 110, code


def test_a_doubt_and_nothing_else_is_shown_with_the_key_that_confirms_it() -> None:
    assert len(DOUBTS) > 40
    for code in CODES.values():
        shown = with_remedy(Problem("a.csv", "odd", "look", code=code.name))
        assert (f'confirmed = ["{code.name}"]' in shown.want) == (code.severity is Severity.DOUBT), code
        assert (code.name in DOUBTS) == (code.severity is Severity.DOUBT), code
