"""The house: arrows go one way, libraries stay in their rooms, the papers at the door are true."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from importlib.metadata import version
from pathlib import Path

import pytest
from click.testing import CliRunner
from packaging.requirements import Requirement

from tests.sources import nodes_of, tree_of

ROOT = Path(__file__).parents[1]
SOURCES = sorted([*(ROOT / "patterns").rglob("*.py"), *(ROOT / "tiling").rglob("*.py")])


@cache
def _imports(path: Path) -> frozenset[str]:
    return frozenset(_imported(nodes_of(path)))


def _imported(nodes: Iterable[ast.AST]) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module


def _users(library: str) -> set[str]:
    return {
        str(path.relative_to(ROOT))
        for path in SOURCES
        if any(name.split(".")[0] == library for name in _imports(path))
    }


WORDS_ARE_WRITTEN_IN = (
    "assembly",
    "drawing",
    "joinery",
    "members",
    "picture",
    "shop",
    "text",
    "timbers",
    "wood",
)
CUTS = {
    "startswith",
    "endswith",
    "partition",
    "rpartition",
    "removeprefix",
    "removesuffix",
    "isdigit",
    "isdecimal",
}
READS_WHAT_IS_TYPED = {"patterns/joinery/make_pieces.py"}  # names asked for by their beginning
READS_EXPRESSIONS = {
    "patterns/design/deck_models.py",
    "patterns/design/quantities.py",
    "patterns/design/strake_models.py",
    "patterns/design/toml_file.py",
    "patterns/design/water_quantities.py",
    "patterns/lesson/class_list.py",
    "patterns/lesson/paper_cost.py",
    "patterns/measure/angles.py",
    "patterns/measure/feet_inches.py",
    "patterns/measure/notation.py",
    "patterns/measure/reading.py",
    "patterns/measure/writing.py",
    "patterns/repair/points.py",
    "patterns/shop/cells.py",  # figures beside formulas, in what a spreadsheet will read
    "patterns/table/cell_lengths.py",  # errors of members made at the other end, whose words are turned yet
    "patterns/table/dialect.py",
    "patterns/table/spreadsheet.py",
}


def test_no_sentence_is_read_back() -> None:
    """Rooms that write words cut none up, and regular expressions read what people type: values are carried."""
    cutting = {
        str(path.relative_to(ROOT))
        for path in SOURCES
        if path.is_relative_to(ROOT / "patterns") and path.relative_to(ROOT).parts[1] in WORDS_ARE_WRITTEN_IN
        for node in nodes_of(path)
        if isinstance(node, ast.Attribute) and node.attr in CUTS
    }
    assert cutting == READS_WHAT_IS_TYPED
    assert {path for path in _users("re") if path.startswith("patterns")} == READS_EXPRESSIONS


def test_tiling_knows_nothing_of_boats() -> None:
    assert not {path for path in _users("patterns") if path.startswith("tiling")}
    code = "import sys, tiling.job, tiling.svg; sys.exit(any(m.split('.')[0] == 'patterns' for m in sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0


def test_patterns_imports_tiling_at_its_outer_edge_only() -> None:
    edge = {
        "patterns/drawing/of_pattern.py",
        "patterns/drawing/edge_signs.py",
        "patterns/drawing/strokes.py",
        "patterns/drawing/hole_signs.py",
        "patterns/drawing/legend.py",
        "patterns/drawing/titles.py",
        "patterns/run/page_request.py",
        "patterns/shop/lines_drawing.py",
        "patterns/shop/construction.py",
        "patterns/shop/scrieve_board.py",
        "patterns/shop/set_up_drawing.py",
        "patterns/shop/sighting.py",
        "patterns/drawing/ordinate_page.py",
        "patterns/drawing/word_tables.py",
        "patterns/run/printed.py",
        "patterns/shop/views.py",
        "patterns/shop/curvature.py",
        "patterns/shop/loft_book.py",
        "patterns/shop/raster_layout.py",
        "patterns/shop/book_tables.py",
        "patterns/shop/book_stock.py",
        "patterns/drawing/frame_up.py",
        "patterns/shop/book_planking.py",
        "patterns/shop/book_purchase.py",
        "patterns/shop/bevel_board.py",
        "patterns/shop/papers.py",
        "patterns/picture/plates.py",
        "patterns/picture/draft.py",
        "patterns/picture/lines.py",
        "patterns/picture/shapes.py",
        "patterns/picture/maps.py",
        "patterns/picture/sections.py",
        "patterns/picture/page.py",
        "patterns/run/job.py",
        "patterns/run/make.py",
        "patterns/run/summary.py",
        "patterns/run/mark.py",
        "patterns/subject.py",
        "patterns/repair/measurements.py",
        "patterns/repair/seen.py",
        "patterns/repair/subject.py",
        "patterns/run/ruler.py",
        "patterns/commands/checking.py",
        "patterns/desk/work.py",
        "patterns/commands/group.py",
        "patterns/commands/options.py",
        "patterns/commands/proof.py",
    }
    edge |= {str(path.relative_to(ROOT)) for path in (ROOT / "patterns" / "lesson").glob("*.py")}
    edge |= {"patterns/model/make.py", "patterns/model/packed.py"}
    assert {path for path in _users("tiling") if path.startswith("patterns")} <= edge


def test_what_members_share_knows_no_member() -> None:
    for room in ("joinery", "timbers", "hull", "flat", "fairing", "table", "design"):
        for path in (ROOT / "patterns" / room).glob("*.py"):
            assert not any(name.startswith("patterns.members") for name in _imports(path)), path


def test_areas_are_overlaid_in_one_place() -> None:
    """A plain overlay of edges at a hair's angle loses wood; see `patterns.flat.overlays`."""
    plain = {"union", "union_all", "unary_union", "difference", "intersection", "intersection_all"}
    allowed = {
        "patterns/flat/overlays.py",  # there they are
        "patterns/flat/shapes.py",  # two halves are welded on a coarser grid
        "patterns/shop/sheets.py",  # drawings as they were printed, on the printer's grid
    }
    found = {
        str(path.relative_to(ROOT))
        for path in SOURCES
        if path.is_relative_to(ROOT / "patterns")
        for node in nodes_of(path)
        if isinstance(node, ast.Attribute) and node.attr in plain
        and isinstance(node.value, ast.Name) and node.value.id == "shapely"
    }  # fmt: skip
    assert found == allowed


