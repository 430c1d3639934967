"""Made or missed, from simulated sightings of a ball whose end is known."""

import re
from dataclasses import replace

import numpy as np
import pytest
from tests.film.filmed import SIDE, Floats, Known, film, free_throw, told

from hoopwright.court.standards import ball
from hoopwright.film.arc_numbers import ball_path
from hoopwright.film.camera import pixels_per_metre, project
from hoopwright.film.doubts import doubts_of
from hoopwright.film.fit import FlightFit, fit_flight
from hoopwright.film.outcome import Result, chance_by_flight, result
from hoopwright.film.results import BallPath, Candidates, Flag, Measured
from hoopwright.film.view import seen
from hoopwright.flight.arc import speed_to_reach

SHARP = (1e-6,) * 8


def a_shot(along: float, *, seed: int = 3) -> tuple[Known, FlightFit, BallPath]:
    """Return a shot that comes down a given way from ring centre, fitted."""
    rng = np.random.default_rng(seed)
    shot = free_throw(rng)
    speed = float(
        speed_to_reach(4.0 + along, shot.angle, 0.9, ball=ball(7), spin=float(shot.ball[6]))
    )
    shot.ball[3:6] = (0.0, speed * np.cos(shot.angle), speed * np.sin(shot.angle))
    fit = fit_flight(film(shot, SIDE, rng, noise=0.2, last=0.8), told(SIDE, rng, SHARP))
    path = ball_path(fit, Measured(value=0.0, sd=0.003), rows=(), first=0.0, last=0.8)
    return shot, fit, path


def sightings(shot: Known, path: BallPath, after: Floats) -> tuple[Candidates, BallPath]:
    """Return candidates along the flight, then at world points 1/60 s apart."""
    ring = path.ring_time.value
    flown = np.arange(0.0, ring, 1.0 / 60.0)
    world = np.vstack([shot.at(flown)[:, :3], after])
    times = np.concatenate([flown, ring + np.arange(1, len(after) + 1) / 60.0])
    count = len(times)
    found = Candidates(
        frame=np.arange(count), time=times, middle=project(SIDE, world),
        middle_sd=np.full(count, 0.3), radius=pixels_per_metre(SIDE, world) * 0.12,
        radius_sd=np.full(count, 0.3), streak=np.zeros((count, 2)), score=np.full(count, 0.9),
    )  # fmt: skip
    rows = tuple(range(len(flown)))
    return found, replace(path, flight=replace(path.flight, rows=rows, last=float(flown[-1])))


def through_net() -> Floats:
    """Give a ball held by the net: 2 m/s downward, then falling freely from there."""
    t = np.arange(1, 50) / 60.0
    held = np.minimum(t, 0.25)
    down = 2.0 * held + np.where(t > 0.25, 2.0 * (t - 0.25) + 4.9 * (t - 0.25) ** 2, 0.0)
    return np.column_stack([np.zeros_like(t), 0.02 * np.ones_like(t), 3.05 - down])


def off_the_rim() -> Floats:
    """Give a ball that springs back toward the shooter and falls."""
    t = np.arange(1, 70) / 60.0
    return np.column_stack([0.1 * t, -0.3 - 1.2 * t, 3.1 + 2.0 * t - 4.9 * t**2])


def straight_down() -> Floats:
    """Give a ball that drops freely past the ring, 0.6 m nearer to the camera."""
    t = np.arange(1, 40) / 60.0
    return np.column_stack([0.6 * np.ones_like(t), np.zeros_like(t), 3.05 - 4.5 * t - 4.9 * t**2])


def test_a_ball_seen_through_the_net_was_made() -> None:
    shot, fit, path = a_shot(0.05)
    found, path = sightings(shot, path, through_net())
    got = result(fit, path, found)
    assert got.made
    assert got.chance > 0.97


def test_a_ball_seen_to_spring_back_was_missed() -> None:
    shot, fit, path = a_shot(-0.26)
    found, path = sightings(shot, path, off_the_rim())
    got = result(fit, path, found)
    assert not got.made
    assert got.chance > 0.97


def test_a_free_fall_past_the_ring_is_no_make() -> None:
    """Only the net slows a ball; one that falls freely went past, in front or behind."""
    shot, fit, path = a_shot(0.05)
    slow, _ = sightings(shot, path, through_net())
    free, with_rows = sightings(shot, path, straight_down())
    held = result(fit, with_rows, slow, by_flight=0.5).by_sight
    assert result(fit, with_rows, free, by_flight=0.5).by_sight < held - 3.0


def test_with_nothing_seen_the_flight_alone_speaks() -> None:
    shot, fit, path = a_shot(0.05)
    found, path = sightings(shot, path, np.empty((0, 3)))
    got = result(fit, path, found)
    assert got.by_sight == 0.0
    assert got.made == (got.by_flight >= 0.5)


@pytest.mark.parametrize(("along", "low", "high"), [(0.05, 0.7, 1.0), (-0.6, 0.0, 0.05)])
def test_the_chance_by_flight_is_the_ring_models(along: float, low: float, high: float) -> None:
    """A ball aimed a little deep mostly goes in, over its errors too; an air ball never does."""
    _, fit, path = a_shot(along)
    assert low <= chance_by_flight(fit, path) <= high


def _seen(**kw: float | bool) -> Result:
    base = {"made": True, "chance": 0.9, "by_flight": 0.5, "by_sight": 0.0}
    return Result(**(base | kw))  # type: ignore[arg-type]


def test_a_make_that_the_flight_forbids_is_doubted() -> None:
    _, fit, path = a_shot(-0.6)
    path = replace(path, made=True, flight=replace(path.flight, rows=tuple(range(50))))
    found = doubts_of(fit, path, _seen(by_flight=0.0, by_sight=5.0), frame=1 / 60)
    # a ball this slow can't have gone in at all
    assert {d.flag: d.refused for d in found} == {Flag.OUTCOME: False, Flag.TOO_SLOW: True}


def test_a_clip_at_the_wrong_speed_is_refused_and_says_by_how_much() -> None:
    """Derived: played twice too slowly, gravity looks a quarter, the ball four times too far."""
    rng = np.random.default_rng(7)
    shot = free_throw(rng)
    rows = film(shot, SIDE, rng, noise=0.2, last=0.8)
    slow = seen(2.0 * rows.time, rows.middle, rows.sd, radius=rows.radius, radius_sd=1e3)
    fit = fit_flight(slow, told(SIDE, rng, SHARP))
    path = ball_path(fit, Measured(value=0.0, sd=0.003), rows=tuple(range(90)), first=0.0, last=1.6)
    clock = [d for d in doubts_of(fit, path, _seen(), frame=1 / 60) if d.flag is Flag.FRAME_RATE]
    assert len(clock) == 1
    assert clock[0].refused
    said = re.search(r"(\d\.\d) times too slow", clock[0].message)
    assert said is not None
    # the ball's radius in the rows is that of the clip, its depth from gravity a little off
    assert float(said[1]) == pytest.approx(2.0, abs=0.15)


def test_a_ball_seen_in_half_its_flight_only_is_doubted() -> None:
    _, fit, path = a_shot(0.05)
    few = replace(path, flight=replace(path.flight, rows=tuple(range(8)), first=0.3, last=0.55))
    found = doubts_of(fit, few, _seen(), frame=1 / 30)
    assert Flag.BALL_LOST in [d.flag for d in found]
