"""The first pages: what they must say, what is computed on them, and that the maps agree with the pages."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely

from tests.tiling.readback import Sheet, read
from tests.tiling.samples import A4, plate, ring, small_job
from tiling.distances.checks import band, feet_inches, seams_between, targets_of
from tiling.drawing import Distance, Drawing, Note
from tiling.drawing import Path as Line
from tiling.job import Job, write_pdf
from tiling.pages.first_pages import Extra, fill
from tiling.pages.ruler_readings import fitted, readings
from tiling.pages.text_flow import Flow
from tiling.paper import Page, parse_paper
from tiling.pdf.pdf_file import PdfFile
from tiling.planning.card import Card
from tiling.planning.piece_marks import marked
from tiling.planning.plan import Plan, plan_pieces
from tiling.text.lines import elided
from tiling.text.typeface import size_for, text_width

PAGES = [A4, Page(paper=parse_paper("letter"), landscape=True), Page(paper=parse_paper("A5"))]


@pytest.fixture(scope="module", params=PAGES, ids=["A4", "letter-landscape", "A5"])
def made(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[list[Sheet], Job, tuple[Plan, ...], int]:
    job = small_job(page=request.param)
    path = tmp_path_factory.mktemp("front") / "job.pdf"
    summary = write_pdf(job, path)
    return read(path), job, plan_pieces(job.pieces, job.page), summary.first_pages


def words_of(sheets: list[Sheet]) -> str:
    return " ".join(sheet.text for sheet in sheets)


@pytest.mark.slow
def test_every_page_says_what_it_is_and_how_to_print_it(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    sheets, job, plans, first = made
    marks = [job.mark] * first + [plan.mark for plan in marked(job, plans) for _ in plan.layout.tiles]
    assert len(set(marks)) == len(plans) + 1
    for number, (sheet, mark) in enumerate(zip(sheets, marks, strict=True), start=1):
        assert f"page {number} of {len(sheets)}" in sheet.text
        assert f"Mark {mark}" in sheet.text
        assert "100 %" in sheet.text


@pytest.mark.slow
def test_the_list_names_the_mark_of_every_pattern(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    sheets, job, plans, first = made
    listed = [said.text for sheet in sheets[:first] for said in sheet.said]
    assert all(plan.mark in listed for plan in marked(job, plans))


@pytest.mark.slow
def test_pattern_pages_name_boat_piece_place_and_neighbours(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    sheets, job, plans, _ = made
    by_label = {sheet.label: sheet for sheet in sheets}
    for plan in plans:
        for tile in plan.layout.tiles:
            text = by_label[plan.page_name(tile)].text
            assert job.title in text
            assert plan.label in text
            large = max(by_label[plan.page_name(tile)].said, key=lambda said: said.size)
            assert large.text == tile.name
            for side in ("left", "right", "above", "below"):
                neighbour = plan.layout.neighbour(tile, side)
                if neighbour is not None:
                    assert re.search(rf"\b{neighbour.name}\b", text)


@pytest.mark.slow
def test_first_pages_tell_how_to_print_check_tape_and_measure(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    sheets, job, _, first = made
    text = words_of(sheets[:first])
    for said in ("Actual size", "100 %", "two places", "Trim a page", "right side", "match mark", "swelled"):
        assert said in text
    assert "Make knee in card" in text
    assert job.cautions[0] in text


@pytest.mark.slow
def test_the_list_gives_each_piece_its_pages(made: tuple[list[Sheet], Job, tuple[Plan, ...], int]) -> None:
    sheets, _, plans, first = made
    listed = words_of([sheet for sheet in sheets if sheet.label.startswith("list of patterns")])
    at = first + 1
    for plan in plans:
        last = at + len(plan.layout.tiles) - 1
        assert sheets[at - 1].label.startswith(plan.label)
        wanted = f"{at}-{last}" if last > at else f"{at}"
        assert wanted in listed
        at = last + 1
    assert f"{len(sheets)} pages in all" in listed


@pytest.mark.slow
def test_the_map_shows_every_page_and_crosses_the_missing_ones(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    sheets, _, plans, _ = made
    maps = [sheet for sheet in sheets if sheet.label.startswith("cards")]
    said = [said.text for sheet in maps for said in sheet.said]
    for plan in plans:
        for tile in plan.layout.tiles if len(plan.layout.tiles) > 1 else ():
            assert tile.name in said
    crosses = sum(
        1 for sheet in maps for line in sheet.lines if line.dash[0] and round(line.dash[0][0], 3) == 1.0
    )
    missing = sum(plan.layout.rows * plan.layout.columns - len(plan.layout.tiles) for plan in plans)
    assert crosses == 2 * missing


@pytest.mark.slow
def test_maps_share_pages_and_none_is_split_from_its_table(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    sheets, _, plans, _ = made
    texts = [words_of([sheet]) for sheet in sheets if sheet.label.startswith("cards")]
    if sheets[0].height > 290.0:  # A5 has no room for two
        assert len(texts) < len(plans)
    for plan in plans:
        [own] = [text for text in texts if plan.mark in text]
        for check in plan.checks:
            assert f"{check.letters[0]} to {check.letters[1]}" in own


@pytest.mark.slow
def test_targets_of_the_long_distances_are_printed_where_the_map_says(
    made: tuple[list[Sheet], Job, tuple[Plan, ...], int],
) -> None:
    """The discs read back from the pages are as far apart as the map claims."""
    sheets, _, plans, _ = made
    by_label = {sheet.label: sheet for sheet in sheets}
    plan = plans[0]
    assert len(plan.checks) >= 2
    spots: list[tuple[float, float]] = []
    for tile in plan.layout.tiles:
        back = plan.layout.to_page(tile).inverse().then(plan.layout.to_grid.inverse())
        spots += [
            back.at(spot.centre)
            for spot in by_label[plan.page_name(tile)].spots
            if abs(spot.radius - 0.5) < 0.001
        ]
    text = words_of([sheet for sheet in sheets if sheet.label.startswith("cards")])
    for check in plan.checks:
        nearest = [
            min(spots, key=lambda s, e=end: math.dist(s, e))
            for end in (check.distance.start, check.distance.end)
        ]
        assert math.dist(*nearest) == pytest.approx(check.distance.length, abs=0.002)
        assert f"{check.distance.length:.1f}" in text
        assert f"{check.letters[0]} to {check.letters[1]}" in text
        low, high = check.distance.length - check.allowed, check.distance.length + check.allowed
        assert f"{low:.1f} to {high:.1f}" in text


def test_chosen_distances_are_long_run_different_ways_and_stand_on_the_ink() -> None:
    piece = ring()
    bare = Drawing(paths=piece.drawing.paths, discs=piece.drawing.discs)
    first, second = targets_of(bare, taped=True)
    assert first.length == pytest.approx(840.0, abs=0.5)  # the long axis of the oval
    assert second.length > 0.7 * first.length
    ways = [math.atan2(d.end[1] - d.start[1], d.end[0] - d.start[0]) for d in (first, second)]
    between = abs(ways[0] - ways[1]) % math.pi
    assert min(between, math.pi - between) >= math.radians(29.9)
    vertices = np.vstack([path.points for path in piece.drawing.paths])
    for distance in (first, second):
        for end in (distance.start, distance.end):
            assert np.hypot(*(vertices - end).T).min() < 1e-9


def test_a_piece_on_one_page_needs_no_distance_of_its_own() -> None:
    assert targets_of(plate().drawing, taped=False) == ()
    own = Distance(name="arm", start=(0.0, 0.0), end=(90.0, 0.0))
    assert targets_of(plate().drawing.with_more(distances=[own]), taped=False) == (own,)


def test_distances_survive_a_drawing_of_one_straight_line() -> None:
    line = Line(points=np.array([[0.0, 0.0], [900.0, 0.0]]), stroke=ring().drawing.paths[0].stroke)
    found = targets_of(Drawing(paths=(line,)), taped=True)
    assert [distance.length for distance in found] == [pytest.approx(900.0)]


def test_the_band_is_the_tapes_and_grows_with_seams() -> None:
    # UK SI 2016/1153, schedule 1I, paragraph 2, table 1: class II is 0.3 + 0.2 L mm, L in whole metres rounded up:
    # 0.5 at 1 m, 1.3 at 5 m; with 0.5 for the eye and 0.2 a seam, our own figures
    assert band(1000.0, seams=0) == pytest.approx(0.5 + 0.5)
    assert band(5000.0, seams=0) == pytest.approx(1.3 + 0.5)
    assert band(1000.1, seams=0) == pytest.approx(0.7 + 0.5)
    assert band(1000.0, seams=7) == pytest.approx(1.0 + 1.4)


def test_seams_are_counted_along_the_joined_pages() -> None:
    (plan,) = plan_pieces((ring(),), A4)
    layout = plan.layout
    back = layout.to_grid.inverse()

    def middle(index: int) -> tuple[float, float]:
        x0, y0, x1, y1 = layout.visible(layout.tiles[index])
        return back.at((0.5 * (x0 + x1), 0.5 * (y0 + y1)))

    assert seams_between(layout, middle(0), middle(0)) == 0
    for seam in layout.seams:
        assert seams_between(layout, middle(seam.over), middle(seam.under)) == 1
    first, last = layout.tiles[0], layout.tiles[-1]
    steps = abs(first.row - last.row) + abs(first.column - last.column)
    assert seams_between(layout, middle(0), middle(len(layout.tiles) - 1)) >= steps


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (0.0, "0 in"),
        (25.4, "1 in"),
        (304.8, "1 ft"),
        (12.7, "1/2 in"),
        (27.5 * 25.4, "2 ft 3 1/2 in"),
        (1234.5, "4 ft 5/8 in"),  # 48.602 in: 48 10/16
        (11.99 * 25.4, "1 ft"),
        (119.4375 * 25.4, "9 ft 11 7/16 in"),
    ],
)
def test_feet_and_inches_are_to_the_nearest_sixteenth(mm: float, words: str) -> None:
    assert feet_inches(mm) == words


def test_wrong_readings_are_computed_from_the_paper() -> None:
    letter, a4 = Page(paper=parse_paper("letter")), A4
    # letter fitted into 8 x 10.5 in comes out at 0.9412 (8/8.5); A4 on letter paper at 0.9407; letter on A4 at
    # 0.9727 (ratios of the papers' sides: ISO 216 and ASME Y14.1)
    assert fitted(letter.paper, parse_paper("letter"), blank=6.35) == pytest.approx(0.9412, abs=5e-5)
    assert fitted(a4.paper, parse_paper("letter")) == pytest.approx(0.9407, abs=5e-5)
    assert fitted(letter.paper, parse_paper("A4")) == pytest.approx(0.9727, abs=5e-5)
    assert "94.1" in [reading.on(100.0) for reading in readings(a4)]
    assert "97.3" in [reading.on(100.0) for reading in readings(letter)]
    # 16 in came out 15 3/4 in on a copier (a published measurement): 98.4 %
    assert pytest.approx(0.984, abs=5e-4) == 15.75 / 16.0
    assert "98.4" in [reading.on(100.0) for reading in readings(a4)]


def test_a_sheet_a_little_off_its_size_changes_nothing() -> None:
    """Readings follow the page's nominal sides whichever way it lies."""
    lying = Page(paper=parse_paper("A4"), landscape=True)
    assert [r.shares for r in readings(lying)] == [r.shares for r in readings(A4)]


