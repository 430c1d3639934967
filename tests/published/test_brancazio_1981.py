"""Brancazio 1981, Am. J. Phys. 49:356: the shot without air.

Formulas: 45° + ½·atan(h/L) seen second-hand, the rest from memory and re-derived. Each row says
whether its value is seen, derived (our formula, the inputs shown) or from memory.
"""

import math

import numpy as np
import pytest

from hoopwright.court.equipment import Ball
from hoopwright.flight import arc, entry
from hoopwright.flight.air import Air
from hoopwright.flight.entry import Target, angle_window
from hoopwright.units import FOOT, INCH

GRAVITY = 9.81
AIR = Air(density=0.0, gravity=GRAVITY)
BALL = Ball(size=7, circumference=2.0 * math.pi * 0.12, mass=0.62)

# derived: L m, h m, least-speed angle, speed m/s, entry angle, flight s, apex above release m
LEAST = [
    (13.75 * FOOT, 3 * FOOT, 51.154, 7.1450, 38.846, 0.9352, 1.5783),
    (4.225, 0.95, 51.336, 7.1973, 38.664, 0.9396, 1.6097),
    (18 * FOOT, 2 * FOOT, 48.170, 7.7545, 41.830, 1.0609, 1.7017),
    (15 * FOOT, 2 * FOOT, 48.797, 7.1574, 41.203, 0.9697, 1.4781),
    (15 * FOOT, 1 * FOOT, 46.907, 6.9239, 43.093, 0.9665, 1.3030),
    (10 * FOOT, 3 * FOOT, 53.350, 6.3394, 36.650, 0.8055, 1.3184),
    (25 * FOOT, 2 * FOOT, 47.287, 8.9984, 42.713, 1.2484, 2.2280),
    (6.75, 0.75, 48.170, 8.6013, 41.830, 1.1767, 2.0936),
    (4.60, 0.0, 45.000, 6.7176, 45.000, 0.9684, 1.1500),
]


@pytest.mark.parametrize(("length", "rise", "angle", "speed", "steep", "time", "apex"), LEAST)
def test_least_speed_shots(
    length: float, rise: float, angle: float, speed: float, steep: float, time: float, apex: float
) -> None:
    closed = arc.vacuum_least_speed_angle(length, rise)
    solved = arc.least_speed_angle(length, rise, ball=BALL, air=AIR)
    for found in (closed, solved):
        assert math.degrees(float(found)) == pytest.approx(angle, abs=0.01)
    assert float(arc.vacuum_least_speed(length, rise, gravity=GRAVITY)) == pytest.approx(
        speed, abs=0.002
    )
    assert float(arc.least_speed(length, rise, ball=BALL, air=AIR)) == pytest.approx(
        speed, abs=0.002
    )
    flown = arc.cross_ring_plane(arc.least_speed(length, rise, ball=BALL, air=AIR), solved, rise,
                                 ball=BALL, air=AIR)  # fmt: skip
    assert float(flown.distance) == pytest.approx(length, abs=1e-6)
    assert math.degrees(float(flown.entry_angle)) == pytest.approx(steep, abs=0.01)
    assert float(flown.time) == pytest.approx(time, abs=1e-3)
    assert float(flown.apex) == pytest.approx(apex, abs=1e-3)


def test_statements_quoted_in_a_2010_newspaper_account() -> None:
    # seen, second-hand: 8 ft release from 18 ft "a little over 48°"; 7 ft from 13.75 ft "51°"
    def angle(length_ft: float, release_ft: float) -> float:
        return math.degrees(float(arc.vacuum_least_speed_angle(length_ft, 10.0 - release_ft)))

    assert angle(18.0, 8.0) == pytest.approx(48.0, abs=0.5)
    assert angle(13.75, 7.0) == pytest.approx(51.0, abs=0.5)
    # seen: least effort is 47° to 52° for most players from 10 to 25 ft
    for length, release in ((18.0, 8.0), (15.0, 8.0), (25.0, 8.0)):
        assert 47.0 <= angle(length, release) <= 52.0


def test_difference_ten_feet_from_a_seven_foot_release_lies_outside_the_quoted_band() -> None:
    # not reproduced: quoted 47–52° for 10–25 ft, but 10 ft from 7 ft gives 53.35°, 1.35° above it
    found = math.degrees(float(arc.vacuum_least_speed_angle(10.0, 3.0)))
    assert found - 52.0 == pytest.approx(1.35, abs=0.01)


# derived, but 31.855 ("about 32°", memory) and 32.684 ("32.7°", seen): ball, ring, angle
FLOORS = [
    (9.5, 18.0, 31.855),
    (0.8, 1.5, 32.231),
    (24.3, 45.0, 32.684),
    (750 / math.pi, 450, 32.040),
    (770 / math.pi, 450, 33.002),
    (750 / math.pi, 459, 31.340),
    (29.5 / math.pi, 18.0, 31.445),
    (28.5 / math.pi, 18.0, 30.264),
    (27.5 / math.pi, 18.0, 29.098),
]


@pytest.mark.parametrize(("ball", "ring", "angle"), FLOORS)
def test_lowest_entry_angle(ball: float, ring: float, angle: float) -> None:
    found = math.degrees(float(entry.lowest_entry_angle(ball, ring)))
    assert found == pytest.approx(angle, abs=0.01)


@pytest.mark.parametrize(("angle", "space"), [(90.0, 11.0), (55.0, 6.4), (45.0, 3.8)])
def test_free_space_quoted_in_a_2010_newspaper_account(angle: float, space: float) -> None:
    # seen, second-hand, cm; the ball of the article is at the large end of its range
    found = entry.free_space(math.radians(angle), ball_diameter=24.65, ring_diameter=45.72)
    assert float(found) == pytest.approx(space, abs=0.5)


