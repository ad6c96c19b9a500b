"""Words in their places: whole, apart, off the strokes; shapely is the reference."""

from itertools import combinations, permutations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tiling.drawing import Disc, Drawing, Note, Path, Stroke
from tiling.errors import TilingError
from tiling.layout.page_layout import lay_out
from tiling.lettering.label_placement import letter, letter_open
from tiling.paper import MARK_RADIUS, Page, parse_paper
from tiling.text.typeface import REPLACEMENT, text_width

LINE = Stroke(width=0.35)
A4 = Page(paper=parse_paper("A4"))
A5 = Page(paper=parse_paper("A5"), landscape=True, overlap=16.0)
WAYS = {"right": (1, 0), "up": (0, 1), "left": (-1, 0), "down": (0, -1)}


def box(words):
    return shapely.box(*words.box)


def path(points, closed=False):
    return Path(points=np.array(points, dtype=float), stroke=LINE, closed=closed)


COORDINATE = st.integers(-300, 300)
POINT = st.tuples(COORDINATE, COORDINATE)
TEXTS = st.sampled_from(
    ["78° under (saw tilt 12°)", "centreline", "WL 2", "FRAME 3\nmake 1\nplywood 18 mm", "M", "jÅg"]
)
NOTES = st.builds(
    Note,
    text=TEXTS,
    target=POINT,
    height=st.sampled_from([3.5, 5.0]),
    towards=st.sampled_from([(0.0, 0.0), *WAYS.values(), (0.6, 0.8)]),
    reach=st.sampled_from([20.0, 60.0]),
    leader=st.booleans(),
    rank=st.integers(1, 9),
)
DRAWINGS = st.builds(
    lambda runs, closed, notes: Drawing(paths=tuple(path(run, closed) for run in runs), notes=tuple(notes)),
    st.lists(st.lists(POINT, min_size=2, max_size=6), min_size=1, max_size=3),
    st.booleans(),
    st.lists(NOTES, min_size=1, max_size=12),
)


def strokes(drawing, to_grid=None):
    shapes = []
    for each in drawing.paths:
        points = each.points if to_grid is None else to_grid.apply(each.points)
        run = np.concatenate((points, points[:1])) if each.closed else points
        # The vertices too: a line without length has no buffer.
        shapes += [
            shapely.LineString(run).buffer(LINE.width / 2),
            shapely.MultiPoint(run).buffer(LINE.width / 2),
        ]
    return shapely.union_all(shapes)


@pytest.mark.slow
@pytest.mark.parametrize("page", [A4, A5], ids=["A4", "A5 across"])
@given(drawing=DRAWINGS)
@settings(max_examples=25)
def test_every_note_is_placed_whole_on_a_page_and_apart_from_all_others(page, drawing):
    layout = lay_out(drawing, page)
    placed = letter(drawing, layout)
    assert [words.note for words in placed] == list(range(len(drawing.notes)))
    for words in placed:
        window = shapely.box(*layout.tiles[words.tile].window).buffer(1e-5)
        assert window.contains(box(words))
        said = " ".join(line.text for line in words.lines)
        assert said.split() == drawing.notes[words.note].text.split()  # a long line may be broken
    for a, b in combinations(placed, 2):
        assert box(a).distance(box(b)) > 0.9


@pytest.mark.slow
@given(drawing=DRAWINGS)
@settings(max_examples=25)
def test_words_said_to_be_off_strokes_and_marks_and_trim_lines_are_so(drawing):
    layout = lay_out(drawing, A4)
    ink = strokes(drawing, layout.to_grid)
    marks = [shapely.Point(mark).buffer(MARK_RADIUS) for seam in layout.seams for mark in seam.marks]
    for words in letter(drawing, layout):
        if not words.crosses:
            assert box(words).distance(ink) > 0.9
            assert not any(box(words).intersects(mark) for mark in marks)
        seen = shapely.box(*layout.visible(layout.tiles[words.tile])).buffer(1e-5)
        assert seen.contains(box(words)) is not words.straddles


@pytest.mark.slow
def test_words_cross_a_stroke_only_where_no_place_in_reach_is_free():
    """Bars both ways, with meshes of chance: few are both broad and high enough, and those may be out of reach."""
    chance, crossed = np.random.default_rng(6), []
    for _ in range(30):
        across, up = chance.choice([14, 21, 40], 10), chance.choice([5, 6, 16], 20)
        xs, ys = (np.concatenate([[0], np.cumsum(each)]) for each in (across, up))
        bars = [path([(x, 0), (x, ys[-1])]) for x in xs] + [path([(0, y), (xs[-1], y)]) for y in ys]
        target = (0.5 * xs[-1], 0.5 * ys[-1])
        note = Note(text="bevel 78°", target=target, reach=float(chance.choice([5.0, 10.0])))
        crossed.append(crosses_for_want_of_room(Drawing(paths=tuple(bars), notes=(note,))))
    assert sum(crossed) > 5
    assert len(crossed) - sum(crossed) > 5


