"""Slegers, Lee and Wong 2021, J Sports Sci Med 20:508-515: release spreads, from the abstract."""

import math

import pytest

from hoopwright.court.equipment import Ball
from hoopwright.flight.air import Air
from hoopwright.flight.arc import cross_ring_plane, least_speed, speed_to_reach, vacuum_least_speed

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
