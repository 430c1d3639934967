"""Fontanella 2006, The Physics of Basketball: launch and approach angles, seen second-hand."""

import math

import pytest
from scipy.optimize import brentq

from hoopwright.court.standards import ball
from hoopwright.flight.air import Air
from hoopwright.flight.arc import (
    cross_ring_plane,
    least_speed_angle,
    speed_to_reach,
    vacuum_entry_angle,
    vacuum_least_speed_angle,
)
from hoopwright.units import FOOT

LENGTH = 13.75 * FOOT
BALL = ball(7, rules="nba")
# seen launch and approach; derived: rise in feet that makes the launch a least-speed one without
# air, approach without air, approach with drag 0.5 at the same launch angle
PLAYERS = [(50.8, 40.0, 2.82, 39.2, 41.6), (48.7, 42.8, 1.79, 41.3, 43.5)]


@pytest.mark.parametrize(("launch", "approach", "rise", "bare", "dragged"), PLAYERS)
def test_approach_lies_between_the_shots_without_air_and_with_it(
    launch: float, approach: float, rise: float, bare: float, dragged: float
) -> None:
    angle = math.radians(launch)
    found = brentq(lambda h: float(vacuum_least_speed_angle(LENGTH, h)) - angle, 0.1, 2.0)
    assert found / FOOT == pytest.approx(rise, abs=0.01)
    without = math.degrees(float(vacuum_entry_angle(LENGTH, angle, found)))
    assert without == pytest.approx(bare, abs=0.1)
    air = Air(density=1.2, gravity=9.81)
    speed = speed_to_reach(LENGTH, angle, found, ball=BALL, air=air)
    crossing = cross_ring_plane(speed, angle, found, ball=BALL, air=air)
    with_air = math.degrees(float(crossing.entry_angle))
    assert with_air == pytest.approx(dragged, abs=0.15)
    assert without < approach < with_air
    assert max(with_air - approach, approach - without) < 1.7


def test_air_lowers_the_least_speed_angle() -> None:
    # derived: by 0.6° without spin, by up to 1.6° with 2 rev/s and CL = S
    bare = float(vacuum_least_speed_angle(LENGTH, 3 * FOOT))
    for spin, slope, drop in ((0.0, 0.0, 0.6), (4.0 * math.pi, 1.0, 1.6)):
        air = Air(density=1.2, lift_slope=slope)
        angle = float(least_speed_angle(LENGTH, 3 * FOOT, ball=BALL, air=air, spin=spin))
        assert math.degrees(bare - angle) == pytest.approx(drop, abs=0.15)
