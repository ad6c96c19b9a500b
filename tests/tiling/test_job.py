"""The finished file against the drawing: every vertex, the whole path, every word, as written and as rendered."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject
from scipy.spatial import cKDTree

from tests.tiling.readback import Line, Sheet, read
from tests.tiling.rendering import render
from tests.tiling.samples import A4, plate, ring, small_job
from tiling.drawing import Drawing, FloatArray, Path, Stroke
from tiling.errors import TilingError
from tiling.job import Job, Piece, write_pdf
from tiling.layout.page_layout import Tile
from tiling.paper import Page, parse_paper
from tiling.planning.page_choice import chosen_pages
from tiling.planning.plan import Plan, plan_pieces

VERTEX, PATH = 0.002, 0.01  # mm: what a written vertex and a written path may be off
LANDSCAPE = Page(paper=parse_paper("letter"), landscape=True)


def drawing_lines(sheet: Sheet) -> list[Line]:
    """The lines of a page that belong to the drawing: they alone are clipped to the window."""
    return [line for line in sheet.lines if line.clip is not None]


def to_drawing(plan: Plan, tile: Tile, points: FloatArray) -> FloatArray:
    return plan.layout.to_page(tile).inverse().then(plan.layout.to_grid.inverse()).apply(points)


def offsets(plan: Plan, sheets: dict[str, Sheet]) -> tuple[float, float]:
    """How far the worst written vertex is from a vertex of the drawing, and the worst place of the drawing's own
    lines from what is written on a page that shows it, mm."""
    model = [np.vstack([p.points, p.points[:1]]) if p.closed else p.points for p in plan.drawing.paths]
    # leaders and words are not part of the drawing: only strokes as broad as a path's are compared
    widths = {round(p.stroke.width, 3) for p in plan.drawing.paths}
    vertices = cKDTree(np.vstack(model))
    worst_vertex = worst_path = 0.0
    for tile in plan.layout.tiles:
        sheet = sheets[plan.page_name(tile)]
        lines = [
            to_drawing(
                plan,
                tile,
                np.vstack([line.points, line.points[:1]]) if line.closed or line.filled else line.points,
            )
            for line in drawing_lines(sheet)
            if not line.curved and (line.filled or round(line.width, 3) in widths)
        ]
        for points in lines:
            worst_vertex = max(worst_vertex, float(vertices.query(points)[0].max()))
        written = shapely.union_all([shapely.LineString(points) for points in lines])
        window = shapely.box(*tile.window)
        for points in model:
            shown = shapely.LineString(plan.layout.to_grid.apply(points)).intersection(window)
            if shown.is_empty:
                continue
            places = shapely.get_coordinates(shapely.segmentize(shown, 5.0))
            back = plan.layout.to_grid.inverse().apply(places)
            worst_path = max(worst_path, float(shapely.distance(shapely.points(back), written).max()))
    return worst_vertex, worst_path


@pytest.fixture(scope="module", params=[A4, LANDSCAPE], ids=["A4", "letter-landscape"])
def made(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[FilePath, Job, tuple[Plan, ...]]:
    job = small_job(page=request.param)
    path = tmp_path_factory.mktemp("job") / "job.pdf"
    write_pdf(job, path)
    return path, job, plan_pieces(job.pieces, job.page)


def by_label(path: FilePath) -> dict[str, Sheet]:
    return {sheet.label: sheet for sheet in read(path)}


@pytest.mark.slow
def test_every_written_vertex_and_the_whole_path_are_the_drawings(
    made: tuple[FilePath, Job, tuple[Plan, ...]],
) -> None:
    path, _, plans = made
    sheets = by_label(path)
    for plan in plans:
        vertex, line = offsets(plan, sheets)
        assert vertex <= VERTEX
        assert line <= PATH


def spoiled(path: FilePath, label: str, change: Callable[[bytes], bytes]) -> FilePath:
    """The file with one page's operators changed."""
    reader, writer = PdfReader(path), PdfWriter(clone_from=path)
    index = reader.page_labels.index(label)
    data = writer.pages[index].get_contents()
    assert data is not None
    stream = DecodedStreamObject()
    stream.set_data(change(data.get_data()))
    writer.pages[index][NameObject("/Contents")] = writer._add_object(stream)
    out = path.with_name("spoiled.pdf")
    writer.write(out)
    return out