def test_libraries_whose_inner_parts_are_used_have_an_upper_bound() -> None:
    """The writer's document model and the reader's errors may change with their next great version."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [Requirement(text) for text in project["dependencies"]]
    bounds = {requirement.name: requirement.specifier for requirement in wanted}
    for name, modules in {"reportlab": "reportlab.pdfbase", "pypdf": "pypdf"}.items():
        assert any(used.startswith(modules) for path in SOURCES for used in _imports(path))
        assert any(bound.operator in ("<", "<=", "~=") for bound in bounds[name]), name
        assert bounds[name].contains(version(name)), (
            f"tested with {name} {version(name)}, which is not allowed"
        )


def test_reportlab_is_in_tiling_alone_and_click_in_the_command_line_alone() -> None:
    assert _users("reportlab")
    assert all(path.startswith("tiling/") for path in _users("reportlab"))
    assert all(path.startswith(("patterns/commands/", "patterns/cli.py")) for path in _users("click"))


def test_csv_is_written_in_one_place_that_guards_words_from_spreadsheets() -> None:
    editing = {"patterns/table/sheet_text.py"}  # writes back what the user typed, as it was typed
    assert _users("csv") - editing == {"patterns/shop/cells.py", "patterns/table/spreadsheet.py"}


def test_every_module_says_what_it_is_and_what_it_offers() -> None:
    for path in SOURCES:
        assert ast.get_docstring(tree_of(path)), path
        if path.name != "__init__.py":
            assert "__all__" in path.read_text(encoding="utf-8"), path


def test_only_what_belongs_stands_at_the_top() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0 or not listed.stdout:
        pytest.skip("no git here")
    tops = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "patterns", "tiling", "tests", "demo_design"}
    assert {top for top in tops if not top.startswith(".")} <= allowed


def test_every_command_in_the_readme_and_the_guides_exists_with_its_options() -> None:
    from patterns.cli import main

    papers = [ROOT / "README.md", *(ROOT / "patterns" / "guides").glob("*.md")]
    text = "\n".join(paper.read_text(encoding="utf-8") for paper in papers)
    commands = re.findall(r"`scrieve ([a-z]+)([^`]*)`", text)
    commands += re.findall(r"^    (?:\S*bin/)?scrieve ([a-z]+)(.*)", text, re.MULTILINE)
    commands += re.findall(r"bin/scrieve ([a-z]+)(.*)", text)
    assert {name for name, _ in commands} == set(main.commands)
    for name, rest in commands:
        helped = CliRunner().invoke(main, [name, "--help"]).output
        for option in re.findall(r"(?<= )--?[a-z-]+", rest):
            assert option in helped, (name, option)


def test_messages_name_only_options_that_exist() -> None:
    from patterns.cli import main

    known = {
        option
        for verb in main.commands.values()
        for each in verb.params
        for option in (*each.opts, *each.secondary_opts)
    }
    named = {
        (option, path.name)
        for path in SOURCES
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]*", path.read_text(encoding="utf-8"))
    }
    assert len(named) > 20
    assert {each for each in named if each[0] not in known | {"--help", "--version"}} == set()
