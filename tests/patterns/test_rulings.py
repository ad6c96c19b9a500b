"""Rulings between two edges, on surfaces that a sheet can take: cones, cylinders, planes."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.hull.planes import FloatArray
from patterns.hull.rulings import twist_between
from patterns.hull.sheets import SheetPatch, sheet_patches
from tests.patterns.exact_hulls import ExactLine

APEX = np.array([900.0, -2500.0, 700.0])


def _ray(turn: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Directions from the cone's apex over the turn about its axis (no round cone: it opens as it turns)."""
    open_ = 0.5 + 0.1 * np.sin(turn)
    return open_ * np.sin(turn), 1.0 + 0.0 * turn, open_ * np.cos(turn)


def _on_cone(far: object, turn_of: object, start: float, end: float) -> ExactLine:
    """A line on the cone: the turn and the distance from the apex are functions of its parameter."""

    def part(k: int) -> object:
        return lambda s: APEX[k] + far(s) * _ray(turn_of(s))[k]  # type: ignore[operator]

    return ExactLine(part(0), part(1), part(2), start, end, straight_x=False)  # type: ignore[arg-type]


def cone_edges() -> tuple[ExactLine, ExactLine]:
    """Two lines on one cone whose parameters run unlike each other; both begin and end on the same rays."""
    lower = _on_cone(lambda s: 2600.0 + 90.0 * np.sin(s), lambda s: s - 0.5, 0.0, 1.2)
    upper = _on_cone(
        lambda s: 3100.0 + 120.0 * np.cos(2.0 * s),
        lambda s: -0.5 + 1.2 * (0.7 * s + 0.3 * s * s),
        0.0,
        1.0,
    )
    return lower, upper


def _only(lower: ExactLine, upper: ExactLine) -> SheetPatch:
    ends = lower.start, lower.end
    (patch,), _ = sheet_patches(lower, None, upper, on_profile=ends, joints=ends)
    return patch


def test_on_a_cone_the_rulings_are_the_rays_through_its_apex() -> None:
    lower, upper = cone_edges()
    patch = _only(lower, upper)
    p = np.linspace(0.0, 1.2, 331)
    # The upper line turns by 1.2 (0.7 s + 0.3 s^2); on the ray of the lower line's turn p that is solved for s.
    s = (-0.7 + np.sqrt(0.49 + 1.2 * p / 1.2)) / 0.6
    assert np.linalg.norm(patch.upper(p)[0] - upper.at(s), axis=1).max() < 1e-4
    assert np.abs(patch.rulings.twist).max() < np.radians(1e-4)


def test_on_a_cone_the_sheet_is_the_cone() -> None:
    patch = _only(*cone_edges())
    p, r = np.linspace(0.0, 1.2, 331)[:, None], np.linspace(0.0, 1.0, 9)[None, :]
    points = patch.shape(p, r)[0].reshape(-1, 3)
    turn = np.arctan2(*(points - APEX)[:, [0, 2]].T)
    rays = np.stack(_ray(turn), axis=-1)
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    off = np.linalg.norm(points - APEX - np.sum((points - APEX) * rays, axis=1, keepdims=True) * rays, axis=1)
    assert off.max() < 1e-4


def test_on_a_cylinder_the_rulings_are_parallel() -> None:
    along = np.array([0.35, 0.45, 1.0])

    def on(far: object, turn_of: object, end: float) -> ExactLine:
        def part(k: int, at: object) -> object:
            return lambda s: at(turn_of(s)) + along[k] * far(s)  # type: ignore[operator]

        return ExactLine(
            part(0, lambda a: 3000.0 * np.sin(a)),  # type: ignore[arg-type]
            part(1, lambda a: 3000.0 * np.cos(a)),  # type: ignore[arg-type]
            part(2, lambda a: 0.0 * a),  # type: ignore[arg-type]
            0.0,
            end,
            straight_x=False,
        )

    lower = on(lambda s: 40.0 * s * s, lambda s: s - 0.4, 1.0)
    upper = on(lambda s: 450.0 - 60.0 * s, lambda s: s + 0.15 * s * (1.0 - s) - 0.4, 1.0)
    patch = _only(lower, upper)
    p = np.linspace(0.0, 1.0, 201)
    across = patch.upper(p)[0] - patch.lower(p)[0]
    lean = np.cross(across, along / np.linalg.norm(along))
    assert np.linalg.norm(lean, axis=1).max() < 0.02
    points = patch.shape(p[:, None], np.linspace(0.0, 1.0, 9)[None, :])[0].reshape(-1, 3)
    foot = points - points[:, 2:] * along
    assert np.abs(np.hypot(foot[:, 0], foot[:, 1]) - 3000.0).max() < 1e-4


