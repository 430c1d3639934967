"""The ball's way through a drawn clip: hand, flight, ring, net, floor, pass."""

import math
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import BadInput
from hoopwright.film.synthetic.shots import (
    FLOOR_RESTITUTION,
    BallWay,
    KnownShot,
    Motion,
    ShotWay,
    ahead_of,
    hand_path,
    pass_between,
    release_state,
    ways_of,
)
from hoopwright.flight.air import STANDARD_AIR, force_constants
from hoopwright.flight.arc import Release
from hoopwright.flight.ring import is_make
from hoopwright.records import Spot

BALL, BOOK = ball(7), rule_book("fiba")
LINE = Spot(name="free throw", x=0.0, y=4.225)
WING = Spot(name="wing", x=4.0, y=4.0)


def known(start: float = 0.5, *, speed: float = 7.42, spot: Spot = LINE) -> KnownShot:
    release = Release(speed=speed, angle=math.radians(52.0), height=2.15, spin=15.0)
    return KnownShot(spot=spot, start=start, release=release)


def way(speed: float = 7.42) -> ShotWay:
    return ways_of([known(speed=speed)], ball=BALL, book=BOOK)[0]


def test_hand_path_runs_into_the_release_without_a_step() -> None:
    """Closed form: place and velocity of the hands' ball are the release's at its time."""
    shot = known(spot=WING)
    place, velocity = release_state(shot)
    hand = hand_path(shot)
    step = 1e-3
    assert hand.times[-1] == pytest.approx(shot.release_time)
    np.testing.assert_allclose(hand.points[-1], place, atol=1e-12)
    late = (hand.points[-1] - hand.points[-2]) / (hand.times[-1] - hand.times[-2])
    np.testing.assert_allclose(late, velocity, atol=100.0 * step)


def test_release_velocity_has_speed_angle_and_direction() -> None:
    """Closed form: spherical coordinates about the line to the ring."""
    shot = replace(known(spot=WING), release=replace(known().release, direction=0.1))
    _, velocity = release_state(shot)
    ahead = ahead_of(WING)
    right = np.array([ahead[1], -ahead[0], 0.0])
    assert np.linalg.norm(velocity) == pytest.approx(7.42)
    assert math.asin(velocity[2] / 7.42) == pytest.approx(math.radians(52.0))
    assert math.atan2(velocity @ right, velocity @ ahead) == pytest.approx(0.1)


def test_ahead_points_to_the_ring() -> None:
    np.testing.assert_allclose(
        np.array([WING.x, -WING.y, 0.0]) + WING.distance * ahead_of(WING), 0.0, atol=1e-12
    )


def test_ball_never_jumps_over_several_shots() -> None:
    """Known motion: no ball in the clip is faster than 10 m/s, in flight, hand or pass."""
    ways = ways_of(
        [known(0.5), known(7.0, speed=7.6), known(14.0, speed=7.2)], ball=BALL, book=BOOK
    )
    times = np.arange(0.5, ways[-1].caught_time, 1e-3)
    moved = np.linalg.norm(np.diff(BallWay(ways).at(times), axis=0), axis=1)
    assert moved.max() < 0.010


def test_make_drops_through_the_net() -> None:
    """Closed form: below the net's end a made ball is inside the ring's circle, and slower."""
    made = way(7.42)
    assert is_make(made.whole.outcome)
    drop = made.stretches[2]
    under = drop.points[drop.points[:, 2] < BOOK.ring.height - 0.42][0]
    assert math.hypot(under[0], under[1]) < BOOK.ring.radius
    k = int(np.argmax(drop.points[:, 2] < BOOK.ring.height - 0.42))
    leaving = (drop.points[k + 1, 2] - drop.points[k, 2]) / 1e-3
    entering = made.whole.velocity[2]
    assert entering < leaving < -1.0


def test_floor_gives_back_its_share_of_the_speed() -> None:
    """Closed form: speed after over speed before a bounce is the restitution."""
    missed = way(6.9)
    assert not is_make(missed.whole.outcome)
    drop = missed.stretches[2]
    speed = np.diff(drop.points[:, 2]) / 1e-3
    k = int(np.argmin(drop.points[:, 2]))
    assert drop.points[:, 2].min() == pytest.approx(BALL.radius, abs=0.004)
    assert speed[k + 2] / -speed[k - 2] == pytest.approx(FLOOR_RESTITUTION, abs=0.01)


def test_pass_flies_freely_to_the_hands() -> None:
    """Closed form: a thrown ball's upward speed falls by gravity less what the air takes."""
    start, end = np.array([1.0, -1.0, 1.2]), np.array([0.0, -4.2, 1.1])
    flown, thrown, arriving = pass_between(start, end, (2.0, 2.85), BALL)
    np.testing.assert_allclose(flown.points[-1], end, atol=1e-5)
    gravity = force_constants(BALL, STANDARD_AIR)[0]
    assert arriving[2] - thrown[2] == pytest.approx(-gravity * 0.85, rel=0.06)


def test_next_shot_needs_the_ball_back() -> None:
    with pytest.raises(BadInput, match="Leave 5 s"):
        ways_of([known(0.5), known(3.0)], ball=BALL, book=BOOK)
    with pytest.raises(BadInput, match="at least one shot"):
        ways_of([], ball=BALL, book=BOOK)


@pytest.mark.parametrize(
    "wrong", [{"hold": 0.0}, {"jump_rise": -0.1}, {"knee_dip": 0.5}, {"release_to_toe_off": -0.6}]
)
def test_motion_no_body_makes_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        Motion(**wrong)


def test_ball_that_is_not_back_in_time_stays_out_of_play() -> None:
    """A shot held for 2.5 s leaves no time for a pass: the next shot has its own ball."""
    slow = replace(known(0.5), motion=Motion(hold=2.5))
    ways = ways_of([slow, known(5.5)], ball=BALL, book=BOOK)
    assert ways[0].caught_time <= 5.5 and len(ways[0].stretches) == 2
    np.testing.assert_allclose(
        BallWay(ways).at(np.array([5.5]))[0], hand_path(known(5.5)).points[0], atol=1e-6
    )
