"""Slegers, Lee and Wong 2021, J Sports Sci Med 20:508-515: release spreads, from the abstract."""

import math

import numpy as np
import pytest

from hoopwright.chart.film_measures import Scatter, scatter
from hoopwright.court.equipment import Ball
from hoopwright.flight.air import Air
from hoopwright.flight.arc import cross_ring_plane, least_speed, speed_to_reach, vacuum_least_speed
from hoopwright.records import Estimate

BALL = Ball(size=7, circumference=2.0 * math.pi * 0.12, mass=0.62)
TWO_TURNS = 4.0 * math.pi


# derived: drag coefficient, spin, ratio of least speeds 6.75 m to 4.19 m at a rise of 0.95 m
@pytest.mark.parametrize(("drag", "spin", "ratio"), [(0.5, TWO_TURNS, 1.241), (0.5, 0.0, 1.245)])
def test_threes_are_released_a_quarter_faster(drag: float, spin: float, ratio: float) -> None:
    air = Air(density=1.2, drag_coefficient=drag, lift_slope=0.5, gravity=9.81)
    near, far = (least_speed(d, 0.95, ball=BALL, air=air, spin=spin) for d in (4.19, 6.75))
    assert float(far / near) == pytest.approx(ratio, abs=0.003)
    # seen: 24 % higher
    assert float(far / near) == pytest.approx(1.24, abs=0.01)


def test_difference_without_air_the_ratio_is_two_percent_short() -> None:
    # derived 1.217; not the published 1.24: the check needs air
    ratio = float(vacuum_least_speed(6.75, 0.95) / vacuum_least_speed(4.19, 0.95))
    assert ratio == pytest.approx(1.217, abs=0.001)
    assert ratio - 1.24 == pytest.approx(-0.023, abs=0.001)


def test_speed_scatter_moves_the_ball_several_times_further_than_angle_scatter() -> None:
    # seen: angle SD 1.3° and speed SD 0.05–0.13 m/s; derived: 1.5–3 cm against about 11.6 cm
    air = Air(density=1.2, lift_slope=0.5, gravity=9.81)
    angle, spin = math.radians(52.0), 6.0 * math.pi
    speed = float(speed_to_reach(4.191, angle, 0.9144, ball=BALL, air=air, spin=spin))
    faster = cross_ring_plane(speed + 0.09, angle, 0.9144, ball=BALL, air=air, spin=spin)
    steeper = cross_ring_plane(
        speed, angle + math.radians(1.3), 0.9144, ball=BALL, air=air, spin=spin
    )
    by_speed = float(faster.distance) - 4.191
    by_angle = abs(float(steeper.distance) - 4.191)
    assert by_speed == pytest.approx(0.116, abs=0.003)
    assert 0.015 < by_angle < 0.03
    assert 4.0 < by_speed / by_angle < 8.0


def read_spreads(
    values_sd: float, error: float, shots: int, *, rng: np.random.Generator
) -> tuple[Scatter, Estimate]:
    """A player of known spread, measured with a known error that differs from shot to shot."""
    sds = error * (0.7 + 0.6 * rng.random(shots))
    values = 7.2 + values_sd * rng.standard_normal(shots) + sds * rng.standard_normal(shots)
    found = scatter(values, sds, groups=["line"] * shots)
    return found, Estimate.from_draws(found.draws, found.weights)


# seen: speed SD 0.05-0.13 m/s over 75 threes and 50 free throws; angle SD 1.2 and 1.3 degrees.
# Errors are the project's own bounds for film: 0.05 m/s and 0.4 degrees.
@pytest.mark.parametrize(
    ("spread", "error", "shots"),
    [(0.05, 0.05, 75), (0.09, 0.05, 75), (0.13, 0.05, 50), (1.2, 0.4, 75), (1.3, 0.4, 50)],
)
def test_published_spreads_come_back_from_measured_shots(
    spread: float, error: float, shots: int
) -> None:
    rng = np.random.default_rng(2021)
    middles, inside = [], 0
    for _ in range(200):
        _, estimate = read_spreads(spread, error, shots, rng=rng)
        middles.append(estimate.value)
        inside += estimate.low95 <= spread <= estimate.high95
    assert np.mean(middles) == pytest.approx(spread, rel=0.06)
    assert inside / 200 == pytest.approx(0.95, abs=0.04)


def test_frame_to_frame_noise_inflates_the_plain_spread_as_published() -> None:
    """Seen: earlier papers' 0.2–0.8 m/s are noise, "nearly ten times" too big at the top.

    Derived: a straight line through N frames at rate f with noise s has a speed error of
    s·f·√(12/(N(N²−1))): 0.264 m/s for ten frames at 240 a second and 1 cm.
    """
    error = 0.01 * 240 * math.sqrt(12 / (10 * 99))
    assert error == pytest.approx(0.264, abs=0.001)
    rng = np.random.default_rng(11)
    pairs = [read_spreads(0.09, error, 75, rng=rng) for _ in range(100)]
    plain = np.array([found.seen for found, _ in pairs])
    assert plain.min() > 0.2 and plain.max() < 0.8
    assert np.mean(plain) > 2.5 * 0.09
    # with the error known, the range holds the truth, and says how little was seen
    assert np.mean([e.low95 <= 0.09 <= e.high95 for _, e in pairs]) > 0.9
    assert np.mean([e.value for _, e in pairs]) == pytest.approx(0.09, rel=0.25)
    assert np.median([e.high80 / e.low80 for _, e in pairs]) > 1.6
