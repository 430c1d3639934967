"""Mullineaux and Uhl 2010, J Sports Sci 28:1017-1024: free-throw speeds, from the abstract."""

import math

import pytest

from hoopwright.court.equipment import Ball
from hoopwright.flight.air import Air
from hoopwright.flight.arc import cross_ring_plane, speed_to_reach

BALL = Ball(size=7, circumference=2.0 * math.pi * 0.12, mass=0.62)


# seen: speed below the optimum, m/s; derived: where that lands, cm, with air and without
@pytest.mark.parametrize(
    ("slower", "with_air", "without"), [(-0.12, -15.0, -18.0), (-0.02, -2.6, -3.0)]
)
def test_misses_come_up_short(slower: float, with_air: float, without: float) -> None:
    angle = math.radians(52.0)
    for air, landing in ((Air(density=1.2, gravity=9.81), with_air), (Air.none(), without)):
        speed = float(speed_to_reach(4.191, angle, 0.9144, ball=BALL, air=air))
        shot = cross_ring_plane(speed + slower, angle, 0.9144, ball=BALL, air=air)
        assert 100.0 * (float(shot.distance) - 4.191) == pytest.approx(landing, abs=0.6)