def test_in_a_plane_the_sheet_is_the_plane_and_its_rulings_do_not_lean() -> None:
    lower = ExactLine(lambda t: 1000.0 * t, lambda t: 300.0 * t, lambda t: 15.0 * t * t, 0.0, 4.0)
    upper = ExactLine(lambda t: 1000.0 * t, lambda t: 300.0 * t, lambda t: 400.0 + 30.0 * np.sin(t), 0.0, 4.0)
    patch = _only(lower, upper)
    p = np.linspace(0.0, 4.0, 101)
    points, by_p, by_r = patch.shape(p[:, None], np.linspace(-0.2, 1.2, 15)[None, :])
    assert np.abs(points[..., 1] - 0.3 * points[..., 0]).max() < 1e-6
    normal = np.array([-0.3, 1.0, 0.0]) / np.hypot(0.3, 1.0)
    assert np.abs(patch.outward(by_p, by_r) - normal).max() < 1e-9
    assert np.abs(patch.upper(p)[0][:, 0] - patch.lower(p)[0][:, 0]).max() < 60.0


def test_the_twist_is_the_angle_between_the_end_normals() -> None:
    rng = np.random.default_rng(5)
    p1, t1, p2, t2 = rng.normal(size=(4, 200, 3))
    t1, t2 = (t / np.linalg.norm(t, axis=1, keepdims=True) for t in (t1, t2))
    n1, n2 = np.cross(t1, p2 - p1), np.cross(t2, p2 - p1)
    cosine = np.sum(n1 * n2, axis=1) / np.linalg.norm(n1, axis=1) / np.linalg.norm(n2, axis=1)
    assert np.abs(twist_between(p1, t1, p2, t2)) == pytest.approx(np.arccos(cosine), abs=1e-7)


SLANT = np.array([0.35, 0.45, 1.0])  # the direction of the rulings on the cylinder below, of radius 3000


def _on_cylinder(height: object, start: float, end: float) -> ExactLine:
    """A line on the cylinder over the turn about its axis, carried along the slant by a height."""

    def part(k: int, at: object) -> object:
        return lambda a: at(a) + SLANT[k] * height(a)  # type: ignore[operator]

    return ExactLine(
        part(0, lambda a: 3000.0 * np.sin(a)),  # type: ignore[arg-type]
        part(1, lambda a: 3000.0 * np.cos(a)),  # type: ignore[arg-type]
        part(2, lambda a: 0.0 * a),  # type: ignore[arg-type]
        start,
        end,
        straight_x=False,
    )


def _off_cylinder(points: FloatArray) -> float:
    foot = points - points[..., 2:] * SLANT
    return float(np.abs(np.hypot(foot[..., 0], foot[..., 1]) - 3000.0).max())


@pytest.mark.slow
def test_edges_that_meet_at_both_ends_as_a_double_enders_do() -> None:
    lower = _on_cylinder(lambda a: 0.0 * a, -0.5, 0.5)
    upper = _on_cylinder(lambda a: 420.0 * np.cos(np.pi * a), -0.5, 0.5)
    ends = -0.5, 0.5
    (patch,), main = sheet_patches(lower, None, upper, on_profile=ends, joints=ends, stems=(True, True))
    assert main == 0
    assert (patch.start, patch.end) == pytest.approx((-0.5, 0.5))
    p = np.linspace(-0.5, 0.5, 301)
    assert _off_cylinder(patch.shape(p[:, None], np.linspace(0.0, 1.0, 7)[None, :])[0]) < 1e-4
    assert np.abs(patch.upper(p)[0] - upper.at(p)).max() < 0.05


@pytest.mark.parametrize(("start", "end"), [((-0.5, -0.42), (0.5, 0.38)), ((-0.45, -0.5), (0.41, 0.5))])
def test_edges_that_begin_and_end_apart_are_run_on_by_parallel_rulings(
    start: tuple[float, float], end: tuple[float, float]
) -> None:
    """Both edges are covered from end to end, past the first and the last ruling that they share."""
    lower = _on_cylinder(lambda a: 30.0 * a, start[0], end[0])
    upper = _on_cylinder(lambda a: 400.0 + 60.0 * a * a, start[1], end[1])
    ends = start[0], end[0]
    (patch,), _ = sheet_patches(lower, None, upper, on_profile=ends, joints=ends, stems=(False, False))
    p = np.linspace(patch.start, patch.end, 401)
    assert _off_cylinder(patch.shape(p[:, None], np.linspace(0.0, 1.0, 7)[None, :])[0]) < 1e-3
    for edge, line in ((patch.lower(p)[0], lower), (patch.upper(p)[0], upper)):
        for end_point in (line.at(np.array(line.start)), line.at(np.array(line.end))):
            assert np.linalg.norm(edge - end_point, axis=1).min() < 8.0
