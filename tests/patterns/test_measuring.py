"""The measuring model: its algebra against direct computation, and frames of which each source may be wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from patterns.measure import Notation
from patterns.repair.measuring.ask import reading_to_ask
from patterns.repair.measuring.curves import known_spans
from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.faults import Cause, Suspicion
from patterns.repair.measuring.judge import Verdict
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.prior import CHOICES, Latent, StretchPrior, covariance_parts
from patterns.repair.measuring.score import judged
from patterns.repair.measuring.solve import solved
from patterns.repair.measuring.spots import placed_spot, predicted, references_of, spots_of
from patterns.repair.measuring.unseen import unseen_places
from tests.patterns.measured_frames import SIDES, Fault, TrueFrame, measured, true_frame

ALL = ("nails", "two nails", "plumb", "board", "half-breadth")


@cache
def _frame(kind: str) -> TrueFrame:
    return true_frame(kind, np.random.default_rng(77))


def _read(
    kind: str, fault: Fault | None = None, *, apart: float = 100.0, ways: tuple[str, ...] = ALL
) -> Verdict:
    points, places = measured(
        _frame(kind), np.random.default_rng(7), hand=0.6, step=1.0, fault=fault, ways=ways, apart=apart
    )
    return solved({"": points}, places, allow=25.4 / 16, step=1.0, notation=Notation.MM)


def _worst(kind: str, verdict: Verdict) -> float:
    frame, model = _frame(kind), verdict.model
    found = []
    for side, stretch in frame.curves:
        places, _ = model.edge("", side, stretch, np.linspace(*model.span("", side, stretch), 25))
        found.append(float(frame.off(side, stretch, places).max()))
    return max(found)


def _moved(fault: Suspicion) -> set[tuple[str, str]]:
    return {(key[0], key[2]) for key, _ in fault.refs} if fault.cause is Cause.PLACE else set()


def _frames() -> Frames:
    points, places = measured(_frame("chine"), np.random.default_rng(7), hand=0.6, step=1.0)
    spots = tuple(spots_of("", points, places))
    return Frames(spots=spots, refs=references_of(spots, places), error=0.7)


def test_readings_and_their_derivatives_are_those_of_the_place() -> None:
    frames = _frames()
    for spot in frames.spots:
        at = placed_spot(spot, frames.refs)
        value, by_place, by_source = predicted(spot, frames.refs, at)
        exact = len(spot.values) == 2
        assert value == pytest.approx(spot.values, abs=1e-6 if exact else 5.0)
        for k in range(2):
            step = np.eye(2)[k] * 1e-4
            more, less = (predicted(spot, frames.refs, at + way * step)[0] for way in (1.0, -1.0))
            assert by_place[:, k] == pytest.approx((more - less) / 2e-4, abs=1e-5)
            for key, own in zip(spot.keys, by_source, strict=True):
                refs = dict(frames.refs)
                refs[key] = replace(refs[key], at=refs[key].at + step)
                assert own[:, k] == pytest.approx((predicted(spot, refs, at)[0] - value) / 1e-4, abs=1e-4)


def test_the_prior_bends_as_a_cubic_spline_does() -> None:
    """Integrated white bending: cov(s, t) = s^2 (3 t - s) / 6 for s <= t, from where it begins; a closed form."""
    prior = StretchPrior(length=500.0, straight=False, bends=np.ones(60))
    key = ("", "", "side")
    shares = np.array([0.1, 0.4, 0.9])
    latents = [Latent(key, 1.0, float(share)) for share in shares]
    found = covariance_parts(latents, latents, {key: prior}).even
    s, t = (np.minimum.outer(shares, shares) + 0.06, np.maximum.outer(shares, shares) + 0.06)
    assert found == pytest.approx(s**2 * (3.0 * t - s) / 6.0, rel=5e-3)


def test_evidence_and_bayes_factors_are_those_of_normal_distributions() -> None:
    """Against scipy.stats.multivariate_normal, with and without the fault's column in the covariance."""
    model = Model(_frames())
    left, rows = model.rows.left, model.rows

    def evidence(column: np.ndarray | None) -> float:
        logs = []
        for choice, inverse in zip(CHOICES, model.inverse, strict=True):
            covariance = np.linalg.inv(inverse)
            if column is not None:
                covariance = covariance + column @ column.T
            normal = multivariate_normal(np.zeros(len(left)), 0.5 * (covariance + covariance.T))
            logs.append(float(normal.logpdf(left)) + choice.log)
        return float(np.logaddexp.reduce(logs))

    bare = evidence(None)
    constant = rows.volume + 0.5 * len(left) * np.log(2.0 * np.pi)
    assert model.evidence == pytest.approx(bare + constant, abs=1e-6)
    for fault in judged(model, model.suspicions())[:40:8]:
        odds = evidence(rows.reading @ fault.columns * fault.spread) - bare + np.log(fault.cause.value)
        assert fault.log_odds == pytest.approx(odds, abs=1e-4)


