"""The desk in a real browser, by keyboard alone: a table typed from empty, a slip found and put right."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from patterns.table.sheet_text import sheet_text
from tests.browser import Browser, Tab
from tests.patterns.desks import served
from tests.patterns.folders import DESIGN, TABLE, write_folder

pytestmark = pytest.mark.slow

ROWS = [line.split(",") for line in TABLE.splitlines()]
EMPTY = (
    "\n".join(",".join([*row[:2], *("" if n else cell for cell in row[2:])]) for n, row in enumerate(ROWS))
    + "\n"
)
SHEER = next(n for n, row in enumerate(ROWS, 1) if row[:2] == ["height", "sheer"])
STATION_4 = ROWS[0].index("4")
SUSPECTS = (
    "[...document.querySelectorAll('td.suspect input')]"
    ".map(i => [Number(i.dataset.row), Number(i.dataset.column)])"
)
HERE = "[document.activeElement.dataset.row, document.activeElement.dataset.column].map(Number)"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    browser = Browser()
    yield browser
    browser.close()


def serial(tab: Tab, at_least: int) -> None:
    """Until the lines of the table are drawn as it is after so many changes, doubts and all."""
    tab.until(
        "document.body && document.body.dataset.settled === 'true' &&"
        f"JSON.parse(document.body.dataset.drawn)['offsets.csv'] >= {at_least}"
    )


def held(tab: Tab) -> list[int]:
    found: list[int] = tab.run(HERE)
    return found


def test_a_table_is_typed_from_empty_and_its_slip_found_and_put_right(
    browser: Browser, tmp_path: Path
) -> None:
    folder = write_folder(tmp_path, table=EMPTY)
    with served(folder) as desk:
        files = desk.server.desk.files.files
        tab = browser.tab(desk.gate.address, width=1280, height=860)
        serial(tab, 1)
        assert tab.run("document.querySelectorAll('.pt[data-cell$=\"offsets.csv\"]').length") == 0

        # To the table by its own link; the first cell is the first heading.
        tab.key("Tab")
        tab.key("Enter")
        tab.key("Tab")
        assert held(tab) == [1, 0]

        # The positions are typed with Tab; the half of the table below them is pasted as a block.
        tab.key("ArrowDown")
        for _ in range(3):
            tab.key("Tab")
        assert held(tab) == [2, 3]
        for text in ROWS[1][3:9]:
            tab.type(text)
            tab.key("Tab")
        assert held(tab) == [2, 9]
        tab.key("Enter")
        for _ in range(7):
            tab.key("ArrowLeft")
        assert held(tab) == [3, 2]
        tab.paste("\n".join("\t".join(row[2:]) for row in ROWS[2 : SHEER - 1]))
        tab.until(f'document.querySelector(\'input[data-row="{SHEER - 1}"][data-column="9"]\').value')

        # Four figures of the sheer make a line of her own before anything else of her is known.
        for _ in range(SHEER - 3):
            tab.key("ArrowDown")
        assert held(tab) == [SHEER, 2]
        for text in ROWS[SHEER - 1][2:]:
            tab.type(text)
            tab.key("ArrowDown")
            tab.key("ArrowUp")
            tab.key("ArrowRight")
        tab.until("document.querySelectorAll('#view-profile .pt.offset').length > 5")

        # The rest, and all of it is on the drive as it was typed.
        tab.run(f'document.querySelector(\'input[data-row="{SHEER + 1}"][data-column="2"]\').focus(); 1')
        tab.paste("\n".join("\t".join(row[2:]) for row in ROWS[SHEER:]))
        tab.until("document.querySelectorAll('#view-body svg path').length")
        serial(tab, files["offsets.csv"].serial)
        assert sheet_text((folder / "offsets.csv").read_bytes()).typed() == sheet_text(TABLE.encode()).typed()
        assert tab.run(SUSPECTS) == []

        # A slip of an inch: its cell is marked, and the bar names what the batten wants.
        tab.run(
            f'document.querySelector(\'input[data-row="{SHEER}"][data-column="{STATION_4}"]\').focus(); 1'
        )
        tab.type("2-1-4+")
        assert [SHEER, STATION_4] in tab.until(f"(found => found.length && found)({SUSPECTS})")
        cell = "document.activeElement"
        assert tab.run(f"{cell}.getAttribute('aria-invalid')") == "true"
        described = tab.run(
            f"document.getElementById({cell}.getAttribute('aria-describedby').split(' ')[0]).textContent"
        )
        assert "suspect-offset" in described
        assert "2-0-4" in tab.until(
            "document.querySelector('#speaks .suspect') && document.querySelector('#speaks').textContent"
        )
        assert tab.run("document.querySelectorAll('#view-profile .pt.suspect').length") > 0
        assert "2-1-4+" in (folder / "offsets.csv").read_text(encoding="utf-8")  # at the pause

        # Taken back, it is as it was, byte for byte.
        tab.key("z", control=True)
        tab.until(f"!({SUSPECTS}).length")
        serial(tab, files["offsets.csv"].serial)
        assert "2-1-4+" not in (folder / "offsets.csv").read_text(encoding="utf-8")
        assert tab.run(f"{cell}.value") == "2-0-4+"

        assert tab.faults() == []
        assert all(url.startswith(desk.gate.address) for url in tab.requests())
        tab.close()


def test_what_another_program_writes_is_shown_and_not_overwritten(browser: Browser, tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    with served(folder) as desk:
        tab = browser.tab(desk.gate.address)
        serial(tab, 1)
        theirs = TABLE.replace("2-0-0,2-0-3", "2-0-1,2-0-2")
        (folder / "offsets.csv").write_text(theirs, encoding="utf-8")
        tab.until("!document.getElementById('notice').hidden")
        column = ROWS[SHEER - 1].index("2-0-0")
        cell = f'document.querySelector(\'input[data-row="{SHEER}"][data-column="{column}"]\')'
        assert tab.until(f"{cell}.value === '2-0-1'")
        assert (folder / "offsets.csv").read_text(encoding="utf-8") == theirs
        tab.close()


@pytest.mark.parametrize("dark", [False, True])
def test_at_360_points_nothing_is_cut_off_and_everything_has_a_name(
    browser: Browser, tmp_path: Path, dark: bool
) -> None:
    with served(write_folder(tmp_path)) as desk:
        tab = browser.tab(desk.gate.address, width=360, height=780, phone=True)
        tab.dark(dark)
        serial(tab, 1)
        assert tab.run("document.documentElement.scrollWidth") <= 360
        unnamed = tab.run(
            "[...document.querySelectorAll('button, input, select, textarea')].filter(e => e.offsetParent &&"
            "!(e.textContent.trim() || e.getAttribute('aria-label') || (e.labels && e.labels.length))).length"
        )
        assert unnamed == 0
        small = tab.run(
            "[...document.querySelectorAll('#tools button, #files button, #choose button')]"
            ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).length"
        )
        assert small == 0  # W3C, WCAG 2.2, success criterion 2.5.5
        assert tab.faults() == []
        tab.close()


def test_a_key_of_the_design_file_is_found_typed_and_taken_back(browser: Browser, tmp_path: Path) -> None:
    """From the list of findings to its field, by keyboard."""
    lacking = DESIGN.replace('rake = "12 deg"\n', 'rake = ""   # top aft\n', 1)
    folder = write_folder(tmp_path, design=lacking)
    with served(folder) as desk:
        tab = browser.tab(desk.gate.address, width=1280, height=860)
        tab.until(
            "document.querySelectorAll('#found button').length * document.querySelectorAll('.entry').length"
        )
        place = 'design.toml, end "stern", key rake'
        tab.run(
            f"[...document.querySelectorAll('#found button')].find(b => b.textContent === {place!r}).focus(); 1"
        )
        tab.key("Enter")
        assert tab.until("document.activeElement.id") == "key-end-1-rake"
        assert not tab.run("document.getElementById('design').hidden")
        tab.type("12 deg")
        tab.key("Tab")
        tab.until("document.getElementById('found').textContent === 'Nothing.'")
        assert (folder / "design.toml").read_text(encoding="utf-8") == lacking.replace(
            'rake = ""', 'rake = "12 deg"'
        )
        tab.until("!document.querySelector('#design-tools button').disabled")
        tab.run("document.querySelector('#design-tools button').click(); 1")
        tab.until("document.querySelector('#key-end-1-rake').value === ''")
        assert (folder / "design.toml").read_text(encoding="utf-8") == lacking
        assert tab.faults() == []
        tab.close()
