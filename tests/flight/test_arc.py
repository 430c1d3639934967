"""Flight against a tight reference, closed forms, and what can't be flown."""

import math

import numpy as np
import pytest
from tests.flight.reference import World, state_at

from hoopwright.court.equipment import Ball
from hoopwright.court.standards import ball as standard_ball
from hoopwright.errors import BadInput, NotAShot
from hoopwright.flight import arc
from hoopwright.flight.air import STANDARD_GRAVITY, Air, air_density
from hoopwright.flight.arc import Release, cross_ring_plane, fly

BALL = standard_ball(7)
AIR = Air(density=1.2, lift_slope=0.9)
WORLD = World(BALL.mass, BALL.radius, 1.2, 0.5, 0.9, STANDARD_GRAVITY)


def test_ten_thousand_shots_are_within_a_tenth_of_a_millimetre_of_dop853() -> None:
    rng = np.random.default_rng(11)
    n = 10_000
    speed, angle = rng.uniform(5.5, 13.0, n), np.radians(rng.uniform(30.0, 75.0, n))
    rise, spin = rng.uniform(-0.3, 1.9, n), rng.uniform(-10.0, 40.0, n)
    ours = cross_ring_plane(speed, angle, rise, ball=BALL, air=AIR, spin=spin)
    hit = ~np.isnan(ours.time)
    assert 0.8 < hit.mean() < 1.0
    velocity = np.stack([speed * np.cos(angle), 0.0 * speed, speed * np.sin(angle)])[:, hit]
    # x ahead, y left: backspin turns the top backward, so it is about −y
    spins = np.stack([0.0 * spin, -spin, 0.0 * spin])[:, hit]
    position, moving = state_at(velocity, spins, ours.time[hit], WORLD)
    # the reference crosses the plane where its own height says, to first order from our time
    late = (rise[hit] - position[2]) / moving[2]
    assert np.max(np.abs(late)) < 1e-4
    assert np.max(np.abs(position[0] + late * moving[0] - ours.distance[hit])) < 1e-4
    steep = np.arctan2(-moving[2], moving[0])
    assert np.max(np.abs(steep - ours.entry_angle[hit])) < 1e-5
    assert np.max(np.abs(np.linalg.norm(moving, axis=0) - ours.entry_speed[hit])) < 1e-4


def test_shots_that_never_come_down_through_the_ring_are_those_whose_apex_is_below_it() -> None:
    rng = np.random.default_rng(12)
    speed, angle = rng.uniform(3.0, 7.0, 2000), np.radians(rng.uniform(20.0, 80.0, 2000))
    ours = cross_ring_plane(speed, angle, 0.9, ball=BALL, air=Air.none())
    low = (speed * np.sin(angle)) ** 2 / (2.0 * STANDARD_GRAVITY) < 0.9
    assert np.array_equal(np.isnan(ours.distance), low)


def test_sidespin_and_direction_follow_dop853_too() -> None:
    release = Release(speed=8.0, angle=0.9, direction=0.03, height=2.0, spin=15.0, sidespin=9.0)
    shot = fly(release, ball=BALL, air=AIR, distance=5.5)
    level = 8.0 * math.cos(0.9)
    velocity = np.array([[level * math.cos(0.03)], [-level * math.sin(0.03)], [8 * math.sin(0.9)]])
    # about −(left, turned with the shot) for backspin; + curving right is clockwise from above
    spin = np.array([[-15.0 * math.sin(0.03)], [-15.0 * math.cos(0.03)], [-9.0]])
    position, moving = state_at(velocity, spin, np.array([shot.time]), WORLD)
    assert abs(position[0, 0] - 5.5 - shot.along) < 1e-4
    assert abs(-position[1, 0] - shot.across) < 1e-4
    assert abs(position[2, 0] - (3.05 - 2.0)) < 1e-4
    assert shot.heading == pytest.approx(math.atan2(-moving[1, 0], moving[0, 0]), abs=1e-5)
    no_sidespin = fly(
        Release(speed=8.0, angle=0.9, direction=0.03, height=2.0, spin=15.0),
        ball=BALL, air=AIR, distance=5.5,
    )  # fmt: skip
    assert shot.across > no_sidespin.across + 0.02