@pytest.mark.parametrize("room", [3.0, 10.0, 40.0, 300.0])
@pytest.mark.parametrize(
    "text", ["", "keel", "a long name for one small piece of wood", "x" * 300, "木" * 50]
)
def test_elided_words_keep_their_ends_and_fit(text: str, room: float) -> None:
    from tiling.text.typeface import text_width

    found = elided(text, room, 3.5)
    assert text_width(found, 3.5) <= room
    if found and found != text:
        ahead, behind = found.split("…")
        assert text.startswith(ahead)
        assert text.endswith(behind)


# What belongs together on the first pages


def test_nothing_short_gets_a_page_for_itself_where_its_heading_just_fits() -> None:
    """A heading wants three lines under it: two lines that would fit alone go elsewhere with it."""
    job = small_job(page=A4)
    pdf = PdfFile(io.BytesIO(), width=210.0, height=297.0, title="")
    flow = Flow(pdf, A4, blank=True)
    flow.begin("print and check")
    drawn: list[int] = []

    def draw(flow: Flow, _: Job) -> None:
        flow.heading("Make one cheap template first")
        flow.paragraph("two lines " * 10)
        drawn.append(flow.number)

    height = flow.height_with_heading(flow.height_of("two lines " * 10))
    for left in np.arange(10.0, 40.0, 0.25).tolist():
        flow.y += left - flow.left
        fill(flow, job, [Extra(height, draw)])
        assert flow.number == 1
    assert drawn


