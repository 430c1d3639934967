"""Margins at the ring against the ring itself, and windows that are not there."""

import math

import numpy as np
import pytest
from tests.flight.scenes import BALL, BOARD, RING

from hoopwright.errors import NotAShot
from hoopwright.flight.air import Air
from hoopwright.flight.arc import vacuum_speed
from hoopwright.flight.entry import (
    Target,
    angle_window,
    depth_margin,
    free_space,
    front_clearance,
    lowest_entry_angle,
    room,
    speed_window,
)
from hoopwright.flight.ring import Outcome, play

TARGET = Target(distance=4.225, rise=0.95, ball_diameter=0.242, ring_diameter=0.4545)


def test_at_the_lowest_entry_angle_there_is_no_room_left() -> None:
    lowest = float(lowest_entry_angle(0.242, 0.4545))
    assert float(free_space(lowest, ball_diameter=0.242, ring_diameter=0.4545)) == pytest.approx(0)
    assert float(depth_margin(lowest, ball_diameter=0.242, ring_diameter=0.4545)) == pytest.approx(
        0.0
    )


@pytest.mark.parametrize("degrees", [45.0, 55.0, 70.0])
def test_played_shots_are_clean_within_about_the_straight_path_margin(degrees: float) -> None:
    # on the long side the back rim is what counts, and the straight-path rule is close to exact:
    # the path only steepens by then, and the rod's roundness gives a few millimetres
    angle = math.radians(degrees)
    margin = float(
        depth_margin(angle, ball_diameter=2.0 * BALL.radius, ring_diameter=RING.inside_diameter)
    )
    along = np.linspace(0.0, 0.12, 481)
    outcomes = play(along, 0.0, angle, 5.8, ball=BALL, ring=RING, board=BOARD, air=Air.none())
    deepest = along[np.flatnonzero(outcomes == Outcome.CLEAN)[-1]]
    assert deepest == pytest.approx(margin, abs=0.012)


def test_front_clearance_is_the_distance_to_the_parabola() -> None:
    angle = math.radians(52.0)
    speed = float(vacuum_speed(4.225, angle, 0.95))
    found = float(front_clearance(speed, angle, target=TARGET))
    time = np.linspace(0.5, 1.1, 200_001)
    x = speed * math.cos(angle) * time - (4.225 - 0.5 * 0.4545)
    z = speed * math.sin(angle) * time - 0.5 * TARGET.gravity * time**2 - 0.95
    assert found == pytest.approx(float(np.hypot(x, z).min()), abs=1e-9)
    assert float(front_clearance(0.97 * speed, angle, target=TARGET)) < 0.0


def test_windows_hold_just_inside_and_fail_just_outside() -> None:
    angle = math.radians(52.0)
    speed = float(vacuum_speed(4.225, angle, 0.95))
    for back_touch in (True, False):
        low, high = angle_window(speed, target=TARGET, back_touch=back_touch)
        slow, fast = speed_window(angle, target=TARGET, back_touch=back_touch)
        assert low < angle < high
        assert slow < speed < fast
        for inside in ((speed, low + 1e-4), (speed, high - 1e-4), (slow + 1e-4, angle)):
            assert float(room(*inside, target=TARGET, back_touch=back_touch)) > 0.0
        for outside in ((speed, low - 1e-4), (speed, high + 1e-4), (fast + 1e-3, angle)):
            assert float(room(*outside, target=TARGET, back_touch=back_touch)) < 0.0


def test_a_speed_that_reaches_no_ring_has_no_window() -> None:
    with pytest.raises(NotAShot, match="No such shot"):
        angle_window(4.0, target=TARGET)