def test_without_air_flight_is_the_closed_form() -> None:
    rng = np.random.default_rng(13)
    speed, angle = rng.uniform(6.0, 12.0, 500), rng.uniform(0.6, 1.3, 500)
    ours = cross_ring_plane(speed, angle, 0.8, ball=BALL, air=Air.none())
    exact = arc.vacuum_crossing(speed, angle, 0.8)
    for mine, true in zip(ours, exact, strict=True):
        np.testing.assert_allclose(mine, true, rtol=0, atol=1e-9)


def test_speed_to_reach_comes_back_through_the_flight() -> None:
    distance, angle = np.linspace(2.0, 9.0, 40), np.radians(np.linspace(45.0, 70.0, 40))
    speed = arc.speed_to_reach(distance, angle, 0.7, ball=BALL, spin=18.0)
    back = cross_ring_plane(speed, angle, 0.7, ball=BALL, spin=18.0)
    np.testing.assert_allclose(back.distance, distance, rtol=0, atol=1e-9)
    bare = arc.speed_to_reach(distance, angle, 0.7, ball=BALL, air=Air.none())
    np.testing.assert_allclose(bare, arc.vacuum_speed(distance, angle, 0.7), rtol=1e-10)


def test_no_speed_reaches_a_ring_above_the_line_of_release() -> None:
    assert np.isnan(arc.speed_to_reach(4.0, 0.1, 0.9, ball=BALL))
    assert np.isnan(arc.vacuum_speed(4.0, 0.1, 0.9))
    # still rising at the ring
    assert np.isnan(arc.speed_to_reach(1.0, math.radians(45), 0.7, ball=BALL, air=Air.none()))
    assert np.isnan(arc.vacuum_speed(1.0, math.radians(45), 0.7))
    assert np.isnan(arc.speed_to_reach(-4.0, 1.0, 0.9, ball=BALL))


@pytest.mark.parametrize("air", [Air.none(), Air.standard()])
def test_least_speed_is_a_minimum_over_the_angle(air: Air) -> None:
    distance, rise = np.array([2.0, 4.191, 6.75]), np.array([0.9, 0.9144, -0.2])
    angle = arc.least_speed_angle(distance, rise, ball=BALL, air=air, spin=12.0)
    least = arc.least_speed(distance, rise, ball=BALL, air=air, spin=12.0)
    for turn in (-0.01, -0.001, 0.001, 0.01):
        other = arc.speed_to_reach(distance, angle + turn, rise, ball=BALL, air=air, spin=12.0)
        assert np.all(other > least)
    if air.density == 0.0:
        np.testing.assert_allclose(angle, arc.vacuum_least_speed_angle(distance, rise), atol=1e-5)
        np.testing.assert_allclose(least, arc.vacuum_least_speed(distance, rise), rtol=1e-9)


def test_least_speed_close_under_the_ring_and_where_there_is_none() -> None:
    for distance, rise in ((0.3, 1.0), (0.5, 1.2), (1.0, 1.0)):
        angle = arc.least_speed_angle(distance, rise, ball=BALL, air=Air.none())
        bare = arc.vacuum_least_speed_angle(distance, rise)
        assert float(angle) == pytest.approx(float(bare), abs=1e-4)
    assert np.isnan(arc.least_speed_angle([-1.0, math.nan], 0.9, ball=BALL)).all()


def test_without_air_the_least_speed_shot_enters_at_the_complement_of_its_release() -> None:
    angle = arc.vacuum_least_speed_angle(4.191, 0.9144)
    entry = arc.vacuum_entry_angle(4.191, angle, 0.9144)
    assert float(angle + entry) == pytest.approx(0.5 * math.pi, abs=1e-12)


def test_the_path_starts_in_the_hand_and_ends_at_the_ring_plane() -> None:
    shot = fly(Release(speed=7.4, angle=0.9, height=2.1, spin=19.0), ball=BALL, distance=4.191)
    assert (shot.ahead[0], shot.sideways[0], shot.heights[0]) == (0.0, 0.0, 2.1)
    assert shot.heights[-1] == pytest.approx(3.05, abs=1e-9)
    assert shot.ahead[-1] == pytest.approx(4.191 + shot.along)
    assert np.all(np.diff(shot.times) > 0.0)
    assert shot.heights.max() == pytest.approx(shot.apex, abs=2e-4)
    assert np.interp(shot.apex_time, shot.times, shot.heights) == pytest.approx(shot.apex, abs=2e-4)
    many = cross_ring_plane(7.4, 0.9, 3.05 - 2.1, ball=BALL, spin=19.0)
    assert float(many.distance) == pytest.approx(4.191 + shot.along, abs=1e-9)
    assert float(many.apex) == pytest.approx(shot.apex - 2.1, abs=1e-6)