@pytest.mark.parametrize("kind", ["round", "chine", "clinker"])
def test_a_sound_frame_is_not_doubted_and_lies_within_its_band(kind: str) -> None:
    verdict = _read(kind)
    assert not verdict.named
    widest = max(span.half_width for side in SIDES for span in known_spans(verdict, "", side))
    assert _worst(kind, verdict) < min(widest, 3.0)


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["round", "chine", "clinker"])
@pytest.mark.parametrize("size", [20.0, 40.0])
def test_a_plumb_line_that_hung_elsewhere_is_named_and_the_edge_is_right(kind: str, size: float) -> None:
    """Read by mixed methods, on one side: nails, board and half-breadths are the witnesses."""
    verdict = _read(kind, Fault(moved={("plumb", "starboard"): np.array([size, 0.0])}))
    assert _moved(verdict.named[0].fault) == {("plumb", "starboard")}
    assert not verdict.asked
    assert _worst(kind, verdict) < (3.5 if kind == "clinker" else 3.0)


@pytest.mark.slow
@pytest.mark.parametrize("size", [10.0, 20.0, 40.0])
def test_a_plumb_line_out_in_all_frames_is_named_and_no_neighbours_point_is_blamed(size: float) -> None:
    fault = Fault(moved={("plumb", side): np.array([size, 0.0]) for side in SIDES})
    frames, places = {}, None
    for seed, name in enumerate(("", "3", "5")):
        frames[name], places = measured(
            _frame("chine"), np.random.default_rng(seed), hand=0.6, step=1.0, fault=fault
        )
    assert places is not None
    verdict = solved(frames, places, allow=25.4 / 16, step=1.0, notation=Notation.MM)
    causes = [one for named in verdict.named for one in (named.fault, *named.rivals)]
    assert causes
    assert _moved(causes[0]) == {("plumb", "port"), ("plumb", "starboard")}
    assert {key[1] for key, _ in causes[0].refs} == {"", "3", "5"}
    assert all(one.cause in (Cause.PLACE, Cause.TURN) for one in causes)
    assert _worst("chine", verdict) < 3.0


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["round", "chine"])
def test_two_readings_far_out_are_named(kind: str) -> None:
    """Two ordinates off the plumb line, one after the other on the port side, 40 mm too much."""
    ways = ("plumb", "nails")
    points, _ = measured(_frame(kind), np.random.default_rng(7), hand=0.6, step=1.0, ways=ways)
    high = [point.name for point in points if point.side == "port" and point.sources == ("plumb",)][-3:-1]
    verdict = _read(kind, Fault(slips={("port", name, 1): 40.0 for name in high}), ways=ways)
    spots = verdict.model.frames.spots
    blamed = {
        spots[i].measured.name
        for named in verdict.named
        for i, _ in named.fault.readings
        if spots[i].side == "port"
    }
    assert blamed == set(high)
    assert not any(named.fault.refs for named in verdict.named)
    assert _worst(kind, verdict) < 3.5


@pytest.mark.slow
def test_a_wrong_distance_is_named_by_its_fit_and_not_by_its_figures() -> None:
    """A distance from a nail is 25 mm too much: the same reading is wanted back, and no other is blamed for it."""
    ways = ("two nails",)
    points, _ = measured(_frame("chine"), np.random.default_rng(7), hand=0.6, step=1.0, ways=ways)
    own = [point for point in points if point.side == "port"][3]
    verdict = _read("chine", Fault(slips={("port", own.name, 0): 25.0}), ways=ways)
    (named,) = verdict.named
    i, k = named.fault.readings[0]
    assert (verdict.model.frames.spots[i].measured.name, k) == (own.name, 0)
    assert named.fault.size[0] == pytest.approx(25.0, abs=4.0)
    assert _worst("chine", verdict) < 3.0


@pytest.mark.slow
def test_few_points_on_a_round_bilge_are_said_to_leave_it_open() -> None:
    verdict = _read("round", apart=1000.0)
    spans = [span for side in SIDES for span in known_spans(verdict, "", side)]
    assert max(span.half_width for span in spans) > 5.0
    assert max(span.half_width for span in spans) > 0.8 * _worst("round", verdict)


@pytest.mark.slow
def test_what_would_not_show_is_said_beforehand_and_does_not_show() -> None:
    """A board alone measures the bottom: on both sides it may be far off; half-breadths there would tell."""
    ways = ("board",)
    unseen = {one.refs[0][0][0]: one for one in unseen_places(_read("chine", ways=ways).model)}
    assert unseen["board"].size > 50.0
    move = 40.0 * unseen["board"].way
    assert not _read("chine", Fault(moved={("board", side): move for side in SIDES}), ways=ways).named
    mixed = _read("chine")
    assert "board" not in {one.refs[0][0][0] for one in unseen_places(mixed.model)}
    assert _read("chine", Fault(moved={("board", side): move for side in SIDES})).named


@pytest.mark.slow
def test_rivals_are_not_taken_out_and_the_reading_that_tells_is_asked() -> None:
    """Two straight edges and no third witness: either may be out, and each explanation foresees its own reading."""
    ways = ("plumb", "board")
    found = []
    for size in (15.0, 25.0):
        verdict = _read(
            "chine", Fault(moved={("plumb", side): np.array([size, 0.0]) for side in SIDES}), ways=ways
        )
        found += [named for named in verdict.named if named.rivals]
        assert verdict.asked == bool(verdict.named and verdict.named[-1].rivals)
    for named in found:
        asked = reading_to_ask(named)
        assert asked is None or asked.apart >= 3.0
        causes: Sequence[Suspicion] = (named.fault, *named.rivals)
        assert any(("plumb", "port") in _moved(one) for one in causes)