@pytest.fixture(scope="module")
def together(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Sheet], tuple[Plan, ...], int]:
    """Pieces that share pages: long ones, and one so small that it lies on one page."""
    sizes = [(260.0 + 17.0 * (n % 5), 100.0 + 13.0 * (n % 7)) for n in range(17)] + [(60.0, 50.0)]
    pieces = []
    for letter, (wide, tall) in zip("abcdefghijklmnopqr", sizes, strict=True):
        piece = plate(f"gusset {letter}", wide, tall)
        notes = (
            Note(text=piece.name.upper(), target=(0.5 * wide, 0.5 * tall), rank=0),
            Note(text="Quantity:\n2.", target=(5.0, 5.0), rank=2),
        )
        card = Card(quantity="2", rows=(("Wood left", f"{letter} mm"),))
        across = Distance(name="", start=(0.0, 0.5 * tall), end=(0.75 * wide, 0.5 * tall))
        pieces.append(
            replace(piece, card=card, drawing=replace(piece.drawing, notes=notes, distances=(across,)))
        )
    path = tmp_path_factory.mktemp("together") / "job.pdf"
    summary = write_pdf(replace(small_job(pieces=tuple(pieces)), share="nested"), path)
    return read(path), summary.plans, summary.first_pages


RING = 2.9  # mm; radius of the ring around a piece's number