def test_a_halved_piece_moves_the_crossing_less_than_a_hundredth_of_a_millimetre() -> None:
    rng = np.random.default_rng(14)
    shots = (rng.uniform(6.0, 11.0, 2000), rng.uniform(0.6, 1.2, 2000))
    usual = cross_ring_plane(*shots, 0.7, ball=BALL, spin=15.0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(arc, "PIECE", arc.PIECE / 2.0)
        fine = cross_ring_plane(*shots, 0.7, ball=BALL, spin=15.0)
    assert np.nanmax(np.abs(usual.distance - fine.distance)) < 1e-5
    assert not np.array_equal(usual.distance, fine.distance)


def test_spin_decay_is_off_by_default_and_takes_lift_away_when_on() -> None:
    kept = fly(Release(speed=8.0, angle=0.9, height=2.0, spin=30.0), ball=BALL, distance=5.0)
    fading = fly(
        Release(speed=8.0, angle=0.9, height=2.0, spin=30.0),
        ball=BALL, distance=5.0, air=Air(density=air_density(), spin_decay=1.0),
    )  # fmt: skip
    none = fly(Release(speed=8.0, angle=0.9, height=2.0), ball=BALL, distance=5.0)
    assert none.time < fading.time < kept.time


def test_an_array_keeps_its_shape_and_threads_do_not_change_the_answer() -> None:
    speed = np.linspace(6.5, 9.0, 9000).reshape(90, 100)
    ours = cross_ring_plane(speed, 0.9, 0.8, ball=BALL)
    assert ours.distance.shape == (90, 100)
    few = cross_ring_plane(speed[3, :7], 0.9, 0.8, ball=BALL)
    assert np.array_equal(ours.distance[3, :7], few.distance)


def test_air_density_at_sea_level_and_in_the_mountains() -> None:
    # ICAO Doc 7488: 1.2250 kg/m³ at 15 °C and sea level; 1.0066 at 2000 m and 2 °C (from memory)
    assert air_density(0.0, 288.15) == pytest.approx(1.2250, abs=2e-4)
    assert air_density(2000.0, 275.15) == pytest.approx(1.0066, abs=5e-4)


def test_thin_mountain_air_lets_a_shot_fly_further() -> None:
    # 1,600 m and 20 °C: about 18 % thinner, so about 18 % less of what the air takes
    low, high, none = (
        float(cross_ring_plane(7.5, 0.9, 0.9, ball=BALL, air=air).distance)
        for air in (Air.at(0.0), Air.at(1600.0), Air.none())
    )
    assert low < high < none
    assert (high - low) / (none - low) == pytest.approx(0.18, abs=0.02)


@pytest.mark.parametrize(
    ("speed", "angle", "height", "words"),
    [
        (math.nan, 0.9, 2.0, "plain numbers"),
        (0.0, 0.9, 2.0, "speed"),
        (8.0, 52.0, 2.0, "between −90° and 90°"),
        (8.0, 0.9, -1.0, "height"),
    ],
)
def test_a_release_nobody_could_make_is_refused_in_one_sentence(
    speed: float, angle: float, height: float, words: str
) -> None:
    with pytest.raises(NotAShot, match=words):
        Release(speed=speed, angle=angle, height=height)


def test_a_shot_that_never_gets_there_is_refused() -> None:
    with pytest.raises(NotAShot, match="never comes down through the ring"):
        fly(Release(speed=3.0, angle=0.9, height=2.0), ball=BALL, distance=4.0)
    with pytest.raises(NotAShot, match="distance"):
        fly(Release(speed=8.0, angle=0.9, height=2.0), ball=BALL, distance=40.0)


def test_air_that_can_not_be_is_refused() -> None:
    with pytest.raises(BadInput, match="not below zero"):
        Air(density=-1.0)
    with pytest.raises(BadInput, match="gravity"):
        Air(density=1.2, gravity=0.0)
    with pytest.raises(BadInput, match="273"):
        air_density(0.0, 20.0)
    with pytest.raises(BadInput, match="Altitude"):
        air_density(20000.0)
    balloon = Ball(size=7, circumference=1.2, mass=0.05)
    with pytest.raises(BadInput, match="lighter than air"):
        cross_ring_plane(7.0, 0.9, 0.9, ball=balloon, air=Air(density=2.0))
