"""The one map of the plane, against numpy's matrices."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tiling.drawing.affine import Affine

NUMBERS = st.floats(-50.0, 50.0)
MAPS = st.builds(Affine, a=NUMBERS, b=NUMBERS, c=NUMBERS, d=NUMBERS, tx=NUMBERS, ty=NUMBERS)


def matrix(f):
    return np.array([[f.a, f.b, f.tx], [f.c, f.d, f.ty], [0.0, 0.0, 1.0]])


@given(MAPS, MAPS, NUMBERS, NUMBERS)
def test_then_does_the_first_map_first(f, g, x, y):
    wanted = (matrix(g) @ matrix(f) @ [x, y, 1.0])[:2]
    np.testing.assert_allclose(f.then(g).at((x, y)), wanted, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(f.then(g).apply(np.array([[x, y]]))[0], wanted, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(f.direction((x, y)), matrix(f)[:2, :2] @ [x, y], rtol=1e-9, atol=1e-9)


def test_a_quarter_turn_takes_right_to_up_and_four_of_them_are_none():
    turn = Affine.quarter_turn()
    assert turn.at((1.0, 0.0)) == (0.0, 1.0)
    assert turn.at((0.0, 1.0)) == (-1.0, 0.0)
    assert turn.then(turn).then(turn).then(turn) == Affine()


def test_the_inverse_takes_a_point_back():
    f = Affine.quarter_turn().then(Affine.shift(3.0, -7.0))
    assert f.inverse().at(f.at((11.0, 13.0))) == (11.0, 13.0)
    assert f.then(f.inverse()) == Affine()