def crosses_for_want_of_room(drawing):
    """Whether the words cross strokes.  If they do, an independent search on a grid must find no room either."""
    (note,) = drawing.notes
    layout = lay_out(drawing, A4)
    (words,) = letter(drawing, layout)
    if not words.crosses:
        return False
    ink = strokes(drawing, layout.to_grid)
    marks = [shapely.Point(mark).buffer(MARK_RADIUS) for seam in layout.seams for mark in seam.marks]
    blocked = shapely.union_all([ink, *marks]).buffer(4.0)
    width, height = words.box[2] - words.box[0], words.box[3] - words.box[1]
    tx, ty = layout.to_grid.at(note.target)
    reach = 0.8 * note.reach
    for dx in np.linspace(-reach - width, reach, 15):
        for dy in np.linspace(-reach - height, reach, 15):
            spot = shapely.box(tx + dx, ty + dy, tx + dx + width, ty + dy + height)
            roomy = spot.buffer(4.0, join_style="mitre")
            if spot.distance(shapely.Point(tx, ty)) > reach or roomy.intersects(blocked):
                continue
            assert not any(shapely.box(*layout.visible(tile)).contains(roomy) for tile in layout.tiles)
    return True


@given(drawing=DRAWINGS)
@settings(max_examples=15)
def test_lines_stand_within_their_box_and_leaders_run_from_the_target_to_it(drawing):
    layout = lay_out(drawing, A4)
    for words in letter(drawing, layout):
        note = drawing.notes[words.note]
        x0, y0, x1, y1 = words.box
        for line in words.lines:
            assert line.width == pytest.approx(text_width(line.text, note.height))
            assert x0 - 1e-9 <= line.at[0]
            assert line.at[0] + line.width <= x1 + 1e-9
            assert y0 < line.at[1]
            assert line.at[1] + note.height <= y1 + 1e-9
        falls = -np.diff([line.at[1] for line in words.lines])
        assert (falls > 1.5 * note.height).all()
        target = layout.to_grid.at(note.target)
        apart = box(words).distance(shapely.Point(target))
        if words.leader is None:
            assert not note.leader or apart <= 3.0 + 1e-9
        else:
            assert note.leader
            assert apart > 3.0
            start, end = words.leader
            assert start == pytest.approx(target)
            assert shapely.LineString([start, end]).length == pytest.approx(apart, abs=1e-6)
            assert box(words).distance(shapely.Point(end)) < 1e-9


@pytest.mark.slow
@given(drawing=DRAWINGS)
@settings(max_examples=10)
def test_equal_input_gives_equal_words(drawing):
    layout = lay_out(drawing, A4)
    assert letter(drawing, layout) == letter(drawing, layout)


def test_a_block_that_finds_no_clear_place_is_broken_narrower_or_goes_farther_before_it_crosses_strokes():
    """Bars leave strips too narrow for the words around the target."""
    bars = [path([(x, 0), (x, 230)]) for x in (0, 70, 140, 170)]
    layout = lay_out(Drawing(paths=tuple(bars)), A4)
    narrow = Note(text="the after face of the piece; its fore face", target=(105, 115), reach=20, leader=True)
    broad = Note(text="unbreakable-words-x", target=(155, 115), reach=12)
    assert 30 < text_width(broad.text, 3.5) < 66
    assert text_width(narrow.text, 3.5) > 70
    for note in (narrow, broad):
        (words,) = letter(Drawing(paths=tuple(bars), notes=(note,)), layout)
        assert not words.crosses
        assert len(words.lines) == (2 if note is narrow else 1)
        assert "".join(line.text for line in words.lines).replace(" ", "") == note.text.replace(" ", "")


@pytest.mark.parametrize("way", WAYS)
def test_on_bare_paper_words_stand_near_their_target_on_the_side_that_was_asked(way):
    dx, dy = WAYS[way]
    drawing = Drawing(
        discs=(Disc(centre=(0, 0), radius=0.5),), notes=(Note(text="here", target=(0, 0), towards=(dx, dy)),)
    )
    layout = lay_out(drawing, A4)
    (words,) = letter(drawing, layout)
    tx, ty = layout.to_grid.at((0, 0))
    middle = box(words).centroid
    assert (middle.x - tx) * dx + (middle.y - ty) * dy > 1.5
    assert abs((middle.x - tx) * dy - (middle.y - ty) * dx) < 3.0
    assert box(words).distance(shapely.Point(tx, ty)) < 5.0