def shifted(data: bytes) -> bytes:
    clip = data.index(b"re W n")
    return data[: clip + 7] + b"1 0 0 1 0.1 0 cm\n" + data[clip + 7 :]


def shrunk(data: bytes) -> bytes:
    return b"0.999 0 0 0.999 0 0 cm\n" + data


def without_a_line(data: bytes) -> bytes:
    return re.sub(rb"(0\.7 w .*?)\s[Ss]\n", rb"\1 n\n", data, count=1, flags=re.DOTALL)


@pytest.mark.slow
@pytest.mark.parametrize("change", [shifted, shrunk, without_a_line])
def test_a_spoiled_page_is_found(
    made: tuple[FilePath, Job, tuple[Plan, ...]], change: Callable[[bytes], bytes]
) -> None:
    path, _, plans = made
    plan = plans[0]
    tile = plan.layout.tiles[0]
    vertex, line = offsets(plan, by_label(spoiled(path, plan.page_name(tile), change)))
    assert vertex > VERTEX or line > PATH


@pytest.mark.slow
def test_every_note_is_whole_on_some_page(made: tuple[FilePath, Job, tuple[Plan, ...]]) -> None:
    path, _, plans = made
    sheets = by_label(path)
    for plan in plans:
        wanted = [line for note in plan.drawing.notes for line in note.text.split("\n")]
        whole: set[str] = set()
        for tile in plan.layout.tiles:
            for said in sheets[plan.page_name(tile)].said:
                if said.clip is None:
                    continue
                x0, y0, x1, y1 = said.clip
                x, y = said.at
                # a capital of DejaVu Sans is 0.729 of the size; no letter is broader than 1.03 of it, most are 0.62
                if (
                    x0 <= x
                    and y0 <= y
                    and y + 0.729 * said.size <= y1
                    and x + 0.45 * said.size * len(said.text) <= x1
                ):
                    whole.add(said.text)
        assert set(wanted) <= whole


@pytest.mark.slow
def test_letters_are_high_enough_to_read(made: tuple[FilePath, Job, tuple[Plan, ...]]) -> None:
    for sheet in read(made[0]):
        heights = {round(said.size * 1493 / 2048, 2) for said in sheet.said if said.text.strip()}
        assert min(heights) >= 2.49  # ruler figures
        words = [
            s for s in sheet.said if len(s.text) > 3 and not s.text.isdigit() and s.text not in ("inches",)
        ]
        # A card is read in the hand, and so are the lines up the strip when pages are sorted; a pattern is read
        # from where one stands over it.
        words = [s for s in words if not (s.turn and s.at[0] < made[1].page.window[0])]
        least = 2.49 if sheet.label.startswith(("cards", "list")) else 3.49
        assert min(round(said.size * 1493 / 2048, 2) for said in words) >= least


@pytest.mark.slow
def test_strokes_are_of_the_iso_series(made: tuple[FilePath, Job, tuple[Plan, ...]]) -> None:
    # ISO 128-2:2020 (from memory): 0.13 0.18 0.25 0.35 0.5 0.7 1 1.4 2 mm
    series = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}
    widths = {round(line.width, 3) for sheet in read(made[0]) for line in sheet.lines if line.stroked}
    assert widths <= series


@pytest.mark.slow
def test_dashes_run_on_over_pages(made: tuple[FilePath, Job, tuple[Plan, ...]]) -> None:
    """Each run of the dashed centreline begins at the phase of its place on the whole line."""
    path, _, plans = made
    plan = plans[0]
    dashed = next(p for p in plan.drawing.paths if p.stroke.dash)
    start = dashed.points[0]
    sheets = by_label(path)
    found = 0
    for tile in plan.layout.tiles:
        for line in drawing_lines(sheets[plan.page_name(tile)]):
            if len(line.dash[0]) == 4:
                first = to_drawing(plan, tile, line.points)[0]
                along = float(np.hypot(*(first - start)))
                assert (along - line.dash[1] + 0.01) % sum(dashed.stroke.dash) < 0.02
                found += 1
    assert found >= 2


