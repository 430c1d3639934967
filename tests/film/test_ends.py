"""Release and first contact: planted moments come back, within a frame and within their errors."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.film.filmed import BEHIND, SIDE, film, free_throw, told

from hoopwright.court.standards import ball, rule_book
from hoopwright.film.arc_numbers import ball_path
from hoopwright.film.camera import Camera
from hoopwright.film.ends import clean_flight, crossing_time, meets
from hoopwright.film.fit import fit_flight
from hoopwright.film.results import Measured
from hoopwright.flight.arc import Release, fly, speed_to_reach


@pytest.mark.parametrize(
    ("camera", "rate"), [(SIDE, 30.0), (SIDE, 60.0), (SIDE, 120.0), (BEHIND, 60.0)]
)
def test_release_is_found_within_a_frame(camera: Camera, rate: float) -> None:
    """Known motion: the hand pushes along the way of release with 40 to 90 m/s²."""
    rng = np.random.default_rng(23)
    late = []
    for _ in range(30):
        shot = replace(free_throw(rng), push=rng.uniform(40.0, 90.0))
        start = rng.uniform(-0.3, -0.3 + 1.0 / rate)
        rows = film(shot, camera, rng, rate=rate, first=start)
        # the tracker lets some of the hand's rows in, or starts late
        first = rng.uniform(-2.0, 2.0) / rate
        release = clean_flight(rows, told(camera, rng), first=first, last=0.9, frame=1.0 / rate)[1]
        late.append((release.value * rate, release.sd * rate))
    off, sd = np.array(late).T
    assert np.sqrt(np.mean(off**2)) < 1.0
    assert (np.abs(off) < 1.96 * sd).mean() > 0.85


def test_where_the_hand_is_not_seen_half_a_frame_is_said() -> None:
    rng = np.random.default_rng(29)
    rows = film(free_throw(rng), SIDE, rng, first=0.0)
    release = clean_flight(rows, told(SIDE, rng), first=0.0, last=0.9, frame=1 / 60)[1]
    assert release.sd == pytest.approx(1 / 60 / math.sqrt(3.0))
    assert abs(release.value) <= 1 / 60


def test_the_ring_plane_is_crossed_where_the_flight_model_says() -> None:
    """``flight.arc.fly`` on the same release is the reference."""
    rng = np.random.default_rng(31)
    shot = free_throw(rng)
    shot.ball[6] = 12.6
    view = replace(told(SIDE, rng, (1e-9,) * 8), spin=Measured(value=12.6, sd=1e-6))
    view = replace(view, covariance=np.diag([1e-18] * 8 + [1e-18] * 4))
    fit = fit_flight(film(shot, SIDE, rng, noise=0.01), view)
    found = ball_path(fit, Measured(value=0.0, sd=1e-6), rows=(), first=0.0, last=0.9)
    release = Release(
        speed=shot.speed, angle=shot.angle, direction=shot.direction, height=2.15, spin=12.6
    )
    true = fly(release, ball=ball(7), distance=4.0)
    assert crossing_time(fit) == pytest.approx(true.time, abs=1e-3)
    assert found.release.along == pytest.approx(true.along, abs=5e-3)
    assert found.release.across == pytest.approx(true.across, abs=2e-2)
    assert found.entry_angle.value == pytest.approx(true.entry_angle, abs=2e-3)
    assert found.apex.value == pytest.approx(true.apex, abs=3e-3)
    assert found.release.speed == pytest.approx(shot.speed, abs=1e-2)
    assert found.release.angle == pytest.approx(shot.angle, abs=2e-3)
    assert found.release.direction == pytest.approx(shot.direction, abs=5e-3)


def test_a_release_has_its_own_error_and_the_one_it_shares() -> None:
    rng = np.random.default_rng(33)
    fit = fit_flight(film(free_throw(rng), SIDE, rng), told(SIDE, rng))
    found = ball_path(fit, Measured(value=0.0, sd=0.004), rows=(), first=0.0, last=0.9)
    own, shared, total = (
        np.array(c).reshape(5, 5)
        for c in (found.release.covariance, found.release.shared, found.release.total)
    )
    assert own + shared == pytest.approx(total, abs=1e-15)
    for part in (own, shared):
        scale = np.sqrt(np.diag(part))
        assert np.all(scale > 0.0)
        assert np.linalg.eigvalsh(part / np.outer(scale, scale)).min() > -1e-6
    # the release's own time is each shot's alone: pushing it about leaves the shared part
    later = ball_path(fit, Measured(value=0.0, sd=0.02), rows=(), first=0.0, last=0.9)
    assert later.release.shared == pytest.approx(found.release.shared, abs=1e-12)
    assert later.release.covariance[6] > 1.5 * found.release.covariance[6]
    # what is shown of this one shot holds both
    assert found.entry_angle.sd > 0.0


def test_a_short_ball_meets_the_front_rim_first() -> None:
    """Derived: contact where centre and rod are a ball's and a rod's radius apart."""
    rng = np.random.default_rng(37)
    shot = free_throw(rng)
    # straight at the front rim, by the flight model
    speed = float(
        speed_to_reach(3.76, math.radians(52), 3.05 - 2.15, ball=ball(7), spin=shot.ball[6])
    )
    shot.ball[3:6] = (
        0.0, speed * math.cos(math.radians(52)), speed * math.sin(math.radians(52))
    )  # fmt: skip
    fit = fit_flight(film(shot, SIDE, rng, noise=0.1), told(SIDE, rng, (1e-9,) * 8))
    when = meets(fit, last=1.2)
    x, y, z = fit.at([when])[0, :3]
    ring = rule_book("fiba").ring
    away = math.hypot(math.hypot(x, y) - ring.radius - ring.rod_radius, z - 3.05 + ring.rod_radius)
    assert away == pytest.approx(ball(7).radius + ring.rod_radius, abs=0.01)
    assert when < crossing_time(fit)
    assert meets(fit, last=when - 0.05) == math.inf
