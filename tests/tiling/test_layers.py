"""Layers: what belongs to one goes when it is switched off, and nothing else does; seen by an independent renderer.

ISO 32000-1:2008, 8.11 (optional content; section numbers from memory).
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject

from tests.tiling.readback import read
from tests.tiling.rendering import render
from tests.tiling.samples import SAW, small_job
from tiling.drawing import Disc, Drawing, Figure, Note, Stroke
from tiling.drawing import Path as Run
from tiling.job import Piece, write_pdf
from tiling.proof import prove

FINE = Stroke(width=0.25)
DASHED = Stroke(width=0.25, dash=(4.0, 2.0))


def run(*points: tuple[float, float], stroke: Stroke = FINE, layer: str = "") -> Run:
    return Run(points=np.array(points), stroke=stroke, layer=layer)


def piece() -> Piece:
    """Lines of three layers between lines of none, in an order that changes layers again and again."""
    key = Figure(
        paths=(run((0.0, 2.0), (20.0, 2.0)),), width=40.0, height=8.0, words=(("a line", (22.0, 1.0)),)
    )
    drawing = Drawing(
        paths=(
            run((0.0, 0.0), (300.0, 0.0), (300.0, 120.0), stroke=SAW),
            run((0.0, 20.0), (300.0, 20.0), stroke=DASHED, layer="other face"),
            run((0.0, 40.0), (300.0, 40.0), stroke=FINE),
            run((0.0, 60.0), (300.0, 60.0), layer="grid"),
            run((0.0, 80.0), (300.0, 80.0), stroke=DASHED, layer="other face"),
            run((0.0, 100.0), (300.0, 100.0), stroke=DASHED),
        ),
        discs=(
            Disc(centre=(50.0, 30.0), radius=1.5),
            Disc(centre=(60.0, 30.0), radius=2.0, filled=False, layer="grid"),
        ),
        notes=(
            Note(text="FRAME", target=(60.0, 110.0), height=5.0, rank=0),
            Note(text="78 under", target=(30.0, 20.0), layer="bevels", leader=True, towards=(0.0, 1.0)),
            Note(text="key", target=(120.0, 50.0), layer="notes", figure=key, reach=200.0),
        ),
    )
    return Piece(made_from="formula", name="frame", drawing=drawing)


LAYERS = ("bevels", "grid", "notes", "other face")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("layers") / "job.pdf"
    write_pdf(small_job(pieces=(piece(),)), path)
    return path


def switched_off(source: Path, target: Path, *names: str) -> Path:
    """A copy of the file whose layers of those names are off, as a viewer leaves it that saves their state."""
    writer = PdfWriter(clone_from=source)
    listed = writer._root_object["/OCProperties"]
    off = [group for group in listed["/OCGs"] if group.get_object()["/Name"] in names]
    assert len(off) == len(names)
    kept = [group for group in listed["/OCGs"] if group not in off]
    listed["/D"][NameObject("/OFF")] = ArrayObject(off)
    listed["/D"][NameObject("/ON")] = ArrayObject(kept)
    writer.write(target)
    return target


def first_tile(path: Path) -> int:
    return next(i for i, label in enumerate(PdfReader(path).page_labels) if label == "frame A1")


def test_the_catalogue_lists_every_layer_by_its_name_and_all_are_on(made: Path) -> None:
    listed = PdfReader(made).trailer["/Root"]["/OCProperties"]
    names = [group.get_object()["/Name"] for group in listed["/OCGs"]]
    assert names == list(LAYERS)
    assert listed["/D"]["/BaseState"] == "/ON"
    assert list(listed["/D"]["/OFF"]) == []
    assert list(listed["/D"]["/ON"]) == list(listed["/D"]["/Order"]) == list(listed["/OCGs"])
    for group in listed["/OCGs"]:
        assert group.get_object()["/Type"] == "/OCG"
        # A print state of their own would print what a person has switched off, or leave out what is shown.
        assert "/Usage" not in group.get_object()
    assert "/AS" not in listed["/D"]


def test_every_layer_stands_in_the_resources_of_the_pages(made: Path) -> None:
    for page in PdfReader(made).pages:
        listed = [each.get_object() for each in page["/Resources"]["/Properties"].values()]
        assert sorted(each["/Name"] for each in listed if each.get("/Type") == "/OCG") == list(LAYERS)


def test_strokes_and_words_lie_in_their_own_layer_and_the_rest_in_none(made: Path) -> None:
    sheets = [sheet for sheet in read(made) if sheet.label.startswith("frame ")]
    lines = [line for sheet in sheets for line in sheet.lines if line.clip and not line.form]
    dashed = {line.layer for line in lines if line.dash[0] == pytest.approx((4.0, 2.0))}
    assert dashed == {"other face", ""}
    assert {line.layer for line in lines if line.width == pytest.approx(0.7)} == {""}
    said = {said.text: said.layer for sheet in sheets for said in sheet.said}
    assert said["FRAME"] == ""
    assert said["78 under"] == "bevels"
    assert said["key"] == said["a line"] == "notes"
    for sheet in sheets:
        assert {said.layer for said in sheet.said if sheet.label in said.text} == {""}
        assert {spot.layer for spot in sheet.spots} == {""}  # match marks and rulers
        assert {line.layer for line in sheet.lines if line.form} == {""}


@pytest.mark.slow
@pytest.mark.parametrize("name", LAYERS)
def test_a_layer_switched_off_takes_its_own_ink_and_no_other(made: Path, tmp_path: Path, name: str) -> None:
    off = switched_off(made, tmp_path / "off.pdf", name)
    index = first_tile(made)
    sheet = read(made)[index]
    with_all, without = render(made, index), render(off, index)
    gone = with_all.dark() - without.dark()
    assert gone.max() > 0.5, "nothing went"
    assert gone.min() > -0.02, "something came"
    # every pixel that changed lies on ink of that layer
    rows, columns = np.nonzero(np.abs(gone) > 0.02)
    per_row, per_column = with_all.height / gone.shape[0], with_all.width / gone.shape[1]
    y, x = with_all.height - (rows + 0.5) * per_row, (columns + 0.5) * per_column
    near = np.zeros(len(x), dtype=bool)
    for line in sheet.lines:
        if line.layer == name:
            (x0, y0), (x1, y1) = line.points.min(axis=0) - 0.4, line.points.max(axis=0) + 0.4
            near |= (x > x0) & (x < x1) & (y > y0) & (y < y1)
    for said in sheet.said:
        if said.layer == name:
            reach = 1.2 * said.size * len(said.text)
            near |= (x > said.at[0] - 0.4) & (x < said.at[0] + reach) & (np.abs(y - said.at[1]) < said.size)
    assert near.all()


def test_with_every_layer_off_saw_lines_marks_and_rulers_are_as_black_as_before(
    made: Path, tmp_path: Path
) -> None:
    off = switched_off(made, tmp_path / "off.pdf", *LAYERS)
    index = first_tile(made)
    sheet, without = read(made)[index], render(off, index)
    saw = [line for line in sheet.lines if line.clip and line.width == pytest.approx(SAW.width)]
    x0, y0, x1, y1 = saw[0].clip or (0.0, 0.0, 0.0, 0.0)
    along = np.concatenate([np.linspace(a, b, 200) for line in saw for a, b in pairwise(line.points)])
    inside = along[
        (along[:, 0] > x0 + 1) & (along[:, 0] < x1 - 1) & (along[:, 1] > y0 + 1) & (along[:, 1] < y1 - 1)
    ]
    assert len(inside) > 50
    for x, y in inside:
        assert without.window(x, y, 0.2)[0].max() > 0.99
    assert len(sheet.spots) >= 5
    for spot in sheet.spots:
        if spot.grey == 0.0 and spot.radius > 0.9:  # the targets are smaller
            assert without.window(*spot.centre, 0.3)[0].min() > 0.99


def test_a_saved_switch_is_found_when_the_file_is_proved(made: Path, tmp_path: Path) -> None:
    assert prove(made).findings == []
    found = prove(switched_off(made, tmp_path / "off.pdf", "bevels", "grid")).findings
    assert any("bevels" in finding and "grid" in finding and "off" in finding for finding in found)


def test_a_file_without_layers_lists_none(tmp_path: Path) -> None:
    path = tmp_path / "plain.pdf"
    write_pdf(small_job(), path)
    root = PdfReader(path).trailer["/Root"]
    assert isinstance(root, DictionaryObject)
    assert "/OCProperties" not in root