def test_no_free_space_at_thirty_degrees() -> None:
    # seen, second-hand
    assert entry.free_space(math.radians(30.0), ball_diameter=24.65, ring_diameter=45.72) < 0.0


# derived, inches, ring 18 in
DEPTHS = {
    9.5: [0.279, 0.719, 1.428, 1.610, 2.009, 2.282, 2.799, 3.201, 3.515, 4.250],
    9.390: [0.379, 0.814, 1.515, 1.696, 2.090, 2.360, 2.871, 3.268, 3.579, 4.305],
}


@pytest.mark.parametrize("ball", list(DEPTHS))
def test_depth_margin(ball: float) -> None:
    angles = np.radians([33, 35, 38.85, 40, 42.8, 45, 50, 55, 60, 90])
    found = entry.depth_margin(angles, ball_diameter=ball, ring_diameter=18.0)
    np.testing.assert_allclose(found, DEPTHS[ball], rtol=0, atol=0.005)


# derived, degrees
SIDES = {
    9.5: [2.030, 1.476, 1.353, 1.015, 0.922, 0.854],
    9.39: [2.056, 1.495, 1.370, 1.028, 0.934, 0.865],
}


@pytest.mark.parametrize("ball", list(SIDES))
def test_side_margin(ball: float) -> None:
    distance = np.array([10, 13.75, 15, 20, 22, 23.75]) * 12.0
    found = entry.side_margin(distance, ball_diameter=ball, ring_diameter=18.0)
    np.testing.assert_allclose(np.degrees(found), SIDES[ball], rtol=0, atol=0.005)


def test_lowest_clean_release() -> None:
    # derived, degrees: distance 10, 15, 20, 25 ft down; release 6, 7, 8, 9 ft across
    expected = [
        [54.87, 50.69, 45.61, 39.40],
        [49.11, 45.61, 41.61, 37.04],
        [45.61, 42.66, 39.40, 35.81],
        [43.27, 40.74, 38.00, 35.04],
    ]
    distance, release = np.array([[10.0], [15.0], [20.0], [25.0]]), np.array([6.0, 7.0, 8.0, 9.0])
    found = entry.lowest_clean_release(
        distance, 10.0 - release, ball_diameter=9.5 / 12.0, ring_diameter=1.5
    )
    np.testing.assert_allclose(np.degrees(found), expected, rtol=0, atol=0.02)


# derived: release ft, least speed ft/s, window there, widest window (degrees), its speed ratio
WINDOWS = [
    (6.0, 25.063, 4.997, 6.592, 1.002),
    (7.0, 24.263, 5.977, 8.113, 1.003),
    (8.0, 23.478, 6.987, 9.605, 1.004),
    (9.0, 22.712, 8.021, 11.087, 1.005),
]


def window(release: float, ratio: float) -> tuple[float, float]:
    """Least speed, and width in degrees of the no-touch window at a ratio of it."""
    target = Target(
        distance=15.0, rise=10.0 - release, ball_diameter=9.5 / 12.0, ring_diameter=1.5,
        gravity=32.174,
    )  # fmt: skip
    least = float(arc.vacuum_least_speed(15.0, 10.0 - release, gravity=32.174))
    low, high = angle_window(ratio * least, target=target, back_touch=False)
    return least, math.degrees(high - low)


@pytest.mark.parametrize(("release", "speed", "at_least", "widest", "ratio"), WINDOWS)
def test_a_higher_release_widens_the_angle_window(
    release: float, speed: float, at_least: float, widest: float, ratio: float
) -> None:
    assert window(release, 1.0)[0] == pytest.approx(speed, abs=0.002)
    assert window(release, 1.0)[1] == pytest.approx(at_least, abs=0.05)
    assert window(release, ratio)[1] == pytest.approx(widest, abs=0.05)
    assert window(release, ratio - 0.002)[1] < window(release, ratio)[1]
    assert window(release, ratio + 0.002)[1] < window(release, ratio)[1]


def test_difference_a_nine_foot_release_is_not_quite_eighteen_percent_wider() -> None:
    # seen, second-hand (Hartford Courant 1993): 18 % wider than from a lower release, whose height
    # is cut off in the excerpt; against 8 ft ours is 15 %, 3 points short, within 4
    gain = window(9.0, 1.0)[1] / window(8.0, 1.0)[1] - 1.0
    assert gain == pytest.approx(0.18, abs=0.04)
    assert gain - 0.18 == pytest.approx(-0.03, abs=0.01)


def test_solving_the_true_contact_asks_for_about_a_degree_more() -> None:
    # derived: the straight-path rule of the table above flatters the ball by about 1°
    target = Target(
        distance=15.0, rise=3.0, ball_diameter=9.5 / 12.0, ring_diameter=1.5, gravity=32.174
    )
    straight = float(
        entry.lowest_clean_release(15.0, 3.0, ball_diameter=9.5 / 12.0, ring_diameter=1.5)
    )
    angles = np.radians(np.arange(40.0, 52.0, 0.01))
    speeds = arc.vacuum_speed(15.0, angles, 3.0, gravity=32.174)
    clear = entry.front_clearance(speeds, angles, target=target) > 9.5 / 24.0
    true = float(np.degrees(angles[np.argmax(clear)]))
    assert true - math.degrees(straight) == pytest.approx(1.0, abs=0.4)


def test_inches_and_metres_give_the_same_margin() -> None:
    metres = entry.depth_margin(0.8, ball_diameter=9.5 * INCH, ring_diameter=18.0 * INCH)
    inches = entry.depth_margin(0.8, ball_diameter=9.5, ring_diameter=18.0)
    assert float(metres) / INCH == pytest.approx(float(inches))
