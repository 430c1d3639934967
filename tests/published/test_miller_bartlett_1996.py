"""Miller and Bartlett 1996, J Sports Sci 14:243: release angles by distance, from the abstract.

And the release speeds of Okazaki and Rodacki 2012 (J Sports Sci Med 11:231-237), which no ball
that reached the ring can have had: a guard rail, never a check value.
"""

import math

import pytest

from hoopwright.court.equipment import Ball
from hoopwright.flight.arc import (
    cross_ring_plane,
    least_speed,
    vacuum_least_speed,
    vacuum_least_speed_angle,
)

BALL = Ball(size=7, circumference=2.0 * math.pi * 0.12, mass=0.62)


# distance m; derived least-speed angle for a release at 2.3 m; seen lowest and highest angle used
@pytest.mark.parametrize(
    ("distance", "least", "low", "high"),
    [(2.74, 52.7, 52.0, 55.0), (4.57, 49.7, 52.0, 55.0), (6.40, 48.3, 48.0, 50.0)],
)
def test_players_release_at_or_a_little_above_the_least_speed_angle(
    distance: float, least: float, low: float, high: float
) -> None:
    angle = math.degrees(float(vacuum_least_speed_angle(distance, 3.05 - 2.3)))
    assert angle == pytest.approx(least, abs=0.1)
    assert low - angle >= -0.8
    assert high - angle <= 5.5


# distance m, release height m (seen); reported speed m/s (seen); least possible m/s (derived)
@pytest.mark.parametrize(
    ("distance", "height", "reported", "least"),
    [(2.8, 2.46, 4.39, 5.82), (4.6, 2.38, 5.75, 7.22), (6.4, 2.33, 6.89, 8.38)],
)
def test_speeds_below_the_least_speed_are_no_ball_speeds(
    distance: float, height: float, reported: float, least: float
) -> None:
    rise = 3.05 - height
    bare = float(vacuum_least_speed(distance, rise, gravity=9.81))
    assert bare == pytest.approx(least, abs=0.02)
    assert reported < bare < float(least_speed(distance, rise, ball=BALL))
    # at no angle does such a ball get there
    for angle in (0.7, 0.8, 0.9, 1.0, 1.2):
        x = float(cross_ring_plane(reported, angle, rise, ball=BALL).distance)
        assert math.isnan(x) or x < distance