def rings(sheet: Sheet) -> list[np.ndarray]:
    """The middles of the rings of a map page, mm."""
    found = []
    for line in sheet.lines:
        middle = 0.5 * (line.points.min(axis=0) + line.points.max(axis=0))
        if len(line.points) > 3 and np.allclose(np.hypot(*(line.points - middle).T), RING, atol=0.01):
            found.append(middle)
    return found


@pytest.mark.slow
def test_pieces_on_shared_pages_have_cards_of_their_own_and_a_map_together(
    together: tuple[list[Sheet], tuple[Plan, ...], int],
) -> None:
    sheets, plans, _ = together
    shared = [plan for plan in plans if plan.piece.parts]
    assert shared
    maps = words_of([sheet for sheet in sheets if sheet.label.startswith("cards")])
    for plan in shared:
        for number, part in enumerate(plan.piece.parts, start=1):
            assert f"{number} {part.name}" in maps
            assert f"{number} on their map" in maps
            assert part.card.rows[0][1] in maps
    pieces = [piece for plan in plans for piece in plan.piece.parts or (plan.piece,)]
    assert maps.count("Wood left") == len(pieces)
    ringed = []
    for sheet in sheets:
        if sheet.label.startswith("cards"):
            ringed += [
                said.text for said in sheet.said for at in rings(sheet) if math.dist(at, said.at) < RING
            ]
    wanted = [str(number) for plan in shared for number in range(1, len(plan.piece.parts) + 1)]
    assert sorted(ringed) == sorted(wanted)


@pytest.mark.slow
def test_pieces_on_shared_pages_are_measured_over_seams_alone(
    together: tuple[list[Sheet], tuple[Plan, ...], int],
) -> None:
    _, plans, _ = together
    shared = [plan for plan in plans if plan.piece.parts]
    assert shared
    for plan in shared:
        assert plan.checks
        assert all(check.seams for check in plan.checks)


@pytest.mark.slow
def test_no_words_of_a_map_page_lie_on_others_or_on_a_ring(
    together: tuple[list[Sheet], tuple[Plan, ...], int],
) -> None:
    sheets, _, _ = together
    maps = [sheet for sheet in sheets if sheet.label.startswith("cards")]
    assert maps
    for sheet in maps:
        level = [said for said in sheet.said if said.text.strip() and abs(said.turn) < 0.01]
        assert len(level) > 20
        boxes = []
        for said in level:
            (x, y), height = said.at, said.size / size_for(1.0)
            boxes.append(shapely.box(x, y, x + text_width(said.text, height), y + height))
        for (a, first), (b, second) in combinations(zip(level, boxes, strict=True), 2):
            assert first.intersection(second).area < 0.01, (a.text, b.text)
        for middle in rings(sheet):
            met = [
                said.text
                for said, words in zip(level, boxes, strict=True)
                if words.distance(shapely.Point(middle)) < RING
            ]
            assert len(met) == 1, met
