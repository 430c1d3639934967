"""Tran and Silverberg 2008, J Sports Sci 26:1147-1155: free throws, from press accounts (seen).

The paper itself was not available: the simulated player's spread in each direction and the ring's
restitution are not known, so the gain from aiming long is checked with a wide tolerance, stated.
"""

import math
from functools import cache

import numpy as np
import pytest
from scipy.stats import norm, qmc

from hoopwright.court.equipment import Ball
from hoopwright.court.standards import ball, rule_book
from hoopwright.flight.air import Air
from hoopwright.flight.arc import (
    cross_ring_plane,
    speed_to_reach,
    vacuum_crossing,
    vacuum_speed,
)
from hoopwright.flight.contact import RANGES, Contact, restitution_at_ring
from hoopwright.flight.ring import is_make, shoot
from hoopwright.units import FOOT, INCH

LENGTH, RISE, ANGLE = 13.75 * FOOT, 3.0 * FOOT, math.radians(52.0)
SPIN = 6.0 * math.pi
#: past centre that leaves 2 in between ball and back rim: 9 − 4.695 − 2 in (seen 2 in, derived)
AIM = (9.0 - 4.695 - 2.0) * INCH
TEST_BALL = Ball(size=7, circumference=2.0 * math.pi * 0.12, mass=0.62)


def air(slope: float) -> Air:
    return Air(density=1.2, lift_slope=slope, gravity=9.81)


def test_two_inches_from_the_back_rim_is_59_mm_past_centre() -> None:
    assert pytest.approx(0.059, abs=0.0005) == AIM
    # seen, Reuters 2012: 7 cm past centre, which leaves 3.9 cm; the two accounts do not agree
    assert pytest.approx(0.039, abs=0.001) == (9.0 - 4.695) * INCH - 0.07


# derived: CL over spin ratio, inches that the ball's centre stays below the top of the board
@pytest.mark.parametrize(("slope", "below"), [(1.0, 4.2), (0.5, 5.0)])
def test_the_top_of_the_arc_is_near_the_top_of_the_board(slope: float, below: float) -> None:
    speed = speed_to_reach(LENGTH + AIM, ANGLE, RISE, ball=TEST_BALL, air=air(slope), spin=SPIN)
    shot = cross_ring_plane(speed, ANGLE, RISE, ball=TEST_BALL, air=air(slope), spin=SPIN)
    centre = (13.0 * FOOT - (7.0 * FOOT + float(shot.apex))) / INCH
    # seen: the top of the arc is under 2 in below the board's top; taken as the ball's top
    assert centre - 4.695 == pytest.approx(0.0, abs=2.0)
    # derived with buoyancy left out; ours has it, which moves the apex by less than 0.3 in
    assert centre == pytest.approx(below, abs=0.4)


def test_the_apex_check_fails_without_air() -> None:
    # derived: 7.6 in below
    speed = vacuum_speed(LENGTH + AIM, ANGLE, RISE, gravity=9.81)
    apex = float(vacuum_crossing(speed, ANGLE, RISE, gravity=9.81).apex)
    assert (6.0 * FOOT - apex) / INCH == pytest.approx(7.6, abs=0.1)


# derived: aim past centre m, lowest and highest speed over CL = S and S/2, speed without air
@pytest.mark.parametrize(
    ("aim", "low", "high", "bare"), [(0.0, 7.37, 7.40, 7.147), (AIM, 7.41, 7.45, 7.187)]
)
def test_speeds(aim: float, low: float, high: float, bare: float) -> None:
    lifted = 1.0 - 1.2 * 4.0 / 3.0 * math.pi * 0.12**3 / 0.62
    found = [
        float(
            speed_to_reach(
                LENGTH + aim, ANGLE, RISE, ball=TEST_BALL, spin=SPIN,
                air=Air(density=1.2, lift_slope=slope, gravity=9.81 / lifted),
            )
        )
        for slope in (1.0, 0.5)
    ]  # fmt: skip
    assert found[0] == pytest.approx(low, abs=0.006)
    assert found[1] == pytest.approx(high, abs=0.006)
    assert float(vacuum_speed(LENGTH + aim, ANGLE, RISE, gravity=9.81)) == pytest.approx(
        bare, abs=0.001
    )


def standard_errors(count: int) -> np.ndarray:
    """Normal (speed, angle, direction) errors [3, shot] of one standard deviation each."""
    unit = qmc.Sobol(3, rng=np.random.default_rng(1)).random(count)
    return np.asarray(norm.ppf(unit).T)