def test_the_side_that_was_asked_turns_with_the_drawing():
    run = [(0, 0), (240, 0)]
    drawing = Drawing(paths=(path(run),), notes=(Note(text="above", target=(120, 0), towards=(0, 1)),))
    layout = lay_out(drawing, A4)
    assert layout.turned
    (words,) = letter(drawing, layout)
    # What was up in the drawing is to the left on the page; the words themselves stay level.
    assert words.box[2] < layout.to_grid.at((120, 0))[0]
    assert words.box[2] - words.box[0] == pytest.approx(text_width("above", 3.5))


def test_words_keep_out_of_the_overlaps_where_there_is_room():
    """What they speak of lies in the middle of an overlap; a few mm beside it they stand on one page alone."""
    edge = path([(0, 0), (700, 0), (700, 500), (0, 500)], closed=True)
    layout = lay_out(Drawing(paths=(edge,)), A4)
    windows = [shapely.box(*tile.window) for tile in layout.tiles]
    strips = [a.intersection(b) for a, b in combinations(windows, 2)]
    strips = [strip for strip in strips if strip.area > A4.overlap**2]  # not where four pages meet
    assert len(strips) > 6
    back = layout.to_grid.inverse()
    middles = [(strip.centroid.x, strip.centroid.y) for strip in strips]
    notes = tuple(Note(text="bevel 78°", target=back.at(middle), reach=60) for middle in middles)
    drawing = Drawing(paths=(edge,), notes=notes)
    assert lay_out(drawing, A4) == layout
    for words in letter(drawing, layout):
        assert not words.crosses
        assert sum(window.intersects(box(words)) for window in windows) == 1


def test_words_that_speak_of_a_place_under_a_match_mark_stand_beside_the_mark():
    edge = path([(0, 0), (700, 0), (700, 500), (0, 500)], closed=True)
    layout = lay_out(Drawing(paths=(edge,)), A4)
    back = layout.to_grid.inverse()
    marks = [mark for seam in layout.seams for mark in seam.marks]
    notes = tuple(Note(text="x", target=back.at(mark), reach=3) for mark in marks)
    placed = letter(Drawing(paths=(edge,), notes=notes), layout)
    assert len(placed) == len(marks) > 4
    for words in placed:
        assert not any(box(words).intersects(shapely.Point(mark).buffer(MARK_RADIUS)) for mark in marks)
        assert not words.crosses


def test_words_between_two_strokes_go_across_a_trim_line_rather_than_across_a_stroke_and_say_so():
    edge = path([(0, 0), (300, 0), (300, 200), (0, 200)], closed=True)
    layout = lay_out(Drawing(paths=(edge,)), A4)
    (seam,) = [seam for seam in layout.seams if seam.side == "right"]
    x, y = seam.line[0][0], 0.5 * (seam.line[0][1] + seam.line[1][1])
    back = layout.to_grid.inverse()
    text = "78°"  # reaches less than half the overlap beyond the line, so that a window holds it whole
    half = 0.5 * text_width(text, 3.5) + 4.0
    assert half - 4.0 < 0.5 * A4.overlap
    sides = [way * (half + step) for way in (-1, 1) for step in range(0, 70, 8)]
    fence = [path([back.at((x + side, y - 90)), back.at((x + side, y + 90))]) for side in sides]
    drawing = Drawing(paths=(edge, *fence), notes=(Note(text=text, target=back.at((x, y)), reach=15),))
    assert lay_out(drawing, A4) == layout
    (words,) = letter(drawing, layout)
    assert words.straddles
    assert not words.crosses
    assert words.box[0] < x < words.box[2]


def test_leaders_do_not_run_through_other_words_where_there_is_room():
    edge = [(0, 0), (160, 0), (160, 200), (0, 200)]
    notes = [
        Note(text=f"reading {i}", target=(80, y), leader=True, towards=(1, 0))
        for i, y in enumerate(range(60, 140, 5))
    ]
    bar = [path([(80, 55), (80, 140)])]
    drawing = Drawing(paths=(path(edge, closed=True), *bar), notes=tuple(notes))
    placed = letter(drawing, lay_out(drawing, A4))
    assert sum(words.leader is not None for words in placed) > 8
    for a in placed:
        if a.leader is not None:
            others = [box(b) for b in placed if b.note != a.note]
            assert not any(shapely.LineString(a.leader).intersects(other) for other in others)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_words_that_came_first_make_room_for_leaders_that_came_later(seed):
    """Holes in a crowd, each with its words: one after the other, the last leaders ran through earlier words."""
    rng = np.random.default_rng(seed)
    edge = path([(0, 0), (170, 0), (170, 240), (0, 240)], closed=True)
    holes = [(float(x), float(y)) for x, y in rng.random((26, 2)) * (50, 80) + (60, 80)]
    notes = [Note(text="NAME OF A PIECE", target=(85, 120), height=7, reach=100, rank=0)]
    notes += [
        Note(text=f"hole {i}, 6 mm deep", target=at, leader=True, reach=60) for i, at in enumerate(holes)
    ]
    drawing = Drawing(
        paths=(edge,),
        discs=tuple(Disc(centre=at, radius=3, filled=False) for at in holes),
        notes=tuple(notes),
    )
    placed = letter(drawing, lay_out(drawing, A4))
    assert sum(words.leader is not None for words in placed) > 20
    for a, b in permutations(placed, 2):
        assert not box(a).intersects(box(b))
        if a.leader is not None:
            assert not shapely.LineString(a.leader).intersects(box(b))


