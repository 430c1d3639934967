"""The whole path, held to the ring model it follows and to free flight between its touches."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import NotAShot
from hoopwright.flight.air import STANDARD_AIR, force_constants
from hoopwright.flight.arc import Release
from hoopwright.flight.path import EVERY, WholePath, whole_path
from hoopwright.flight.ring import Outcome, is_make, shoot

BALL, BOOK = ball(7), rule_book("fiba")
DISTANCE = 4.225


def released(seed: int) -> Release:
    z = np.random.default_rng(seed).standard_normal(3)
    return Release(
        speed=7.46 + 0.12 * float(z[0]), angle=math.radians(52.0 + 1.5 * float(z[1])),
        direction=math.radians(float(z[2])), height=2.1, spin=15.0,
    )  # fmt: skip


def followed(release: Release, bearing: float = 0.4) -> WholePath:
    return whole_path(
        release, ball=BALL, ring=BOOK.ring, board=BOOK.board, distance=DISTANCE, bearing=bearing
    )


def test_outcome_is_that_of_the_ring_model() -> None:
    """Ours against ours on another way: ``ring.shoot`` plays arrays from the release."""
    releases = [released(n) for n in range(60)]
    paths = [followed(r) for r in releases]
    played = shoot(
        [r.speed for r in releases], [r.angle for r in releases], [r.direction for r in releases],
        distance=DISTANCE, rise=BOOK.ring.height - 2.1, ball=BALL, ring=BOOK.ring,
        board=BOOK.board, bearing=0.4, spin=15.0,
    )  # fmt: skip
    same = np.array([p.outcome for p in paths]) == played.outcome
    # a ball that rolls many times round the ring is chaotic: the last digit of the start decides
    rolling = np.isin(played.outcome, [Outcome.ROLLS_IN, Outcome.ROLLS_OUT])
    assert same[~rolling].all()
    assert 10 < int(is_make(played.outcome).sum()) < 55


@pytest.mark.parametrize("seed", range(8))
def test_path_has_no_step(seed: int) -> None:
    """Known motion: no two points are farther apart than the fastest ball moves between them."""
    path = followed(released(seed))
    moved = np.linalg.norm(np.diff(path.points, axis=0), axis=1)
    assert (np.diff(path.times) >= -1e-9).all()
    assert (moved <= 9.0 * np.diff(path.times) + 1e-6).all()


@pytest.mark.parametrize("seed", range(8))
def test_a_make_ends_inside_the_ring_and_a_miss_outside(seed: int) -> None:
    """Closed form: a ball of radius r falls through where its centre is r below the ring plane."""
    path = followed(released(seed))
    x, y, z = path.points[-1]
    assert z == pytest.approx(BOOK.ring.height - BALL.radius, abs=1e-4)
    assert (math.hypot(x, y) < BOOK.ring.radius) == bool(is_make(path.outcome))


def test_ball_keeps_clear_of_rod_and_board() -> None:
    """Closed form: the centre never comes nearer to the rod's circle than both radii together."""
    for seed in range(12):
        points = followed(released(seed)).points
        rho = np.hypot(points[:, 0], points[:, 1]) - (BOOK.ring.radius + BOOK.ring.rod_radius)
        height = points[:, 2] - (BOOK.ring.height - BOOK.ring.rod_radius)
        assert np.hypot(rho, height).min() > BALL.radius + BOOK.ring.rod_radius - 1e-5
        level = (points[:, 2] > BOOK.board.lower_edge) & (np.abs(points[:, 0]) < 0.9)
        assert (points[level, 1] < BOOK.board.setback - BALL.radius + 1e-5).all()


def test_free_flight_is_that_of_a_general_solver() -> None:
    """General library: SciPy's DOP853 on gravity, drag and spin force, to the first touch."""
    release, path = released(3), followed(released(3), bearing=0.0)
    gravity, drag, lift, _ = force_constants(BALL, STANDARD_AIR)
    level = release.speed * math.cos(release.angle)
    s, c = math.sin(release.direction), math.cos(release.direction)
    velocity = [level * s, level * c, release.speed * math.sin(release.angle)]
    spin = release.spin * np.array([c, -s, 0.0])

    def rate(_: float, state: np.ndarray) -> np.ndarray:
        v = state[3:]
        force = lift * np.cross(spin, v) - drag * np.linalg.norm(v) * v
        return np.concatenate([v, force - (0.0, 0.0, gravity)])

    last = path.touches[0] if len(path.touches) else path.times[-1]
    free = path.times < last
    solved = solve_ivp(
        rate, (0.0, last), [0.0, -DISTANCE, 2.1, *velocity], method="DOP853",
        t_eval=path.times[free], rtol=1e-10, atol=1e-10,
    )  # fmt: skip
    assert np.abs(solved.y[:3].T - path.points[free]).max() < 1e-4


def test_points_come_every_millisecond() -> None:
    assert np.diff(followed(released(0)).times).max() <= EVERY + 1e-9


def test_a_ball_that_never_comes_down_through_the_ring_is_no_shot() -> None:
    with pytest.raises(NotAShot, match="more speed"):
        followed(Release(speed=3.0, angle=0.5, height=2.0))