ERRORS = standard_errors(8192)
#: aims past centre [m]
AIMS = np.array([0.0, 0.03, AIM, 0.09])


def makes(speed_sd: float, direction_sd: float, ring: float) -> np.ndarray:
    """Share made at each aim; angle SD 1.3° (Slegers 2021, seen)."""
    nba, size7 = rule_book("nba"), ball(7, rules="nba")
    speeds = speed_to_reach(LENGTH + AIMS, ANGLE, RISE, ball=size7, spin=SPIN)
    shots = shoot(
        speeds[:, None] + speed_sd * ERRORS[0], ANGLE + math.radians(1.3) * ERRORS[1],
        direction_sd * ERRORS[2], distance=LENGTH, rise=RISE, spin=SPIN, ring_restitution=ring,
        ball=size7, ring=nba.ring, board=nba.board,
    )  # fmt: skip
    return np.asarray(is_make(shots.outcome).mean(axis=1))


@cache
def seventy_percent_shooter(direction_sd: float, ring: float) -> tuple[float, float, float]:
    """Gain per 100 of the published aim over centre, of the best aim, and the best aim [m]."""
    low, high = 0.03, 0.3
    for _ in range(9):
        middle = 0.5 * (low + high)
        low, high = (
            (middle, high) if makes(middle, direction_sd, ring).max() > 0.70 else (low, middle)
        )
    share = 100.0 * makes(low, direction_sd, ring)
    assert share.max() == pytest.approx(70.0, abs=1.0)
    return share[2] - share[0], share.max() - share[0], float(AIMS[share.argmax()])


USUAL = Contact().ring_restitution
#: ring restitution at the ends of its stated range
DEAD = float(restitution_at_ring(RANGES["ball_restitution"][0], RANGES["ring_absorption"][1]))
LIVE = float(restitution_at_ring(RANGES["ball_restitution"][1], RANGES["ring_absorption"][0]))
STRAIGHT = math.radians(0.3)


def test_aiming_past_centre_beats_the_centre_by_about_three_makes_per_100() -> None:
    # seen: aiming at the exact centre costs almost 3 percentage points; tolerance ±1.5 because the
    # published player's split of errors and the ring's restitution are not known
    gain, best, aim = seventy_percent_shooter(STRAIGHT, USUAL)
    assert gain == pytest.approx(3.0, abs=1.5)
    assert best == pytest.approx(3.0, abs=1.5)
    # seen: 5 cm gap (5.9 cm past centre) or 7 cm past centre
    assert 0.03 <= aim <= 0.09


def test_the_published_gain_lies_within_the_stated_range_of_the_ring() -> None:
    dead, live = seventy_percent_shooter(STRAIGHT, DEAD), seventy_percent_shooter(STRAIGHT, LIVE)
    assert live[1] < 3.0 < dead[1] + 0.3
    assert live[0] > 0.5


def test_difference_the_gain_is_a_point_below_the_published_one() -> None:
    # not fully reproduced: 2.0 per 100 at the default restitution, against "almost 3"
    assert seventy_percent_shooter(STRAIGHT, USUAL)[0] - 3.0 == pytest.approx(-1.0, abs=0.4)


def test_difference_a_shooter_who_also_sprays_sideways_gains_less() -> None:
    # not reproduced: with 1° of direction error the best aim is shallower and gains about 1.5
    gain, best, aim = seventy_percent_shooter(math.radians(1.0), USUAL)
    assert best - 3.0 == pytest.approx(-1.5, abs=0.4)
    assert gain <= best
    assert aim == pytest.approx(0.03)


def test_a_higher_release_helps() -> None:
    # seen: higher release helps
    nba, size7 = rule_book("nba"), ball(7, rules="nba")
    share = []
    for release in (6.0, 7.0, 8.0):
        rise = (10.0 - release) * FOOT
        speed = speed_to_reach(LENGTH + 0.04, ANGLE, rise, ball=size7, spin=SPIN)
        shots = shoot(
            float(speed) + 0.11 * ERRORS[0], ANGLE + math.radians(1.3) * ERRORS[1],
            STRAIGHT * ERRORS[2], distance=LENGTH, rise=rise, spin=SPIN,
            ball=size7, ring=nba.ring, board=nba.board,
        )  # fmt: skip
        share.append(is_make(shots.outcome).mean())
    assert share == sorted(share)