def test_dashes_of_a_curve_agree_where_two_pages_overlap(tmp_path: FilePath) -> None:
    angle = np.linspace(0.0, 3.0, 2000)
    points = np.column_stack([500.0 * np.cos(angle), 500.0 * np.sin(angle)])
    stroke = Stroke(width=0.35, dash=(5.0, 3.0))
    piece = Piece(
        made_from="formula",
        name="arc",
        drawing=Drawing(paths=(Path(points=points, stroke=stroke),)),
    )
    job = small_job(pieces=(piece,))
    write_pdf(job, tmp_path / "arc.pdf")
    (plan,) = plan_pieces(job.pieces, job.page)
    sheets = by_label(tmp_path / "arc.pdf")
    phases = 0
    for tile in plan.layout.tiles:
        for line in drawing_lines(sheets[plan.page_name(tile)]):
            if line.dash[0] and round(line.width, 2) == 0.35:
                x, y = to_drawing(plan, tile, line.points)[0]
                along = 500.0 * np.arctan2(y, x)  # the arc's own length, by its formula
                off = (along - line.dash[1]) % 8.0
                assert min(off, 8.0 - off) < 0.05
                phases += line.dash[1] > 0.0
    assert phases >= 3


@pytest.mark.slow
def test_stitched_renderings_reproduce_the_outline(made: tuple[FilePath, Job, tuple[Plan, ...]]) -> None:
    """Across the outer outline, at places all round it, the middle of the printed stroke is where it should be."""
    path, _, plans = made
    plan = plans[0]
    outline = plan.layout.to_grid.apply(plan.drawing.paths[0].points)
    labels = [sheet.label for sheet in read(path)]
    clear = shapely.union_all([shapely.LineString(seam.line) for seam in plan.layout.seams])
    others = np.vstack(
        [plan.layout.to_grid.apply(p.points) for p in plan.drawing.paths[1:]]
        + [plan.layout.to_grid.apply(np.array([d.centre])) for d in plan.drawing.discs]
    )
    near_others = cKDTree(others)
    measured, worst = 0, 0.0
    for tile in plan.layout.tiles:
        picture = render(path, labels.index(plan.page_name(tile)), dpi=200.0)
        x0, y0, x1, y1 = plan.layout.visible(tile)
        shift = plan.layout.to_page(tile)
        for index in range(5, len(outline) - 5, 15):
            x, y = outline[index]
            if not (x0 + 3 < x < x1 - 3 and y0 + 3 < y < y1 - 3):
                continue
            if shapely.distance(clear, shapely.Point(x, y)) < 7.0 or near_others.query((x, y))[0] < 8.0:
                continue
            way = outline[index + 5] - outline[index - 5]
            across = np.array([-way[1], way[0]]) / np.hypot(*way)
            px, py = shift.at((float(x), float(y)))
            dark, gx, gy = picture.window(px, py, 2.0)
            along = (gx - px) * across[1] - (gy - py) * across[0]
            off = (gx - px) * across[0] + (gy - py) * across[1]
            weight = np.where((np.abs(along) < 1.0) & (np.abs(off) < 1.5), dark, 0.0)
            if np.hypot(*across) == 0.0 or weight.sum() == 0.0:
                raise AssertionError(f"no ink at {x:.1f}, {y:.1f}")
            worst = max(worst, abs(float((weight * off).sum() / weight.sum())))
            measured += 1
    assert measured > 80
    assert worst < 0.05