@pytest.mark.slow
def test_two_hundred_notes_in_a_crowd_are_all_placed_apart():
    edge = [(0, 0), (170, 0), (170, 240), (0, 240)]
    notes = [Note(text=f"note {i}", target=(85 + i % 7, 120 + i % 11), reach=20) for i in range(200)]
    drawing = Drawing(paths=(path(edge, closed=True),), notes=tuple(notes))
    placed = letter(drawing, lay_out(drawing, A4))
    assert len(placed) == 200
    for a, b in combinations(placed, 2):
        assert not box(a).intersects(box(b))
        # beside each other they keep so far apart that no line reads on into the other's
        assert not shapely.box(a.box[0] - 1.99, a.box[1], a.box[2] + 1.99, a.box[3]).intersects(box(b))


def test_the_lower_rank_is_placed_first():
    near = {"target": (0.0, 0.0), "towards": (1.0, 0.0)}
    spot = (Disc(centre=(0, 0), radius=0.5),)
    for first, second in ((1, 2), (2, 1)):
        notes = (Note(text="one", rank=first, **near), Note(text="two", rank=second, **near))
        drawing = Drawing(discs=spot, notes=notes)
        layout = lay_out(drawing, A4)
        one, two = (words.box[0] for words in letter(drawing, layout))
        assert (one > two) is (first < second)  # the first gets the place that both want


def test_characters_that_the_font_lacks_are_shown_as_boxes():
    drawing = Drawing(discs=(Disc(centre=(0, 0), radius=1),), notes=(Note(text="船 boat", target=(0, 0)),))
    (words,) = letter(drawing, lay_out(drawing, A4))
    assert words.lines[0].text == f"{REPLACEMENT} boat"


def test_a_line_too_long_for_a_page_is_broken_at_spaces_and_loses_nothing():
    text = "a very long name for a boat that somebody was fond of " * 4 + "x" * 200
    drawing = Drawing(discs=(Disc(centre=(0, 0), radius=1),), notes=(Note(text=text, target=(0, 0)),))
    layout = lay_out(drawing, A4)
    (words,) = letter(drawing, layout)
    assert len(words.lines) > 2
    assert "".join("".join(line.text for line in words.lines).split()) == "".join(text.split())
    assert shapely.box(*layout.tiles[words.tile].window).buffer(1e-5).contains(box(words))


def test_words_higher_than_a_page_are_refused_by_name():
    drawing = Drawing(
        discs=(Disc(centre=(0, 0), radius=1),), notes=(Note(text="line\n" * 60, target=(0, 0)),)
    )
    with pytest.raises(TilingError, match="larger than a page; shorten them"):
        letter(drawing, lay_out(drawing, A4))


def test_words_without_any_room_left_are_refused_and_not_dropped():
    notes = tuple(Note(text="wide words " * 5 + "\nand\nhigh", target=(0, 0), height=20) for _ in range(9))
    drawing = Drawing(discs=(Disc(centre=(0, 0), radius=1),), notes=notes)
    with pytest.raises(TilingError, match="no room for the words"):
        letter(drawing, lay_out(drawing, A4))


def test_a_target_far_from_every_page_still_gets_its_words():
    drawing = Drawing(
        discs=(Disc(centre=(0, 0), radius=1),), notes=(Note(text="far", target=(5000, 5000), reach=10),)
    )
    layout = lay_out(drawing, A4)
    (words,) = letter(drawing, layout)
    assert shapely.box(*layout.tiles[0].window).buffer(1e-5).contains(box(words))


@given(drawing=DRAWINGS)
@settings(max_examples=10)
def test_on_one_open_sheet_words_stand_in_the_drawings_own_coordinates(drawing):
    sheet = (-450.0, -450.0, 450.0, 450.0)
    placed = letter_open(drawing, sheet)
    ink = strokes(drawing)
    for words in placed:
        assert words.tile == -1
        assert shapely.box(*sheet).buffer(1e-5).contains(box(words))
        assert words.crosses or box(words).distance(ink) > 0.9
        if words.leader is not None:
            assert words.leader[0] == pytest.approx(drawing.notes[words.note].target)


def test_a_drawing_without_notes_gets_no_words():
    drawing = Drawing(discs=(Disc(centre=(0, 0), radius=1),))
    assert letter(drawing, lay_out(drawing, A4)) == ()
