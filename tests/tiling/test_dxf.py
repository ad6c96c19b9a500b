"""Patterns as DXF, read back by the library's own reader and compared with the patterns."""

from __future__ import annotations

import io
import warnings
from importlib import util
from pathlib import Path as File

import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from patterns.cli import main
from patterns.drawing.of_pattern import draw
from patterns.pattern import Kind
from tests.demo import demo_patterns
from tests.patterns.folders import write_folder
from tests.tiling.test_svg import DRAWING
from tiling.drawing import Drawing, Path, Stroke
from tiling.dxf import dxf_text
from tiling.errors import TilingError
from tiling.svg import LAYERS

ezdxf = pytest.importorskip("ezdxf")


def read(text: str):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # those of the reader's own libraries
        return ezdxf.read(io.StringIO(text))


def runs_of(document, layer: str) -> list[tuple[np.ndarray, bool]]:
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [(np.array([point[:2] for point in each]), each.closed) for each in found]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["frame 3 bottom", "side strake"])
def test_outlines_read_back_are_the_patterns(name: str) -> None:
    pattern = next(each for each in demo_patterns() if each.name == name)
    document = read(dxf_text(draw(pattern, boat="a boat")))
    assert document.header["$INSUNITS"] == 4  # mm, by the format's own table
    cut = runs_of(document, "cut")
    wanted = pattern.of_kind(Kind.SAW)
    assert len(cut) == len(wanted)
    for (points, closed), line in zip(cut, wanted, strict=True):
        assert closed == line.closed
        assert shapely.hausdorff_distance(shapely.LineString(points), shapely.LineString(line.points)) < 0.01
        assert points == pytest.approx(line.points, abs=0.01)
    marks = [points for points, _ in runs_of(document, "mark")]
    for line in pattern.lines:
        if line.kind is not Kind.SAW:
            assert any(m.shape == line.points.shape and np.abs(m - line.points).max() < 0.01 for m in marks)


def test_layers_are_those_of_the_svg_and_all_words_are_there() -> None:
    text = dxf_text(DRAWING)
    assert dxf_text(DRAWING) == text  # no dates, nothing random
    document = read(text)
    assert {layer.dxf.name for layer in document.layers} >= set(LAYERS)
    every = list(document.modelspace())
    assert {each.dxf.layer for each in every} <= set(LAYERS)
    said = {each.dxf.text for each in every if each.dxftype() == "TEXT"}
    assert said == {
        'side < bottom & "deck"',
        "78° under",
        "a bell \u25a1 rings",
    }  # a box for what has no letter, as on paper
    dashed = [each for each in every if each.dxf.linetype.startswith("dash ")]
    assert len(dashed) == 1
    assert document.audit().errors == []


def test_what_is_cut_is_in_the_layer_of_cuts() -> None:
    ring = np.array([(0.0, 0.0), (30.0, 0.0), (0.0, 50.0)])
    paths = (
        Path(points=ring, stroke=Stroke(width=0.7), closed=True, cut=True),
        Path(points=ring + 5.0, stroke=Stroke(width=0.25)),
    )
    document = read(dxf_text(Drawing(paths=paths)))
    assert [points.tolist() for points, _ in runs_of(document, "cut")] == [ring.tolist()]
    assert [points.tolist() for points, _ in runs_of(document, "mark")] == [(ring + 5.0).tolist()]


def test_what_is_not_finite_is_not_written() -> None:
    bad = Path(points=np.array([(0.0, 0.0), (np.inf, 1.0)]), stroke=Stroke(width=0.7))
    with pytest.raises((TilingError, ValueError)):
        dxf_text(Drawing(paths=(bad,)))


@pytest.mark.slow
def test_files_lie_beside_the_pages_when_they_are_asked_for(tmp_path: File) -> None:
    (tmp_path / "design").mkdir()
    design, out = write_folder(tmp_path / "design"), tmp_path / "out"
    told = CliRunner().invoke(main, ["patterns", str(design), "--output", str(out), "--dxf", "--quick"])
    assert told.exit_code == 0, told.output
    names = {path.stem for path in (out / "dxf").iterdir()}
    assert names == {path.stem for path in (out / "svg").iterdir()}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert all(ezdxf.readfile(path).header["$INSUNITS"] == 4 for path in (out / "dxf").iterdir())


def test_where_the_library_is_missing_the_remedy_is_named(
    tmp_path: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = util.find_spec
    monkeypatch.setattr("tiling.dxf.find_spec", lambda name: None if name == "ezdxf" else real(name))
    told = CliRunner().invoke(main, ["patterns", str(write_folder(tmp_path)), "--dxf"])
    assert told.exit_code == 2
    assert 'pip install "scrieve[dxf]"' in told.output