@pytest.mark.slow
def test_chosen_pages_keep_their_names_numbers_and_content(
    made: tuple[FilePath, Job, tuple[Plan, ...]], tmp_path: FilePath
) -> None:
    path, job, plans = made
    whole = read(path)
    name = plans[0].page_name(plans[0].layout.tiles[2])
    asked = f"1, {name.upper()}, {len(whole)}"
    part = tmp_path / "part.pdf"
    summary = write_pdf(job, part, pages=asked)
    sheets = read(part)
    assert [sheet.label for sheet in sheets] == [whole[0].label, name, whole[-1].label]
    assert (summary.pages, summary.written) == (len(whole), 3)
    for sheet in sheets:
        original = next(other for other in whole if other.label == sheet.label)
        # The first page shows the code of its own file's record.
        one, other = (
            [said for said in each.said if not said.text.startswith("record ")] for each in (sheet, original)
        )
        assert one == other
        assert len(sheet.lines) == len(original.lines)


@pytest.mark.slow
@pytest.mark.parametrize("asked", ["0", "99999", "3-1", "ring Z9", "1,,x", "", "1-99999", "-3"])
def test_a_page_that_is_not_there_is_named(asked: str, tmp_path: FilePath) -> None:
    with pytest.raises(TilingError, match="no such page") as caught:
        write_pdf(small_job(pieces=(plate(),)), tmp_path / "part.pdf", pages=asked)
    wrong = [part.strip() for part in asked.split(",") if part.strip() and part.strip() != "1"]
    for part in wrong:
        assert repr(part) in str(caught.value)


def test_progress_counts_every_page(tmp_path: FilePath) -> None:
    calls: list[tuple[int, int]] = []
    summary = write_pdf(
        small_job(), tmp_path / "a.pdf", progress=lambda done, total: calls.append((done, total))
    )
    assert calls == [(done, summary.pages) for done in range(1, summary.pages + 1)]


@pytest.mark.slow
def test_the_summary_says_where_each_piece_stands(made: tuple[FilePath, Job, tuple[Plan, ...]]) -> None:
    path, job, _ = made
    labels = [sheet.label for sheet in read(path)]
    summary = write_pdf(job, path.with_name("again.pdf"))
    assert summary.pages == summary.written == len(labels)
    for piece, first, last in summary.places:
        assert all(label.startswith(f"{piece.name} ") for label in labels[first - 1 : last])
        assert last == len(labels) or not labels[last].startswith(f"{piece.name} ")


def test_a_drawing_that_is_not_finite_is_refused(tmp_path: FilePath) -> None:
    points = np.array([[0.0, 0.0], [10.0, np.nan], [20.0, 0.0]])
    piece = Piece(
        made_from="formula",
        name="torn",
        drawing=Drawing(paths=(Path(points=points, stroke=Stroke(width=0.35)),)),
    )
    with pytest.raises(TilingError, match="finite"):
        write_pdf(small_job(pieces=(piece,)), tmp_path / "torn.pdf")


def test_a_job_without_pieces_or_ink_is_refused(tmp_path: FilePath) -> None:
    with pytest.raises(TilingError, match="no piece"):
        write_pdf(replace(small_job(), pieces=()), tmp_path / "none.pdf")
    empty = Piece(made_from="formula", name="blank", drawing=Drawing())
    with pytest.raises(TilingError, match="blank: nothing is drawn"):
        write_pdf(small_job(pieces=(empty,)), tmp_path / "none.pdf")


@pytest.mark.slow
def test_two_pieces_of_one_name_have_pages_of_different_names(tmp_path: FilePath) -> None:
    write_pdf(small_job(pieces=(plate(), plate(), ring(name="knee"))), tmp_path / "same.pdf")
    labels = [sheet.label for sheet in read(tmp_path / "same.pdf")]
    assert len(set(labels)) == len(labels)


def test_a_page_that_is_not_there_is_answered_with_one_of_its_own_pattern() -> None:
    names = ["print and check", "frame 2 A1", "frame 2 A2", "frame 3 A1", "transom A1"]
    for asked, example in (("Frame 2 C9", "frame 2 A1"), ("frame 3 b", "frame 3 A1"), ("zz", "transom A1")):
        with pytest.raises(TilingError) as caught:
            chosen_pages(asked, names)
        assert repr(example) in str(caught.value)
